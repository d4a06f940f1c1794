//! `[[logger]]` and `[[side_by_side]]`.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::str::FromStr;

use grainfall_psychrometrics::{CelsiusDelta, RelativeHumidityDelta};
use grainfall_record::{Clock, ColumnHint, Hours, LoggerSelector, Quantity};
use toml::de::DeValue;

use super::desk::{Desk, Target};
use super::entry::{Entry, Placed, Raw, Source, found, look_up};
use super::time::read_offset;
use crate::fault::{FaultKind, Unknown};
use crate::keys;
use crate::model::{LoggerPlacement, Place, SensorStatement, SideBySide, Span, StatedBias};
use crate::suggest::plain;

/// The placements of the file.
pub(crate) fn read(desk: &Desk, entries: &[Entry<'_>]) -> Vec<Placed<LoggerPlacement>> {
    entries.iter().filter_map(|entry| placement(desk, entry)).collect()
}

fn placement(desk: &Desk, entry: &Entry<'_>) -> Option<Placed<LoggerPlacement>> {
    entry.one_of(desk, &["serial", "file"]);
    let select = selector(desk, entry, "serial", "file", "channel");
    let place = entry.word(desk, "place", &Place::WORDS);
    let chamber = entry.reference(desk, "chamber", Target::Chamber);
    let unit = entry.reference(desk, "unit", Target::Unit);
    let span = Span { from: entry.time(desk, "from"), to: entry.time(desk, "to") };
    let clock = clock(desk, entry);
    let hours = entry.word(desk, "hours", &Hours::WORDS);
    let columns = columns(desk, entry);
    let bases = [("limits", false), ("k=2", true)];
    let accuracy = SensorStatement {
        temp: not_negative(desk, entry, "temp_accuracy", CelsiusDelta::get),
        rh_pct: not_negative(desk, entry, "rh_accuracy", RelativeHumidityDelta::get).map(RelativeHumidityDelta::get),
        stated_at_k2: entry.word(desk, "accuracy_basis", &bases).unwrap_or(false),
    };
    let calibrated = entry.date(desk, "calibrated");
    let apply = entry.flag(desk, "apply_bias");
    let bias = StatedBias {
        temp: entry.quantity::<CelsiusDelta>(desk, "bias_temp"),
        rh_pct: entry.quantity::<RelativeHumidityDelta>(desk, "bias_rh").map(RelativeHumidityDelta::get),
        apply: apply.unwrap_or(false),
    };
    let has_bias = entry.has("bias_temp") || entry.has("bias_rh");
    entry.needs(desk, "apply_bias", &["bias_temp", "bias_rh"]);
    Some(entry.placed(LoggerPlacement {
        select: select?,
        place,
        chamber,
        unit,
        span,
        clock,
        hours,
        columns,
        accuracy,
        calibrated,
        bias: has_bias.then_some(bias),
        line: entry.row(),
    }))
}

/// Loggers that stood side by side.
pub(crate) fn read_side_by_side(desk: &Desk, entries: &[Entry<'_>]) -> Vec<Placed<SideBySide>> {
    let read = |entry: &Entry<'_>| {
        let reference = entry.text(desk, "reference").map(|text| by_name(&text));
        let loggers: Vec<_> = entry.texts(desk, "loggers").iter().map(|(text, _)| by_name(text)).collect();
        let (from, to) = (entry.time(desk, "from"), entry.time(desk, "to"));
        let apply = entry.flag(desk, "apply").unwrap_or(false);
        let (reference, from, to) = (reference?, from?, to?);
        Some(entry.placed(SideBySide { reference, loggers, from, to, apply, line: entry.row() }))
    };
    entries.iter().filter_map(read).collect()
}

/// A logger by one word: an export where it has the dot of a file name, else a serial number.
fn by_name(text: &str) -> LoggerSelector {
    match text.contains('.') {
        true => LoggerSelector::File { file: text.replace('\\', "/"), channel: None },
        false => LoggerSelector::Serial(text.to_owned()),
    }
}

/// A half-width: a quantity that is not negative.
fn not_negative<T>(desk: &Desk, entry: &Entry<'_>, key: &'static str, value: fn(T) -> f64) -> Option<T>
where
    T: FromStr + Copy,
    T::Err: Display,
{
    let width = entry.quantity::<T>(desk, key)?;
    if value(width) < 0.0 {
        entry.refuse(desk, key, entry.fields.get(key)?);
        return None;
    }
    Some(width)
}

/// A logger by serial number, or by file and channel. `None` when neither is there.
pub(crate) fn selector(
    desk: &Desk,
    entry: &Entry<'_>,
    serial: &'static str,
    file: &'static str,
    channel: &'static str,
) -> Option<LoggerSelector> {
    entry.not_both(desk, serial, file);
    entry.needs(desk, channel, &[file]);
    let by_serial = entry.text(desk, serial).map(LoggerSelector::Serial);
    let by_file = entry.text(desk, file);
    let channel = entry.text(desk, channel);
    by_serial.or_else(|| by_file.map(|file| LoggerSelector::File { file: file.replace('\\', "/"), channel }))
}

fn clock(desk: &Desk, entry: &Entry<'_>) -> Option<Clock> {
    let text = entry.text(desk, "clock")?;
    let words = [("wall", Clock::Wall), ("fixed", Clock::Fixed), ("utc", Clock::Utc), ("z", Clock::Utc)];
    let offset = || text.starts_with(['+', '-', '\u{2212}']).then(|| read_offset(&text)).flatten();
    let clock = offset()
        .map(|offset| Clock::Offset(offset.local_minus_utc()))
        .or_else(|| if text.starts_with(['+', '-']) { None } else { look_up(&text, &words) });
    if clock.is_none()
        && let Some(field) = entry.fields.get("clock")
    {
        entry.refuse(desk, "clock", field);
    }
    clock
}

fn columns(desk: &Desk, entry: &Entry<'_>) -> BTreeMap<String, ColumnHint> {
    let mut hints = BTreeMap::new();
    let Some(field) = entry.field(desk, "columns") else { return hints };
    let (Raw::Toml(DeValue::Table(fields)), Source::Toml(doc)) = (field.raw, entry.source) else {
        entry.refuse(desk, "columns", field);
        return hints;
    };
    for (header, value) in fields.iter() {
        let name = header.get_ref().as_ref().to_owned();
        match value.get_ref() {
            DeValue::String(word) if plain(word) == "ignore" => {
                hints.insert(name, ColumnHint { quantity: None, unit: None });
            }
            DeValue::Table(fields) => {
                let column = doc.entry(desk, &keys::COLUMN, fields, value.span());
                let quantity = quantity(desk, &column);
                let unit = column.text(desk, "unit");
                if quantity.is_some() {
                    hints.insert(name, ColumnHint { quantity, unit });
                }
            }
            other => {
                let found = found(other, doc.slice(value.span()));
                let accepts = "`{ quantity = \"air temperature\", unit = \"F\" }` or `\"ignore\"`".to_owned();
                desk.fault(&doc.spot(value.span().start), FaultKind::Value { key: name, found, accepts });
            }
        }
    }
    hints
}

fn quantity(desk: &Desk, entry: &Entry<'_>) -> Option<Quantity> {
    let text = entry.text(desk, "quantity")?;
    let quantity = quantity_words().into_iter().find(|(word, _)| plain(word) == plain(&text)).map(|(_, q)| q);
    if quantity.is_none() {
        let at = &entry.fields.get("quantity")?.at;
        let unknown = Unknown::new(&text, Quantity::ALL.iter().map(|quantity| quantity.label()));
        desk.fault(at, FaultKind::Word { key: "quantity".to_owned(), unknown });
    }
    quantity
}

/// Every quantity by its label, its column name and the short words of the trade.
fn quantity_words() -> Vec<(&'static str, Quantity)> {
    let mut words: Vec<(&str, Quantity)> = Vec::new();
    for quantity in Quantity::ALL {
        words.extend([(quantity.label(), quantity), (quantity.column(), quantity)]);
    }
    words.extend([
        ("air temp", Quantity::AirTemp),
        ("temperature", Quantity::AirTemp),
        ("rh", Quantity::RelativeHumidity),
        ("gpp", Quantity::HumidityRatio),
        ("grains per pound", Quantity::HumidityRatio),
        ("pressure", Quantity::Pressure),
        ("surface temp", Quantity::SurfaceTemp),
        ("moisture", Quantity::Moisture),
    ]);
    words
}
