//! What settles the order of day and month where the dates of a log fit more than one: weekdays beside them, other
//! dates of the file, the date in its name.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate, TimeDelta};
use grainfall_record::Certainty;

use super::stamp::{DateText, Order, Stamp};
use crate::columns::heading::tokens;
use crate::notes::cut;
use crate::siblings::Told;
use crate::words::{longest, words};

/// What stands around the rows of a file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Around<'a> {
    /// Its path within the folder.
    pub name: &'a str,
    pub facts: &'a BTreeMap<String, String>,
    /// What other files of the folder settle for it.
    pub told: Option<&'a Told>,
}

/// Every order that the dates fit, with the dates it makes of them, in file order.
pub(super) type Readings = [(Order, Vec<NaiveDate>)];

/// An order with the reason for it.
pub(super) type Verdict = (Order, String, Certainty);

/// The only order whose dates pass a test.
fn only(readings: &Readings, passes: impl Fn(Order, &[NaiveDate]) -> bool) -> Option<Order> {
    let mut fit = readings.iter().filter(|(order, dates)| !dates.is_empty() && passes(*order, dates));
    match (fit.next(), fit.next()) {
        (Some((order, _)), None) => Some(*order),
        _ => None,
    }
}

/// By weekdays: of each date as written, the weekday written beside it (1 is Monday) and a text to show.
pub(super) fn by_weekday(readings: &Readings, written: &[(DateText, u8, String)]) -> Option<Verdict> {
    let (text, day, shown) = written.first()?;
    let agrees = |text: &DateText, day: u8, order| {
        text.date(order).is_some_and(|date| date.weekday().number_from_monday() == u32::from(day))
    };
    let order = only(readings, |order, _| written.iter().all(|(text, day, _)| agrees(text, *day, order)))?;
    debug_assert!(agrees(text, *day, order));
    Some((order, format!("only so is `{shown}` on the weekday written beside it"), Certainty::Settled))
}

/// By dates around the rows that leave no doubt.
pub(super) fn by_dates(readings: &Readings, around: Around<'_>) -> Option<Verdict> {
    by_form(readings, around.facts)
        .or_else(|| by_start(readings, around.facts))
        .or_else(|| by_writing(readings, around.facts))
        .or_else(|| by_name(readings, around.name))
}

/// A date in the same form that fits one order only: one program wrote both.
fn by_form(readings: &Readings, facts: &BTreeMap<String, String>) -> Option<Verdict> {
    dated(facts).find_map(|(key, text, date)| {
        if date.is_known() {
            return None;
        }
        let order = only(readings, |order, _| date.date(order).is_some())?;
        Some((order, format!("`{text}` in `{key}` fits no other order"), Certainty::Settled))
    })
}

/// A start stated beyond doubt, which is the day of the first row.
fn by_start(readings: &Readings, facts: &BTreeMap<String, String>) -> Option<Verdict> {
    known(facts).find_map(|(key, text, start)| {
        longest(&words().start, &about(key, facts))?;
        let order = only(readings, |_, dates| dates.iter().min() == Some(&start))?;
        Some((order, format!("only so do the rows begin on the day of `{key}`, `{text}`"), Certainty::Settled))
    })
}

/// The day a file was written, after which it has no rows.
fn by_writing(readings: &Readings, facts: &BTreeMap<String, String>) -> Option<Verdict> {
    known(facts).find_map(|(key, text, written)| {
        longest(&words().written, &about(key, facts))?;
        // A day of room for clocks of other zones.
        let last = written.succ_opt()?;
        let order = only(readings, |_, dates| dates.iter().all(|date| *date <= last))?;
        Some((order, format!("any other way rows would be later than `{key}`, `{text}`"), Certainty::Settled))
    })
}

/// A day within one of the readings' spans, in the name of the file.
fn by_name(readings: &Readings, name: &str) -> Option<Verdict> {
    // Of a sheet or a section, the file it lies in.
    let day = day_in(name.rsplit('/').find(|part| part.contains('.'))?)?;
    let order = only(readings, |_, dates| covers(dates, day))?;
    Some((order, format!("only so are the rows of the day in the file's name, {day}"), Certainty::Settled))
}

/// A date of unknown meaning around the rows that falls on the day of one reading.
pub(super) fn by_any_date(readings: &Readings, around: Around<'_>) -> Option<Verdict> {
    known(around.facts).find_map(|(key, text, day)| {
        let order = only(readings, |_, dates| covers(dates, day))?;
        let reason = format!("only so are the rows of the day that `{key}` gives, `{text}`");
        Some((order, reason, Certainty::Guess))
    })
}

/// The words that say what a fact is about: its key, or the whole of a sentence.
fn about(key: &str, facts: &BTreeMap<String, String>) -> Vec<String> {
    match facts.get(key).filter(|_| key.starts_with("line ")) {
        Some(sentence) => tokens(sentence),
        None => tokens(key),
    }
}

fn covers(dates: &[NaiveDate], day: NaiveDate) -> bool {
    let day_apart = TimeDelta::days(1);
    match (dates.iter().min(), dates.iter().max()) {
        (Some(first), Some(last)) => *first - day <= day_apart && day - *last <= day_apart,
        _ => false,
    }
}

/// Dates among the facts: key, text, date.
fn dated(facts: &BTreeMap<String, String>) -> impl Iterator<Item = (&str, String, DateText)> {
    stamps(facts).filter_map(|(key, text, stamp)| Some((key, text, stamp.date?)))
}

/// The stamp of a start among the facts: key, text, stamp.
pub(super) fn starts(facts: &BTreeMap<String, String>) -> impl Iterator<Item = (&str, String, Stamp)> {
    stamps(facts).filter(|(key, ..)| longest(&words().start, &about(key, facts)).is_some())
}

/// Stamps with a date among the facts: key, text, stamp.
pub(super) fn stamps(facts: &BTreeMap<String, String>) -> impl Iterator<Item = (&str, String, Stamp)> {
    facts.iter().flat_map(|(key, value)| {
        let parts: Vec<&str> = value.split_whitespace().collect();
        let mut found = Vec::new();
        for start in 0..parts.len() {
            for end in (start + 1..=parts.len().min(start + 3)).rev() {
                let text = parts[start..end].join(" ");
                let text = text.trim_matches([',', ';', '.', '(', ')']);
                if let Some(stamp) = Stamp::parse(text).filter(|stamp| stamp.date.is_some()) {
                    found.push((key.as_str(), cut(text, 40), stamp));
                    break;
                }
            }
        }
        found
    })
}

fn known(facts: &BTreeMap<String, String>) -> impl Iterator<Item = (&str, String, NaiveDate)> {
    dated(facts).filter_map(|(key, text, date)| match date {
        DateText::Known(date) => Some((key, text, date)),
        _ => None,
    })
}

/// A year of four digits, a month and a day of two in a name: `2024-03-04`, `2024_03_04`, `20240304`.
fn day_in(name: &str) -> Option<NaiveDate> {
    let bytes = name.as_bytes();
    (0..bytes.len()).find_map(|at| {
        let before = at.checked_sub(1).is_some_and(|before| bytes[before].is_ascii_digit());
        let digits = |from: usize, len: usize| {
            let text = name.get(from..from + len).filter(|text| text.bytes().all(|b| b.is_ascii_digit()))?;
            text.parse::<u32>().ok()
        };
        let year = digits(at, 4).filter(|year| !before && (1990..2100).contains(year))?;
        let mark = usize::from(bytes.get(at + 4).is_some_and(|mark| matches!(mark, b'-' | b'_' | b'.' | b' ')));
        if mark == 1 && bytes.get(at + 7) != bytes.get(at + 4) {
            return None;
        }
        let (month, day) = (digits(at + 4 + mark, 2)?, digits(at + 6 + 2 * mark, 2)?);
        NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_in_names() {
        let day = |text: &str| day_in(text).map(|day| day.to_string());
        for name in ["hall_2024-03-04.csv", "20240304.csv", "2024_03_04 hall.csv", "a20240304_1200.csv"] {
            assert_eq!(day(name).as_deref(), Some("2024-03-04"), "{name}");
        }
        for name in ["hall.csv", "120240304.csv", "2024-03_04.csv", "1034.csv", "2024-13-04.csv", "03-04-2024.csv"] {
            assert_eq!(day(name), None, "{name}");
        }
    }

    #[test]
    fn dates_in_facts() {
        let facts = BTreeMap::from([("Printed".to_owned(), "by nobody on March 5, 2024 (09:00)".to_owned())]);
        let found: Vec<String> = known(&facts).map(|(_, text, day)| format!("{text}: {day}")).collect();
        assert_eq!(found, ["March 5, 2024: 2024-03-05"]);
    }
}
