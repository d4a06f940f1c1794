//! What the tests share.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test stops where it fails and says what it skips")]
#![allow(dead_code, reason = "each test file uses a part of it")]

pub mod spoiled;

use std::path::PathBuf;

use grainfall_ingest::{Reading, read_bytes};
use grainfall_record::{
    Certainty, Clock, ColumnHint, Decision, InputFile, LoggerHint, LoggerSelector, Outcome, Quantity, ReadingHints,
};

/// The folder of open logs, where there is one.
pub fn open_logs() -> Option<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data");
    if folder.is_dir() {
        return Some(folder);
    }
    println!("no folder of open logs at {}: nothing is checked", folder.display());
    None
}

/// Reads a text as the file `log.csv`.
pub fn read(text: &str) -> Reading {
    read_with(text, &ReadingHints::default())
}

pub fn read_with(text: &str, hints: &ReadingHints) -> Reading {
    read_bytes("log.csv", text.as_bytes(), hints).unwrap()
}

pub fn zone(name: &str) -> ReadingHints {
    ReadingHints { time_zone: Some(name.parse().unwrap()), ..ReadingHints::default() }
}

/// Hints about one file.
pub fn hint(
    file: &str,
    channel: Option<&str>,
    clock: Option<Clock>,
    columns: &[(&str, Option<Quantity>, Option<&str>)],
) -> LoggerHint {
    LoggerHint {
        select: LoggerSelector::File { file: file.into(), channel: channel.map(str::to_owned) },
        clock,
        hours: None,
        columns: columns
            .iter()
            .map(|(name, quantity, unit)| {
                ((*name).to_owned(), ColumnHint { quantity: *quantity, unit: unit.map(str::to_owned) })
            })
            .collect(),
    }
}

pub fn input(reading: &Reading) -> &InputFile {
    assert_eq!(reading.ledger.inputs.len(), 1);
    &reading.ledger.inputs[0]
}

#[track_caller]
pub fn decision<'r>(reading: &'r Reading, topic: &str) -> &'r Decision {
    let decisions = &input(reading).decisions;
    decisions
        .iter()
        .find(|d| d.topic == topic)
        .unwrap_or_else(|| panic!("no decision on `{topic}` among {decisions:#?}"))
}

#[track_caller]
pub fn assert_decision(reading: &Reading, topic: &str, value: &str, reason: &str, certainty: Certainty) {
    let found = decision(reading, topic);
    assert_eq!((found.value.as_str(), found.reason.as_str(), found.certainty), (value, reason, certainty), "{topic}");
}

#[track_caller]
pub fn assert_refused_file(reading: &Reading, reason: &str, remedy: &str) {
    match &input(reading).outcome {
        Outcome::Refused { reason: r, remedy: m } => assert_eq!((r.as_str(), m.as_str()), (reason, remedy)),
        other => panic!("{other:?}"),
    }
    assert!(reading.frame.is_empty());
}

#[track_caller]
pub fn assert_not_a_log(reading: &Reading, reason: &str) {
    assert_eq!(input(reading).outcome, Outcome::NotALog { reason: reason.into() });
}

/// Refused rows and cells as `line column found: reason`.
pub fn refusals(reading: &Reading) -> Vec<String> {
    input(reading)
        .refused
        .iter()
        .map(|r| format!("{} {} `{}`: {}", r.row, r.column.as_deref().unwrap_or("-"), r.found, r.reason))
        .collect()
}

/// Ids of the loggers found.
pub fn ids(reading: &Reading) -> Vec<&str> {
    reading.frame.series().iter().map(|s| s.logger.as_str()).collect()
}

/// Instants of a logger, as text.
#[track_caller]
pub fn times(reading: &Reading, logger: &str) -> Vec<String> {
    let series =
        reading.frame.logger(logger).unwrap_or_else(|| panic!("no logger `{logger}` among {:?}", ids(reading)));
    series.time.iter().map(|t| t.format("%Y-%m-%dT%H:%M:%SZ").to_string()).collect()
}

#[track_caller]
pub fn column(reading: &Reading, logger: &str, quantity: Quantity) -> Vec<Option<f64>> {
    let series =
        reading.frame.logger(logger).unwrap_or_else(|| panic!("no logger `{logger}` among {:?}", ids(reading)));
    series.column(quantity).unwrap_or_else(|| panic!("no {quantity:?}")).to_vec()
}

#[track_caller]
pub fn assert_column(reading: &Reading, logger: &str, quantity: Quantity, want: &[Option<f64>]) {
    let got = column(reading, logger, quantity);
    assert_eq!(got.len(), want.len(), "{got:?}");
    for (got, want) in got.iter().zip(want) {
        match (got, want) {
            (Some(got), Some(want)) => {
                assert!((got - want).abs() <= 1e-9 * want.abs().max(1.0), "got {got}, want {want}")
            }
            _ => assert_eq!(got.is_some(), want.is_some(), "{got:?} {want:?}"),
        }
    }
}
