//! A table of cells, and its bytes.

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use csv::{QuoteStyle, Terminator, WriterBuilder};
use grainfall_analysis::evidence::SourceRow;

use crate::model::shown::Shown;
use crate::number_format::fixed;
use crate::text_filter::for_any_faces;
use crate::words::Words;
use crate::{Error, UnitSystem};

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Field {
    /// Text that a file or a person wrote, or one of our words.
    Text(String),
    /// A number, final.
    Number(String),
    /// A civil day.
    Day(NaiveDate),
    /// An instant: wall time in the job's zone, and the same with its offset in ISO 8601.
    Instant {
        /// Wall time.
        local: NaiveDateTime,
        /// `2025-10-06T08:42:00-05:00`.
        iso: String,
    },
    /// The record has no value.
    Empty,
}

/// A table.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// File name without its ending.
    pub name: &'static str,
    /// Names of the columns, with units.
    pub header: Vec<String>,
    /// Rows, each as long as the header.
    pub rows: Vec<Vec<Field>>,
}

impl Sheet {
    /// An empty table.
    ///
    /// In a column name `{temp}`, `{ratio}`, `{pressure}` and `{water}` stand for the unit of the report.
    #[must_use]
    pub fn new(name: &'static str, units: UnitSystem, header: &[&str]) -> Self {
        let (temp, ratio, pressure, water) = match units {
            UnitSystem::Us => ("f", "gpp", "inhg", "pints"),
            UnitSystem::Si => ("c", "g_per_kg", "kpa", "litres"),
        };
        let header = header
            .iter()
            .map(|column| {
                column
                    .replace("{temp}", temp)
                    .replace("{ratio}", ratio)
                    .replace("{pressure}", pressure)
                    .replace("{water}", water)
            })
            .collect();
        Self { name, header, rows: Vec::new() }
    }

    /// The file.
    ///
    /// # Errors
    /// [`Error::Table`] when a row is not as long as the header.
    pub fn bytes(&self) -> Result<Vec<u8>, Error> {
        let failed = |reason: String| Error::Table { table: format!("{}.csv", self.name), reason };
        let mut writer = WriterBuilder::new()
            .terminator(Terminator::CRLF)
            .quote_style(QuoteStyle::Necessary)
            .from_writer(Vec::new());
        writer.write_record(&self.header).map_err(|fault| failed(fault.to_string()))?;
        for row in &self.rows {
            writer.write_record(row.iter().map(cell)).map_err(|fault| failed(fault.to_string()))?;
        }
        writer.into_inner().map_err(|fault| failed(fault.to_string()))
    }
}

fn cell(field: &Field) -> String {
    match field {
        Field::Text(text) => neutral(text),
        Field::Number(number) => number.clone(),
        Field::Day(date) => date.format("%Y-%m-%d").to_string(),
        Field::Instant { iso, .. } => iso.clone(),
        Field::Empty => String::new(),
    }
}

/// The text as a spreadsheet shows it instead of running it.
fn neutral(text: &str) -> String {
    let shown = for_any_faces(text).text;
    let starts_formula = shown.trim_start().starts_with(['=', '+', '-', '@']) || text.starts_with(['\t', '\r']);
    if starts_formula { format!("'{shown}") } else { shown }
}

/// A text.
pub(super) fn text(value: impl Into<String>) -> Field {
    Field::Text(value.into())
}

/// A text that may be missing.
pub(super) fn maybe_text(value: Option<&String>) -> Field {
    value.map_or(Field::Empty, |value| Field::Text(value.clone()))
}

/// Texts, joined.
pub(super) fn texts(values: &[String]) -> Field {
    if values.is_empty() { Field::Empty } else { Field::Text(values.join("; ")) }
}

/// A number with a fixed number of decimals.
pub(super) fn number(value: f64, decimals: usize) -> Field {
    Field::Number(fixed(value, decimals))
}

/// A number that may be missing.
pub(super) fn maybe(value: Option<f64>, decimals: usize) -> Field {
    value.map_or(Field::Empty, |value| number(value, decimals))
}

/// A count.
pub(super) fn whole(value: impl Into<u64>) -> Field {
    Field::Number(value.into().to_string())
}

/// `yes` or `no`.
pub(super) fn yes_no(value: bool) -> Field {
    text(if value { "yes" } else { "no" })
}

/// `yes`, `no` or nothing.
pub(super) fn maybe_yes_no(value: Option<bool>) -> Field {
    value.map_or(Field::Empty, yes_no)
}

/// A civil day.
pub(super) fn date(value: NaiveDate) -> Field {
    Field::Day(value)
}

/// An instant with the zone's offset.
pub(super) fn instant(shown: &Shown, value: DateTime<Utc>) -> Field {
    Field::Instant { local: value.with_timezone(&shown.zone).naive_local(), iso: shown.iso(value) }
}

/// An instant that may be missing.
pub(super) fn maybe_instant(shown: &Shown, value: Option<DateTime<Utc>>) -> Field {
    value.map_or(Field::Empty, |value| instant(shown, value))
}

/// Rows, all of them.
pub(super) fn rows(rows: &[SourceRow]) -> Field {
    if rows.is_empty() { Field::Empty } else { text(crate::model::shown::rows(Words::default(), rows, usize::MAX)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bytes(cells: Vec<Field>) -> String {
        let header: Vec<String> = (0..cells.len()).map(|i| format!("c{i}")).collect();
        let sheet = Sheet { name: "t", header, rows: vec![cells] };
        let all = String::from_utf8(sheet.bytes().unwrap()).unwrap();
        all.split_once("\r\n").unwrap().1.trim_end_matches("\r\n").to_owned()
    }

    #[test]
    fn a_text_that_looks_like_a_formula_is_neutralised() {
        for (found, want) in [
            ("=cmd()", "'=cmd()"),
            ("+1", "'+1"),
            ("-1", "'-1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "' =1"),
            ("\r=1", "' =1"),
            (" =1", "' =1"),
            ("plain = text", "plain = text"),
            ("", "\"\""),
        ] {
            assert_eq!(bytes(vec![text(found)]), want, "{found:?}");
        }
    }

    #[test]
    fn numbers_are_left_alone() {
        assert_eq!(bytes(vec![number(-12.25, 1), maybe(None, 1), whole(3_u64)]), "-12.3,,3");
    }

    #[test]
    fn quotes_commas_and_line_ends_stay_in_their_cell() {
        assert_eq!(bytes(vec![text("a \"b\", c"), text("d\ne")]), "\"a \"\"b\"\", c\",d e");
        assert_eq!(bytes(vec![text("a\u{0}b"), text("c")]), "a[U+0000]b,c");
    }

    #[test]
    fn a_row_of_another_length_is_refused() {
        let header = vec!["a".to_owned(), "b".to_owned()];
        let sheet = Sheet { name: "t", header, rows: vec![vec![Field::Empty]] };
        let fault = sheet.bytes().unwrap_err().to_string();
        assert!(fault.starts_with("table `t.csv`: "), "{fault}");
    }
}
