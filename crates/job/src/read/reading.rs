//! `readings.csv`.

use std::collections::BTreeMap;

use super::desk::{Desk, Target};
use super::entry::{Entry, Field, Placed, Raw, Source};
use super::scale::possible;
use super::sheet::Sheet;
use crate::fault::{FaultKind, cut};
use crate::model::{Point, Reading, ReadingValue, Scale};
use crate::suggest::plain;

/// The readings of the file. A reading without a scale takes its point's.
pub(crate) fn read(desk: &Desk, points: &[Placed<Point>], sheet: &Sheet) -> Vec<Placed<Reading>> {
    let scales: BTreeMap<&str, Scale> = points.iter().map(|point| (point.item.id.as_str(), point.item.scale)).collect();
    sheet.entries().filter_map(|entry| reading(desk, &scales, &entry)).collect()
}

fn reading(desk: &Desk, scales: &BTreeMap<&str, Scale>, entry: &Entry<'_>) -> Option<Placed<Reading>> {
    let time = entry.time(desk, "time");
    let point = entry.reference(desk, "point", Target::Point);
    let stated = entry.scale(desk, "scale");
    let meter = entry.reference(desk, "meter", Target::Meter);
    let surface_temp = entry.temperature(desk, "surface_temp");
    let by = entry.text(desk, "by");
    let note = entry.text(desk, "note");
    let of_point = point.as_deref().and_then(|point| scales.get(point).copied());
    let scale = stated.or(if entry.has("scale") { None } else { of_point });
    let value = value(desk, entry, note.as_deref(), scale);
    Some(entry.placed(Reading {
        time: time?,
        point: point?,
        value: value?,
        scale: scale?,
        meter,
        surface_temp,
        by,
        note,
        line: entry.row(),
    }))
}

fn value(desk: &Desk, entry: &Entry<'_>, note: Option<&str>, scale: Option<Scale>) -> Option<ReadingValue> {
    let field = entry.fields.get("value");
    let text = field.map_or("", cell);
    if matches!(text, "" | "-" | "\u{2013}" | "\u{2014}") || matches!(plain(text).as_str(), "na" | "none") {
        return match note {
            // A column that is missing altogether is told once, at the header.
            _ if matches!(entry.source, Source::Csv(sheet) if !sheet.has("value")) => None,
            Some(note) => Some(ReadingValue::NoReading(note.to_owned())),
            None => {
                desk.fault(field.map_or(&entry.at, |field| &field.at), FaultKind::NoReason);
                None
            }
        };
    }
    let field = field?;
    let value = match bound(text) {
        Bound::Over => Some(ReadingValue::OverRange),
        Bound::Above(limit) => entry.cell_number(limit).map(ReadingValue::Above),
        Bound::Below => {
            desk.fault(&field.at, FaultKind::BelowRange { found: cut(text) });
            return None;
        }
        Bound::None => number(entry, text, scale).map(ReadingValue::Measured),
    };
    let number = match &value {
        Some(ReadingValue::Measured(number) | ReadingValue::Above(number)) => Some(*number),
        _ => None,
    };
    let impossible = number.is_some_and(|number| !possible(scale.unwrap_or(Scale::Relative), number));
    if value.is_none() || impossible {
        refuse(desk, entry, field, scale.filter(|_| impossible));
        return None;
    }
    value
}

fn cell<'a>(field: &Field<'a>) -> &'a str {
    match field.raw {
        Raw::Cell(cell) => cell.trim(),
        Raw::Toml(_) => "",
    }
}

/// A number, with a percent sign where the scale is one of percent.
fn number(entry: &Entry<'_>, text: &str, scale: Option<Scale>) -> Option<f64> {
    let bare = match text.strip_suffix('%') {
        Some(_) if scale == Some(Scale::Relative) => return None,
        Some(number) => number.trim_end(),
        None => text,
    };
    entry.cell_number(bare)
}

fn refuse(desk: &Desk, entry: &Entry<'_>, field: &Field<'_>, scale: Option<Scale>) {
    let accepts = match scale {
        Some(Scale::ConcreteRh) => "a number from 0 to 100".to_owned(),
        Some(_) => "a number from 0 to 10000".to_owned(),
        None => entry.accepts("value"),
    };
    desk.fault(&field.at, FaultKind::Value { key: "value".to_owned(), found: field.found(), accepts });
}

/// What a value says besides a number.
enum Bound<'a> {
    /// Over the range, limit unknown.
    Over,
    /// Over this limit.
    Above(&'a str),
    /// Below the range.
    Below,
    /// A plain number, or nothing known.
    None,
}

/// `>40`, `40+`, `OL`, `OL 40`, `OL (40)`, `over range`, `<6`, `LO`.
fn bound(text: &str) -> Bound<'_> {
    if let Some(limit) = text.strip_prefix('>').or_else(|| text.strip_suffix('+')) {
        return Bound::Above(without_percent(limit));
    }
    if text.starts_with('<') || matches!(plain(text).as_str(), "lo" | "low" | "underrange" | "ul") {
        return Bound::Below;
    }
    if matches!(plain(text).as_str(), "ol" | "over" | "overrange" | "overlimit" | "overload" | "hi") {
        return Bound::Over;
    }
    let limit = text.get(..2).filter(|start| start.eq_ignore_ascii_case("ol")).and_then(|_| text.get(2..));
    match limit {
        Some(limit) => Bound::Above(without_percent(limit.trim().trim_matches(['(', ')', '>']))),
        None => Bound::None,
    }
}

fn without_percent(text: &str) -> &str {
    let text = text.trim();
    text.strip_suffix('%').unwrap_or(text).trim()
}
