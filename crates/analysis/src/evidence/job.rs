//! What the job's files say, and what was assumed where they are silent.

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_words::DateStyle;
use schemars::JsonSchema;
use serde::Serialize;

/// A line of an input file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct SourceRow {
    /// Path relative to the job folder.
    pub file: String,
    /// Line, from 1.
    pub row: u64,
}

impl From<&grainfall_record::RowRef> for SourceRow {
    fn from(row: &grainfall_record::RowRef) -> Self {
        Self { file: row.file.to_string(), row: row.row }
    }
}

/// What the report's clock is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ClockBasis {
    /// The last sample of any logger.
    LastSample,
    /// The last entry of the job's own files, as there is no sample after it.
    LastEntry,
    /// Given by the person who asked for the report.
    AsOf,
}

/// What the job's files say of the job.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JobFacts {
    /// Name of the folder.
    pub folder: String,
    /// Job number.
    pub number: Option<String>,
    /// Title.
    pub title: Option<String>,
    /// Claim reference.
    pub claim: Option<String>,
    /// IANA zone of the civil days.
    pub time_zone: String,
    /// Whether the job states the zone; otherwise UTC stands in.
    pub time_zone_stated: bool,
    /// How dates are written in sentences, here and in the report; instants of their own are ISO 8601.
    pub dates: DateStyle,
    /// When the water came.
    pub loss_at: Option<DateTime<Utc>>,
    /// Category of water with its history, in words.
    pub category: Vec<String>,
    /// Class of water with its history, in words.
    pub class: Vec<String>,
    /// How equipment-days are counted, in words.
    pub equipment_day: String,
    /// A unit that leaves within this time after a period began takes the verdict before it, hours.
    pub pull_window_h: f64,
    /// Whether the job states that time; otherwise the project's convention stands in.
    pub pull_window_stated: bool,
    /// Readings in a row that must meet a goal.
    pub confirm_readings: u32,
    /// First instant of the record (first sample, reading or placing).
    pub record_from: Option<DateTime<Utc>>,
}

/// The air pressure used.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct PressureUsed {
    /// Pressure, Pa; the median where it is logged.
    pub pressure_pa: f64,
    /// Its expanded uncertainty (k = 2), Pa; part of every uncertainty of grains, enthalpy and water removed.
    pub u_pressure_pa: f64,
    /// Where it comes from.
    pub basis: PressureBasis,
    /// The stated elevation it was computed from, m; `null` where it has another basis.
    pub elevation_m: Option<f64>,
}

/// Where the air pressure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PressureBasis {
    /// Written in the job.
    Stated,
    /// From the written elevation, by the standard atmosphere.
    Elevation,
    /// A logged station pressure.
    Logged,
    /// The standard atmosphere at sea level, because nothing else is known.
    SeaLevel,
}

/// One civil day of the job's zone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Day {
    /// Day of the job, from 1.
    pub number: u32,
    /// The date.
    pub date: NaiveDate,
    /// First instant.
    pub from: DateTime<Utc>,
    /// First instant of the next day.
    pub to: DateTime<Utc>,
    /// Length, hours.
    pub hours: f64,
}

/// A visit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct VisitFacts {
    /// When.
    pub time: DateTime<Utc>,
    /// By whom, as written.
    pub by: Option<String>,
    /// Credential, as written.
    pub credential: Option<String>,
    /// Instruments, as written.
    pub instruments: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Photos, as written.
    pub photos: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Where it is written.
    pub row: SourceRow,
}

/// A recorded pause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PauseFacts {
    /// Start.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
    /// Units; empty means all.
    pub units: Vec<String>,
    /// Why.
    pub reason: String,
    /// Where it is written.
    pub row: SourceRow,
}

/// Something assumed because nothing was stated.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Assumption {
    /// What is assumed, in a sentence.
    pub text: String,
    /// Where the assumed value comes from.
    pub source: String,
    /// How to state it instead.
    pub remedy: String,
}
