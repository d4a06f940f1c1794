//! What a person said that helps to read a file.
//!
//! Hints come from the job (the binary carries them over); reading works without any.

use std::collections::BTreeMap;

use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

use crate::Quantity;

/// How the numbers of a date are ordered where a file cannot settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DateOrder {
    /// Month, day, year.
    MonthFirst,
    /// Day, month, year.
    DayFirst,
}

/// What a logger's time stamps mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Clock {
    /// Local wall clock that follows daylight saving.
    Wall,
    /// Local time that never changes: the zone's offset in force at the first sample holds throughout.
    Fixed,
    /// UTC.
    Utc,
    /// A constant offset east of UTC, in seconds.
    Offset(i32),
}

/// What hours from 1 to 12 mean in stamps that say neither AM nor PM.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hours {
    /// Hours of a whole day, as they are written.
    WholeDay,
    /// Twelve hours counted twice a day; the earliest stamp is before noon.
    FromMorning,
    /// Twelve hours counted twice a day; the earliest stamp is of noon or later.
    FromAfternoon,
}

impl Hours {
    /// Every meaning with the word `job.toml` uses for it.
    pub const WORDS: [(&'static str, Self); 3] =
        [("24", Self::WholeDay), ("am", Self::FromMorning), ("pm", Self::FromAfternoon)];
}

/// Which logger a hint is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum LoggerSelector {
    /// The serial number found in the file.
    Serial(String),
    /// A file (relative path, or its name alone) and, in a file of several loggers, the channel.
    File {
        /// Relative path or file name.
        file: String,
        /// Channel: the part of the column name (`T3`), or the value of the logger column.
        channel: Option<String>,
    },
}

/// What a column of a file holds, said by a person; it overrules inference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ColumnHint {
    /// The quantity, or `None` for a column to leave out.
    pub quantity: Option<Quantity>,
    /// Unit as written (`F`, `%`, `inHg`); `None` leaves it to inference.
    pub unit: Option<String>,
}

/// What a person said of one logger's file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LoggerHint {
    /// The logger meant.
    pub select: LoggerSelector,
    /// What its time stamps mean; `None` leaves it to the file and the zone.
    pub clock: Option<Clock>,
    /// What hours from 1 to 12 without AM or PM mean; only for files that leave it open.
    pub hours: Option<Hours>,
    /// Columns by their header name.
    pub columns: BTreeMap<String, ColumnHint>,
}

/// Everything said that helps to read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ReadingHints {
    /// The zone in which wall-clock stamps without an offset are read; `None` reads them as UTC and says so.
    pub time_zone: Option<Tz>,
    /// The order of dates where a file cannot settle it.
    pub date_order: Option<DateOrder>,
    /// One entry per logger about which something was said.
    pub loggers: Vec<LoggerHint>,
    /// Relative paths that are not logger exports (the job's own files).
    pub not_exports: Vec<String>,
}
