//! `job.toml` as text with positions, and its tables as entries.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::desk::Desk;
use super::entry::{Entry, Field, Raw, Source};
use crate::fault::{FaultKind, Spot, Unknown, cut};
use crate::keys::{self, TableForm, TableInfo};

/// The text of `job.toml` with its line starts.
pub(crate) struct TomlText<'a> {
    file: Arc<str>,
    text: &'a str,
    line_starts: Vec<usize>,
}

impl<'a> TomlText<'a> {
    pub fn new(file: &str, text: &'a str) -> Self {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { file: Arc::from(file), text, line_starts }
    }

    /// The place of a byte.
    pub fn spot(&self, byte: usize) -> Spot {
        let byte = byte.min(self.text.len());
        let line = self.line_starts.partition_point(|start| *start <= byte).max(1);
        let start = self.line_starts.get(line - 1).copied().unwrap_or(0);
        let column = self.text.get(start..byte).map_or(0, |before| before.chars().count());
        Spot::character(&self.file, as_u64(line), as_u64(column + 1))
    }

    /// The text of a span; empty when it is none of this text.
    pub fn slice(&self, span: Range<usize>) -> &'a str {
        self.text.get(span).unwrap_or("")
    }

    /// The tables of the file; a fault for each place where it is no TOML, and then `None`.
    pub fn parse(&self, desk: &Desk) -> Option<DeTable<'a>> {
        let (root, errors) = DeTable::parse_recoverable(self.text);
        for error in &errors {
            let at = self.spot(error.span().map_or(0, |span| span.start));
            let kind = if error.message() == "duplicate key" {
                FaultKind::SameKey { key: cut(error.span().map_or("", |span| self.slice(span))) }
            } else {
                FaultKind::Syntax { problem: error.message().to_owned() }
            };
            desk.fault(&at, kind);
        }
        errors.is_empty().then(|| root.into_inner())
    }

    /// The entries of every known table, by the table's name, in file order; a fault for everything else.
    pub fn entries<'t>(&'t self, desk: &Desk, root: &'t DeTable<'t>) -> BTreeMap<&'static str, Vec<Entry<'t>>> {
        let mut entries: BTreeMap<&'static str, Vec<Entry<'t>>> = BTreeMap::new();
        for (key, value) in root.iter() {
            let name = key.get_ref().as_ref();
            let at = self.spot(key.span().start);
            let Some(table) = keys::JOB_TOML.into_iter().find(|table| table.name == name) else {
                self.unknown_table(desk, name, &at);
                continue;
            };
            let wrong = |found| {
                desk.fault(&at, FaultKind::TableForm { name: name.to_owned(), found, heading: table.heading() })
            };
            let list = entries.entry(table.name).or_default();
            match (value.get_ref(), table.form) {
                (DeValue::Table(fields), TableForm::Once) => list.push(self.entry(desk, table, fields, value.span())),
                (DeValue::Table(fields), _) => {
                    wrong("a single table");
                    list.push(self.entry(desk, table, fields, value.span()));
                }
                (DeValue::Array(items), form) if items.iter().all(|item| item.get_ref().is_table()) => {
                    if form == TableForm::Once {
                        wrong("a list of tables");
                    }
                    for item in items.iter() {
                        if let DeValue::Table(fields) = item.get_ref() {
                            list.push(self.entry(desk, table, fields, item.span()));
                        }
                    }
                }
                _ => wrong("a value"),
            }
        }
        entries
    }

    /// A table of this kind as an entry; a fault for each key that is not known.
    pub fn entry<'t>(
        &'t self,
        desk: &Desk,
        table: &'static TableInfo,
        fields: &'t DeTable<'t>,
        span: Range<usize>,
    ) -> Entry<'t> {
        let mut known = BTreeMap::new();
        for (key, value) in fields.iter() {
            let name = key.get_ref().as_ref();
            match table.key(name) {
                Some(info) => {
                    known.insert(info.name, self.field(value));
                }
                None => {
                    let unknown = Unknown::new(name, table.keys.iter().map(|key| key.name));
                    let kind = FaultKind::UnknownKey { table: table.heading(), unknown };
                    desk.fault(&self.spot(key.span().start), kind);
                }
            }
        }
        Entry { table, at: self.spot(span.start), fields: known, source: Source::Toml(self) }
    }

    /// A value with its place.
    pub fn field<'t>(&'t self, value: &'t Spanned<DeValue<'t>>) -> Field<'t> {
        Field {
            raw: Raw::Toml(value.get_ref()),
            written: self.slice(value.span()),
            at: self.spot(value.span().start),
            unit: None,
        }
    }

    fn unknown_table(&self, desk: &Desk, name: &str, at: &Spot) {
        let kind = if keys::JOB.key(name).is_some() {
            FaultKind::OutsideTable { key: name.to_owned(), heading: keys::JOB.heading() }
        } else {
            FaultKind::UnknownTable(Unknown::new(name, keys::JOB_TOML.iter().map(|table| table.name)))
        };
        desk.fault(at, kind);
    }
}

/// A length as a line or column number.
pub(crate) fn as_u64(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
