//! What people write: the job sheet, goals and visits.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::Scale;

/// The job in the technician's words. Quantities are texts with units, as `job.toml` wants them.
#[derive(Debug, Clone, PartialEq)]
pub struct JobSheet {
    /// Job number.
    pub number: String,
    /// Title.
    pub title: String,
    /// Claim reference.
    pub claim: String,
    /// The zone of its civil days.
    pub zone: Tz,
    /// Elevation with unit (`"620 ft"`).
    pub elevation: String,
    /// When the water came.
    pub loss_at: DateTime<Utc>,
    /// Category of water, 1 to 3.
    pub category: u8,
    /// Class of water, 1 to 4.
    pub class: u8,
    /// Edition of the standard both are taken from.
    pub edition: String,
    /// How equipment-days are counted.
    pub day_rule: DayRule,
    /// A unit that leaves within these minutes after a period began takes the verdict before it.
    pub pull_window_min: i64,
    /// Readings in a row that must meet a goal.
    pub confirm_readings: u32,
}

/// How equipment-days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayRule {
    /// Periods of 24 hours from the moment of placing.
    Hours24,
    /// Civil days of the job's zone.
    Calendar,
}

/// What the technician writes of a chamber.
#[derive(Debug, Clone, PartialEq)]
pub struct ChamberSheet {
    /// Name.
    pub name: String,
    /// Floor area with unit.
    pub floor_area: String,
    /// Volume with unit.
    pub volume: String,
    /// Drying starts here, after demolition or decontamination.
    pub drying_from: Option<DateTime<Utc>>,
    /// Why equipment ran before.
    pub before_drying_reason: Option<String>,
}

/// A kind of material as the job lists it.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialSheet {
    /// The kind.
    pub kind: String,
    /// Its scale.
    pub scale: Scale,
    /// Its goal, when the kind has one.
    pub goal: Option<f64>,
}

/// A point's drying goal. A written goal goes first, then the material's, then common practice on the dry standard.
#[derive(Debug, Clone, PartialEq)]
pub enum Goal {
    /// No dry standard and no goal of its own.
    None,
    /// A value written for the point.
    Written(f64),
    /// Common practice on a dry standard that a person wrote.
    DryStandard(f64),
    /// Common practice on the median of reference points.
    References(Vec<String>),
}

/// A point taken out of the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ended {
    /// When.
    pub at: DateTime<Utc>,
    /// Why.
    pub reason: String,
}

/// One visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Arrival, on a whole minute.
    pub at: DateTime<Utc>,
    /// Initials.
    pub by: String,
    /// Credential, in words.
    pub credential: String,
    /// Instruments, in words.
    pub instruments: String,
    /// Why.
    pub reason: String,
    /// Photos, in words.
    pub photos: String,
    /// Note.
    pub note: String,
    /// Material readings.
    pub readings: Vec<PlannedReading>,
    /// Air readings.
    pub air: Vec<PlannedAir>,
    /// Units whose condensate is measured, minutes after arrival.
    pub condensate: Vec<(String, i64)>,
    /// Units whose hour meter is read, minutes after arrival.
    pub hour_meters: Vec<(String, i64)>,
}

/// A material reading planned in a visit.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedReading {
    /// Which point.
    pub point: String,
    /// Minutes after arrival.
    pub after_min: i64,
    /// What comes of it.
    pub what: What,
    /// Note.
    pub note: String,
}

/// What comes of a planned reading.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A value by the point's own meter.
    Value,
    /// A value by the point's own meter and the temperature of the surface.
    ValueAndSurface,
    /// A value by another meter.
    OtherMeter(String),
    /// No reading, and why.
    NoReading(String),
}

/// An air reading planned in a visit, with the visit's own hygrometer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlannedAir {
    /// Which air.
    pub source: super::AirSource,
    /// Minutes after arrival.
    pub after_min: i64,
}
