//! Dated facts, and what the record lacks.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::Serialize;

use super::SourceRow;

/// One dated fact with its evidence.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Finding {
    /// Number in the report, from 1.
    pub number: u32,
    /// What kind of fact.
    pub kind: FindingKind,
    /// What it is about.
    pub subject: Subject,
    /// Start.
    pub from: DateTime<Utc>,
    /// End; `null` for a moment.
    pub to: Option<DateTime<Utc>>,
    /// The fact in one sentence.
    pub text: String,
    /// The threshold it crossed, with its source or mark.
    pub threshold: String,
    /// Rows it rests on.
    pub rows: Vec<SourceRow>,
}

/// Kinds of findings, in the order they are listed at equal start.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum FindingKind {
    /// Nobody said where a logger stood.
    LoggerUnplaced,
    /// A logger has a gap.
    LoggerGap,
    /// A logger fell silent before the report's clock.
    LoggerSilent,
    /// Samples were refused.
    SamplesRefused,
    /// A unit stood without a recorded pause.
    UnitStopped,
    /// An hour meter and the running hours of its unit's air differ.
    HourMeterDiffers,
    /// A met goal was lost again.
    Reopened,
    /// Another meter was used at a point.
    MeterChanged,
    /// A reading on a scale its goal is not on.
    ScaleNotOfGoal,
    /// Air stays wetter than the unaffected area after every point closed.
    AirStaysWetter,
    /// A day of equipment on site without any reading.
    DayWithoutReading,
    /// Readings stop before the last equipment-day.
    ReadingsStopEarly,
    /// Equipment stayed after every goal was met.
    EquipmentAfterGoals,
    /// Recorded and billed days differ.
    BilledDiffers,
    /// Point ended.
    PointEnded,
}

impl FindingKind {
    /// The words people read.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LoggerUnplaced => "logger not placed",
            Self::LoggerGap => "logger gap",
            Self::LoggerSilent => "logger silent",
            Self::SamplesRefused => "samples refused",
            Self::UnitStopped => "unit stopped",
            Self::HourMeterDiffers => "hour meter differs",
            Self::Reopened => "goal lost again",
            Self::MeterChanged => "meter changed",
            Self::ScaleNotOfGoal => "reading on another scale",
            Self::AirStaysWetter => "air stays wetter",
            Self::DayWithoutReading => "day without reading",
            Self::ReadingsStopEarly => "readings stop early",
            Self::EquipmentAfterGoals => "equipment after goals met",
            Self::BilledDiffers => "billed days differ",
            Self::PointEnded => "point ended",
        }
    }
}

/// What a finding is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(tag = "kind", content = "id", rename_all = "snake_case")]
pub enum Subject {
    /// The whole job.
    Job,
    /// A chamber.
    Chamber(String),
    /// A point.
    Point(String),
    /// A unit.
    Unit(String),
    /// A logger.
    Logger(String),
}

impl Subject {
    /// The id people read; `job` for the whole job.
    #[must_use]
    pub fn id(&self) -> &str {
        match self {
            Self::Job => "job",
            Self::Chamber(id) | Self::Point(id) | Self::Unit(id) | Self::Logger(id) => id,
        }
    }
}

/// Something the record lacks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Missing {
    /// What is missing, in one sentence.
    pub text: String,
    /// What to add, and where: an exact line where there is one.
    pub remedy: String,
}
