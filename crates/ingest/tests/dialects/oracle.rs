//! Whether a dialect leaves a log two readings: judged from the truth alone, without any code of the reader.

use std::collections::BTreeSet;

use chrono::{Datelike, MappedLocalTime, NaiveDate, TimeDelta, TimeZone, Timelike};

use crate::axes::Dialect;
use crate::log::{Log, job_zone};
use crate::write::exported;

/// What a log written in a dialect leaves open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// Day and month of its only date can be exchanged.
    Dates,
    /// Hours from 1 to 12 that pass neither noon nor midnight and may be of either half of the day.
    Halves,
    /// Its first stamp is of the hour that occurs twice, and no row shows which pass.
    Pass,
}

/// The doubts a log written in a dialect leaves.
pub fn doubts(log: &Log, dialect: &Dialect) -> Vec<Doubt> {
    let all =
        [(Doubt::Dates, dates(log, dialect)), (Doubt::Halves, halves(log, dialect)), (Doubt::Pass, pass(log, dialect))];
    all.into_iter().filter_map(|(doubt, left)| left.then_some(doubt)).collect()
}

fn days(log: &Log, dialect: &Dialect) -> BTreeSet<NaiveDate> {
    (0..log.rows()).map(|row| log.wall(dialect, row).date()).collect()
}

/// With its day for its month; `None` when there is no such month.
fn exchanged(day: NaiveDate) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(day.year(), day.day(), day.month())
}

/// Steps of an hour at most reach from one date to the next, so a log of two days is told by them. One day alone stays
/// open unless something else gives a day that only one reading has.
fn dates(log: &Log, dialect: &Dialect) -> bool {
    let numbers = [
        "us am pm",
        "us two-digit year",
        "day first slashes",
        "day first dots",
        "date and time columns",
        "weekday before",
        "weekday behind",
        "time before date",
        "twelve hours unmarked",
    ];
    let date_cells = dialect.typed();
    let days = days(log, dialect);
    let (Some(day), 1) = (days.first(), days.len()) else { return false };
    let Some(other) = exchanged(*day).filter(|other| other != day) else { return false };
    if !numbers.contains(&dialect.of("times")) || date_cells {
        return false;
    }
    let written_weekday = dialect.of("times").starts_with("weekday") || dialect.is("another date", "weekday column");
    if written_weekday && day.weekday() != other.weekday() {
        return false;
    }
    match dialect.of("another date") {
        // The file is named by the day of its last row.
        "file name" => (*day - other).num_days().abs() <= 1,
        // It was exported an hour after its last row; a day later than that, with one of room, cannot be meant.
        "exported above" => other - TimeDelta::days(1) <= exported(log, dialect).date(),
        "printed in one form" => false,
        _ => true,
    }
}

/// A clock of twelve hours that passes neither noon nor midnight; or hours from 0 to 23 all of which could be such.
/// Dates that begin with their year go with hours from 00 to 23 (ISO 8601-1:2019, 4.3.8; from memory), and so do those
/// with dots (common practice, no source): `write` writes no others in these forms that could be taken for such.
fn halves(log: &Log, dialect: &Dialect) -> bool {
    let walls = (0..log.rows()).map(|row| log.wall(dialect, row));
    match dialect.of("times") {
        "twelve hours unmarked" => one_half(log, dialect),
        "us two-digit year" | "day first slashes" | "weekday before" | "weekday behind" | "month name"
            if !dialect.typed() =>
        {
            let hours: BTreeSet<u32> = walls.map(|wall| wall.hour()).collect();
            // Twelve beside other hours of one day can only be noon.
            hours.iter().all(|hour| (1..=12).contains(hour)) && (hours.len() == 1 || !hours.contains(&12))
        }
        _ => false,
    }
}

/// Whether a log lies within one half of a day.
pub fn one_half(log: &Log, dialect: &Dialect) -> bool {
    let half = |row: usize| {
        let wall = log.wall(dialect, row);
        (wall.date(), wall.hour() >= 12)
    };
    (1..log.rows()).all(|row| half(row) == half(0))
}

/// A log that begins in the hour that occurs twice can be of a clock in its first pass that never changed, or of one
/// in its second pass; it is told only where rows show both passes.
fn pass(log: &Log, dialect: &Dialect) -> bool {
    if dialect.absolute() || !dialect.changes() {
        return false;
    }
    let zone = if dialect.is("clock", "stated zone") { chrono_tz::America::Chicago } else { job_zone(dialect) };
    let repeated = |row: usize| {
        let wall = log.wall(dialect, row);
        matches!(zone.offset_from_local_datetime(&wall), MappedLocalTime::Ambiguous(..))
    };
    // A change that the rows cross shows as a step on the wall that is none of the log's.
    let step = |row: usize| (log.wall(dialect, row) - log.wall(dialect, row - 1)).num_milliseconds();
    let usual = (log.time(dialect, 1) - log.time(dialect, 0)).num_milliseconds();
    let crosses = (1..log.rows()).any(|row| (step(row) - usual).abs() > 1000);
    if dialect.of("times").starts_with("elapsed") {
        // The start alone is written.
        return repeated(0);
    }
    (repeated(0) || (0..log.rows()).all(repeated)) && !crosses
}
