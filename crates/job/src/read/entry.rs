//! One entry (a table of `job.toml`, a line of a CSV file) and the typed values of its keys.
//!
//! Every reader returns `None` for a key that is not there and for one that is wrong; the fault is then recorded.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::str::FromStr;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use grainfall_psychrometrics::constants::{HIGHEST_TEMP_C, LOWEST_TEMP_C};
use grainfall_psychrometrics::{Celsius, Hours};
use grainfall_record::RowRef;
use toml::de::DeValue;

use super::desk::{Desk, Target};
use super::sheet::Sheet;
use super::time::{self, NoInstant, WrittenDate};
use super::toml_text::TomlText;
use crate::fault::{FaultKind, Spot, Unknown, cut};
use crate::keys::{Need, TableForm, TableInfo};
use crate::suggest::plain;

/// One entry.
pub(crate) struct Entry<'a> {
    pub table: &'static TableInfo,
    /// Where it starts.
    pub at: Spot,
    /// Its keys that are there.
    pub fields: BTreeMap<&'static str, Field<'a>>,
    pub source: Source<'a>,
}

/// What an entry is written in.
#[derive(Clone, Copy)]
pub(crate) enum Source<'a> {
    /// `job.toml`.
    Toml(&'a TomlText<'a>),
    /// A CSV file.
    Csv(&'a Sheet),
}

/// One key with its value.
pub(crate) struct Field<'a> {
    pub raw: Raw<'a>,
    /// The value as written.
    pub written: &'a str,
    pub at: Spot,
    /// The unit that the header of a CSV column states.
    pub unit: Option<String>,
}

/// A value.
#[derive(Clone, Copy)]
pub(crate) enum Raw<'a> {
    Toml(&'a DeValue<'a>),
    Cell(&'a str),
}

/// Where an entry and its keys are written, kept for the checks that need the whole job.
#[derive(Debug, Clone)]
pub(crate) struct Spots {
    pub entry: Spot,
    keys: BTreeMap<&'static str, (Spot, String)>,
}

impl Spots {
    /// Where a key is written, else where the entry starts.
    pub fn of(&self, key: &str) -> &Spot {
        self.keys.get(key).map_or(&self.entry, |(spot, _)| spot)
    }

    /// A key's value as written, without quotes; empty when it is not there.
    pub fn written(&self, key: &str) -> &str {
        self.keys.get(key).map_or("", |(_, written)| written)
    }

    pub fn line(&self) -> u64 {
        self.entry.line.unwrap_or(1)
    }
}

/// An entry's types beside where they are written.
#[derive(Debug, Clone)]
pub(crate) struct Placed<T> {
    pub item: T,
    pub spots: Spots,
}

impl<'a> Entry<'a> {
    /// The line it starts on.
    pub fn row(&self) -> RowRef {
        self.at.row()
    }

    pub fn spots(&self) -> Spots {
        let keys = self.fields.iter().map(|(key, field)| (*key, (field.at.clone(), field.shown()))).collect();
        Spots { entry: self.at.clone(), keys }
    }

    pub fn placed<T>(&self, item: T) -> Placed<T> {
        Placed { item, spots: self.spots() }
    }

    pub fn has(&self, key: &str) -> bool {
        self.fields.contains_key(key)
    }

    /// How messages call the entry.
    pub fn this(&self) -> String {
        match (self.source, self.table.form) {
            (Source::Csv(_), _) => "this line".to_owned(),
            (Source::Toml(_), TableForm::Inline) => format!("this entry of `{}`", self.table.name),
            (Source::Toml(_), _) => format!("this `{}`", self.table.heading()),
        }
    }

    /// What a key accepts, for messages.
    pub fn accepts(&self, key: &str) -> String {
        let accepts = self.table.key(key).map_or("", |key| key.accepts);
        match self.source {
            Source::Toml(_) => accepts.to_owned(),
            Source::Csv(_) => accepts.replace("`\"", "`").replace("\"`", "`").replace(" in quotes", ""),
        }
    }

    /// A key's value; a fault when it is required and not there.
    pub fn field(&self, desk: &Desk, key: &'static str) -> Option<&Field<'a>> {
        let field = self.fields.get(key);
        let required = self.table.key(key).is_some_and(|info| info.need == Need::Required);
        if field.is_none() && required {
            let accepts = self.accepts(key);
            match self.source {
                Source::Toml(_) => desk.fault(&self.at, FaultKind::MissingKey { entry: self.this(), key, accepts }),
                // A column that is missing altogether is told once, at the header.
                Source::Csv(sheet) if !sheet.has(key) => {}
                Source::Csv(_) => desk.fault(&self.at, FaultKind::EmptyCell { column: key, accepts }),
            }
        }
        field
    }

    /// A fault: the value is of the wrong kind or out of range.
    pub fn refuse(&self, desk: &Desk, key: &str, field: &Field<'a>) {
        let kind = FaultKind::Value { key: key.to_owned(), found: field.found(), accepts: self.accepts(key) };
        desk.fault(&field.at, kind);
    }

    /// Text; a whole number stands for its digits (an asset number without quotes).
    pub fn text(&self, desk: &Desk, key: &'static str) -> Option<String> {
        let field = self.field(desk, key)?;
        let text = match field.raw {
            Raw::Cell(cell) => cell.trim(),
            Raw::Toml(DeValue::String(text)) => text.trim(),
            Raw::Toml(DeValue::Integer(number)) if number.radix() == 10 => number.as_str(),
            Raw::Toml(_) => {
                self.refuse(desk, key, field);
                return None;
            }
        };
        if text.is_empty() {
            desk.fault(&field.at, FaultKind::Empty { key: key.to_owned(), accepts: self.accepts(key) });
            return None;
        }
        Some(text.to_owned())
    }

    /// Text that names another entry.
    pub fn reference(&self, desk: &Desk, key: &'static str, what: Target) -> Option<String> {
        let id = self.text(desk, key)?;
        desk.refer(&self.fields.get(key)?.at, key, what, &id);
        Some(id)
    }

    /// Several texts: a list, one text, or a cell with `;` between them.
    pub fn texts(&self, desk: &Desk, key: &'static str) -> Vec<(String, Spot)> {
        let Some(field) = self.field(desk, key) else { return Vec::new() };
        match (field.raw, self.source) {
            (Raw::Cell(cell), _) => cell
                .split(';')
                .map(str::trim)
                .filter(|text| !text.is_empty())
                .map(|text| (text.to_owned(), field.at.clone()))
                .collect(),
            (Raw::Toml(DeValue::Array(items)), Source::Toml(doc)) => {
                let mut texts = Vec::new();
                for item in items.iter() {
                    let text = match item.get_ref() {
                        DeValue::String(text) => text.trim(),
                        DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
                        _ => "",
                    };
                    if text.is_empty() {
                        let found = found(item.get_ref(), doc.slice(item.span()));
                        let kind = FaultKind::Value { key: key.to_owned(), found, accepts: self.accepts(key) };
                        desk.fault(&doc.spot(item.span().start), kind);
                    } else {
                        texts.push((text.to_owned(), doc.spot(item.span().start)));
                    }
                }
                texts
            }
            _ => self.text(desk, key).map(|text| (text, field.at.clone())).into_iter().collect(),
        }
    }

    /// Several texts that name other entries.
    pub fn references(&self, desk: &Desk, key: &'static str, what: Target) -> Vec<String> {
        let texts = self.texts(desk, key);
        texts
            .into_iter()
            .map(|(id, at)| {
                desk.refer(&at, key, what, &id);
                id
            })
            .collect()
    }

    /// The tables of a list such as `[{ .. }, { .. }]`; a fault for anything else.
    pub fn tables(&self, desk: &Desk, key: &'static str, table: &'static TableInfo) -> Vec<Entry<'a>> {
        let Some(field) = self.field(desk, key) else { return Vec::new() };
        let (Raw::Toml(DeValue::Array(items)), Source::Toml(doc)) = (field.raw, self.source) else {
            self.refuse(desk, key, field);
            return Vec::new();
        };
        let mut entries = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Table(fields) => entries.push(doc.entry(desk, table, fields, item.span())),
                _ => self.refuse(desk, key, &doc.field(item)),
            }
        }
        entries
    }

    /// A finite number within a range.
    pub fn number(&self, desk: &Desk, key: &'static str, range: RangeInclusive<f64>) -> Option<f64> {
        let field = self.field(desk, key)?;
        let number = match field.raw {
            Raw::Cell(cell) => self.cell_number(cell),
            Raw::Toml(value) => toml_number(value),
        };
        let number = number.filter(|number| range.contains(number));
        if number.is_none() {
            self.refuse(desk, key, field);
        }
        number
    }

    /// A number in a cell; a decimal comma where commas do not part the cells.
    pub fn cell_number(&self, cell: &str) -> Option<f64> {
        let cell = cell.trim();
        let comma = matches!(self.source, Source::Csv(sheet) if sheet.decimal_comma())
            && !cell.contains('.')
            && cell.matches(',').count() == 1;
        if comma { plain_number(&cell.replace(',', ".")) } else { plain_number(cell) }
    }

    /// A whole number within a range.
    pub fn whole(&self, desk: &Desk, key: &'static str, range: RangeInclusive<u32>) -> Option<u32> {
        let field = self.field(desk, key)?;
        let number = match field.raw {
            Raw::Cell(cell) => cell.trim().parse().ok(),
            Raw::Toml(DeValue::Integer(number)) => u32::from_str_radix(number.as_str(), number.radix()).ok(),
            Raw::Toml(_) => None,
        };
        let number = number.filter(|number| range.contains(number));
        if number.is_none() {
            self.refuse(desk, key, field);
        }
        number
    }

    /// `true` or `false`.
    pub fn flag(&self, desk: &Desk, key: &'static str) -> Option<bool> {
        let field = self.field(desk, key)?;
        let Raw::Toml(DeValue::Boolean(flag)) = field.raw else {
            self.refuse(desk, key, field);
            return None;
        };
        Some(*flag)
    }

    /// One of a list of words, spelled freely as to case, spaces and hyphens. The first spelling of each value is
    /// the one that messages offer.
    pub fn word<T: Clone + PartialEq>(&self, desk: &Desk, key: &'static str, words: &[(&'static str, T)]) -> Option<T> {
        let text = self.text(desk, key)?;
        let value = look_up(&text, words);
        if value.is_none() {
            let mut offered: Vec<&str> = Vec::new();
            let mut seen: Vec<&T> = Vec::new();
            for (word, value) in words {
                if !seen.contains(&value) {
                    seen.push(value);
                    offered.push(word);
                }
            }
            let at = &self.fields.get(key)?.at;
            desk.fault(at, FaultKind::Word { key: key.to_owned(), unknown: Unknown::new(&text, offered) });
        }
        value
    }

    /// A quantity written with its unit; in a CSV file the header may carry the unit.
    pub fn quantity<T>(&self, desk: &Desk, key: &'static str) -> Option<T>
    where
        T: FromStr,
        T::Err: Display,
    {
        let field = self.field(desk, key)?;
        let text = match field.raw {
            Raw::Cell(cell) => match (&field.unit, self.cell_number(cell)) {
                (Some(unit), Some(number)) => format!("{number} {unit}"),
                _ => cell.trim().to_owned(),
            },
            Raw::Toml(DeValue::String(text)) => text.trim().to_owned(),
            Raw::Toml(DeValue::Integer(number)) => number.to_string(),
            Raw::Toml(DeValue::Float(number)) => number.to_string(),
            Raw::Toml(_) => {
                self.refuse(desk, key, field);
                return None;
            }
        };
        read_quantity(desk, &field.at, key, &text)
    }

    /// A quantity within the range that the equations of moist air accept; `range` says what is accepted when it is not.
    pub fn within<T: Copy>(
        &self,
        desk: &Desk,
        key: &'static str,
        quantity: Option<T>,
        range: impl Fn(T) -> Option<String>,
    ) -> Option<T> {
        let quantity = quantity?;
        let Some(accepts) = range(quantity) else { return Some(quantity) };
        let field = self.fields.get(key)?;
        desk.fault(&field.at, FaultKind::Value { key: key.to_owned(), found: field.found(), accepts });
        None
    }

    /// A temperature that the equations of moist air accept.
    pub fn temperature(&self, desk: &Desk, key: &'static str) -> Option<Celsius> {
        let temperature = self.quantity::<Celsius>(desk, key);
        self.within(desk, key, temperature, |temperature| {
            let possible = (LOWEST_TEMP_C..=HIGHEST_TEMP_C).contains(&temperature.get());
            (!possible).then(|| format!("a temperature from {LOWEST_TEMP_C} to {HIGHEST_TEMP_C} C"))
        })
    }

    /// A length of time, at most 100 days.
    pub fn length(&self, desk: &Desk, key: &'static str) -> Option<TimeDelta> {
        const MOST_HOURS: f64 = 2400.0;
        let hours = self.quantity::<Hours>(desk, key)?.get();
        if hours > MOST_HOURS {
            self.refuse(desk, key, self.fields.get(key)?);
            return None;
        }
        TimeDelta::from_std(std::time::Duration::from_secs_f64((hours * 3600.0).round())).ok()
    }

    /// A date.
    pub fn date(&self, desk: &Desk, key: &'static str) -> Option<NaiveDate> {
        let field = self.field(desk, key)?;
        let date = field.time_text().and_then(|text| time::read_date(&text));
        if date.is_none() {
            self.refuse(desk, key, field);
        }
        date
    }

    /// A time, as an instant.
    pub fn time(&self, desk: &Desk, key: &'static str) -> Option<DateTime<Utc>> {
        let field = self.field(desk, key)?;
        let written = field.time_text().and_then(|text| time::read(&text));
        let local = written.and_then(|written| {
            let date = match (self.source, written.date) {
                (_, WrittenDate::Plain(date)) => Some(date),
                (Source::Csv(sheet), slashed) => sheet.date_order().and_then(|order| slashed.date(order)),
                (Source::Toml(_), WrittenDate::Slashed { .. }) => None,
            };
            date.map(|date| (date.and_time(written.time), written.offset))
        });
        let Some((local, offset)) = local else {
            // A date of slashes whose order is not settled is told once for the file.
            let told = written.is_some() && matches!(self.source, Source::Csv(sheet) if sheet.date_order().is_none());
            if !told {
                self.refuse(desk, key, field);
            }
            return None;
        };
        let zone = desk.zone.get().tz;
        match time::instant(local, offset, zone) {
            Ok(instant) => Some(instant),
            Err(problem) => {
                let (found, zone) = (field.shown(), zone.name().to_owned());
                match problem {
                    NoInstant::Skipped(ways) => desk.fault(&field.at, FaultKind::SkippedTime { found, zone, ways }),
                    NoInstant::Repeated(ways) => desk.fault(&field.at, FaultKind::RepeatedTime { found, zone, ways }),
                    NoInstant::OutOfRange => self.refuse(desk, key, field),
                }
                None
            }
        }
    }

    /// A fault when two keys that exclude one another are both there.
    pub fn not_both(&self, desk: &Desk, first: &'static str, second: &'static str) {
        if let (true, Some(field)) = (self.has(first), self.fields.get(second)) {
            desk.fault(&field.at, FaultKind::Both { entry: self.this(), first, second });
        }
    }

    /// A fault when a key is there without one of those it needs.
    pub fn needs(&self, desk: &Desk, key: &'static str, others: &[&'static str]) {
        if let (Some(field), false) = (self.fields.get(key), others.iter().any(|other| self.has(other))) {
            desk.fault(&field.at, FaultKind::Needs { key, others: others.to_vec() });
        }
    }

    /// A fault when none of several keys is there; a CSV file without such a column is told at its header.
    pub fn one_of(&self, desk: &Desk, keys: &[&'static str]) {
        let no_column = matches!(self.source, Source::Csv(sheet) if !keys.iter().any(|key| sheet.has(key)));
        if !no_column && !keys.iter().any(|key| self.has(key)) {
            desk.fault(&self.at, FaultKind::Neither { entry: self.this(), keys: keys.to_vec() });
        }
    }
}

impl Field<'_> {
    /// The value as a message shows it, with its kind.
    pub fn found(&self) -> String {
        match self.raw {
            Raw::Toml(value) => found(value, self.written),
            Raw::Cell(cell) => format!("`{}`", cut(cell)),
        }
    }

    /// The value as written, without the quotes around text.
    pub fn shown(&self) -> String {
        match self.raw {
            Raw::Toml(DeValue::String(text)) => cut(text),
            _ => cut(self.written),
        }
    }

    fn time_text(&self) -> Option<String> {
        match self.raw {
            Raw::Cell(cell) => Some(cell.to_owned()),
            Raw::Toml(DeValue::String(text)) => Some(text.to_string()),
            Raw::Toml(DeValue::Datetime(time)) => Some(time.to_string()),
            Raw::Toml(_) => None,
        }
    }
}

/// A value as a message shows it, with its kind.
pub(crate) fn found(value: &DeValue<'_>, written: &str) -> String {
    match value {
        DeValue::String(text) => format!("`{}`", cut(text)),
        DeValue::Integer(_) | DeValue::Float(_) => format!("the number `{}`", cut(written)),
        DeValue::Boolean(flag) => format!("`{flag}`"),
        DeValue::Datetime(_) => format!("the date or time `{}`", cut(written)),
        DeValue::Array(_) => format!("the list `{}`", cut(written)),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// A finite number of a TOML value.
pub(crate) fn toml_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(number) if number.radix() == 10 => plain_number(number.as_str()),
        DeValue::Float(number) => plain_number(number.as_str()),
        _ => None,
    }
}

/// A finite decimal number, nothing else (no `inf`, no `nan`).
pub(crate) fn plain_number(text: &str) -> Option<f64> {
    let digits = text.bytes().any(|b| b.is_ascii_digit())
        && text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'+' | b'-' | b'e' | b'E'));
    digits.then(|| text.parse::<f64>().ok()).flatten().filter(|number| number.is_finite())
}

/// A quantity with its unit; a fault that names the accepted units when it is none.
pub(crate) fn read_quantity<T>(desk: &Desk, at: &Spot, key: &str, text: &str) -> Option<T>
where
    T: FromStr,
    T::Err: Display,
{
    // Nothing that long is a quantity, and messages stay short.
    match cut(text).parse::<T>() {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            desk.fault(at, FaultKind::Quantity { key: key.to_owned(), problem: error.to_string() });
            None
        }
    }
}

/// The value of a word, spelled freely as to case, spaces and hyphens.
pub(crate) fn look_up<T: Clone>(text: &str, words: &[(&'static str, T)]) -> Option<T> {
    let text = plain(text);
    words.iter().find(|(word, _)| plain(word) == text).map(|(_, value)| value.clone())
}
