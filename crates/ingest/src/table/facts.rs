//! Facts around the data: `Key: value`, `key,value`, and sentences.

use std::collections::BTreeMap;
use std::ops::Range;

use super::{Delimiter, Layout, Table};
use crate::columns::heading::tokens;
use crate::notes::cut;
use crate::words::{Identity, longest, words};

/// Facts kept of one file at most.
const MOST: usize = 200;

/// The facts of the rows before the header.
pub(crate) fn facts(table: &Table<'_>, layout: &Layout) -> BTreeMap<String, String> {
    of_rows(table, 0..layout.preamble, layout.delimiter)
}

/// The facts of these rows.
pub(super) fn of_rows(table: &Table<'_>, rows: Range<usize>, delimiter: Delimiter) -> BTreeMap<String, String> {
    let mut facts = BTreeMap::new();
    for row in rows {
        if table.is_blank(row) || facts.len() >= MOST {
            continue;
        }
        let cells = table.pieces(row, delimiter);
        if cells.len() >= 2 && !cells[0].contains(": ") {
            let key = cells[0].trim_start_matches('#').trim().trim_end_matches([':', '=']).trim();
            if key.chars().count() <= 60 {
                put(&mut facts, key, &cells[1..].join(", "));
                continue;
            }
        }
        let mut found = false;
        for cell in &cells {
            if let Some((key, value)) = pair(cell) {
                put(&mut facts, key, value);
                found = true;
            }
        }
        if !found {
            let key = format!("line {}", table.line(row));
            put(&mut facts, &key, &cells.join(", "));
        }
    }
    facts
}

/// `Key: value` or `Key = value` in one cell.
fn pair(cell: &str) -> Option<(&str, &str)> {
    let cell = cell.trim_start_matches('#').trim();
    let at = cell.find([':', '='])?;
    let (key, value) = (cell[..at].trim(), cell[at + 1..].trim());
    let named = key.chars().any(char::is_alphabetic) && key.chars().count() <= 40;
    (named && !value.is_empty()).then_some((key, value))
}

fn put(facts: &mut BTreeMap<String, String>, key: &str, value: &str) {
    let (key, value) = (cut(key, 60), cut(value, 200));
    if !key.is_empty() && !value.is_empty() {
        facts.entry(key).or_insert(value);
    }
}

/// The serial number among the facts: the key's name and the value.
pub(crate) fn serial(facts: &BTreeMap<String, String>) -> Option<(&str, &str)> {
    let named = |strength| {
        facts.iter().find(|(key, value)| {
            let tokens = tokens(key);
            longest(&words().identity, &tokens)
                .is_some_and(|found| found.means == strength && found.len == tokens.len() && usable(value, strength))
        })
    };
    named(Identity::Serial).or_else(|| named(Identity::Device)).map(|(key, value)| (key.as_str(), value.as_str()))
}

/// What tells the logger of these facts from others: the value of the fact that says which instrument or which place
/// it is, the strongest first.
pub(super) fn identity(facts: &BTreeMap<String, String>) -> Option<&str> {
    let value = |strength: Identity| {
        facts.iter().find(|(key, value)| {
            let tokens = tokens(key);
            let named = longest(&words().identity, &tokens);
            named.is_some_and(|found| found.means == strength && found.len == tokens.len())
                && value.chars().count() <= 40
        })
    };
    let found = [Identity::Serial, Identity::Device, Identity::Group].into_iter().find_map(value);
    found.map(|(_, value)| value.as_str())
}

/// Whether a fact holds for one logger of a file only: which one it is, and when it began.
pub(crate) fn is_own(key: &str) -> bool {
    let tokens = tokens(key);
    longest(&words().identity, &tokens).is_some_and(|found| found.len == tokens.len())
        || longest(&words().start, &tokens).is_some()
        || key.starts_with("line ")
}

/// Whether a value can be the number of an instrument.
pub(crate) fn usable(value: &str, strength: Identity) -> bool {
    let digits = value.bytes().filter(u8::is_ascii_digit).count();
    let short = value.chars().count() <= 40 && !value.contains(['/', '\\', ',']);
    match strength {
        Identity::Serial => short && value.chars().any(char::is_alphanumeric),
        Identity::Device => short && digits >= 4 && !value.contains(' '),
        Identity::Group => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notes::Notes;
    use crate::table::layout::layout;

    fn read(text: &str) -> BTreeMap<String, String> {
        let table = Table::split(text, Delimiter::Comma);
        let layout = layout(&table, Delimiter::Comma, &mut Notes::default()).unwrap();
        facts(&table, &layout)
    }

    #[test]
    fn pairs_and_sentences() {
        let facts = read(
            "# Serial Number: 20-123\nJob,44,x\nAll times are UTC\nInterval = 10 min\n\nTime,Temp,RH\n2024-01-01 00:00,1,2\n2024-01-01 00:10,1,2\n",
        );
        let want =
            [("Interval", "10 min"), ("Job", "44, x"), ("Serial Number", "20-123"), ("line 3", "All times are UTC")];
        assert_eq!(facts.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect::<Vec<_>>(), want);
        assert_eq!(serial(&facts), Some(("Serial Number", "20-123")));
    }

    #[test]
    fn a_device_name_is_no_number() {
        let facts = |key: &str, value: &str| BTreeMap::from([(key.to_owned(), value.to_owned())]);
        assert!(serial(&facts("Device", "hall sensor")).is_none());
        assert!(serial(&facts("Device", "A10234")).is_some());
        assert!(serial(&facts("S/N", "X1")).is_some());
        assert!(serial(&facts("Description", "12345")).is_none());
    }
}
