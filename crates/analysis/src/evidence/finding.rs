//! Dated facts, and what the record lacks.

use chrono::{DateTime, Utc};
use grainfall_words::{Words, say};
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
    /// Rows of one logger and instant contradict each other.
    RowsContradict,
    /// A unit stood without a recorded pause.
    UnitStopped,
    /// An hour meter and the running hours of its unit's air differ.
    HourMeterDiffers,
    /// A recorded pause in which the unit's air shows it running.
    PauseContradicted,
    /// Air movers on category 3 water before the chamber was ready for drying.
    AirMoversInCategory3,
    /// A met goal was lost again.
    Reopened,
    /// Another meter was used at a point.
    MeterChanged,
    /// A reading on a scale its goal is not on.
    ScaleNotOfGoal,
    /// A reading that a slip of the pen explains better than the material.
    ReadingImplausible,
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
    /// A reading rose while drying.
    Rewetting,
    /// Readings of a point do not get nearer to its goal.
    Stall,
    /// Affected air jumped towards outdoor air.
    ChamberOpened,
    /// A sensor repeats one value.
    LoggerFrozen,
    /// A sensor ended without usable values.
    LoggerDead,
    /// A logger's record does not fit its place.
    LoggerMisplaced,
    /// Two loggers' records fit each other's places.
    LoggersSwapped,
    /// A logger's clock was set anew while it logged.
    ClockReset,
    /// A logger's clock is off against its neighbours.
    ClockOffset,
    /// A logger's humidity is off against others in the same air.
    LoggerBias,
    /// A surface was at or below the dew point.
    SurfaceAtDewPoint,
    /// A surface was within 3 degC of the dew point.
    SurfaceNearDewPoint,
    /// Humidity at a surface was above the mould-critical curve.
    SurfaceAboveCritical,
    /// Air outside the range a unit works in.
    OutsideWorkingRange,
    /// A goal at or below what wood settles at in the air.
    GoalBelowEquilibrium,
    /// Wood drier than its dry standard.
    OverDried,
    /// An hour meter that shows less than before.
    HourMeterBackwards,
    /// Condensate of a unit that was not there.
    CondensateOutsideStay,
}

impl FindingKind {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::LoggerUnplaced => "logger not placed",
            Self::LoggerGap => "logger gap",
            Self::LoggerSilent => "logger silent",
            Self::RowsContradict => "rows contradict",
            Self::SamplesRefused => "samples refused",
            Self::UnitStopped => "unit stopped",
            Self::HourMeterDiffers => "hour meter differs",
            Self::PauseContradicted => "pause contradicted",
            Self::AirMoversInCategory3 => "air movers in category 3",
            Self::Reopened => "goal lost again",
            Self::MeterChanged => "meter changed",
            Self::ScaleNotOfGoal => "reading on another scale",
            Self::ReadingImplausible => "implausible reading",
            Self::AirStaysWetter => "air stays wetter",
            Self::DayWithoutReading => "day without reading",
            Self::ReadingsStopEarly => "readings stop early",
            Self::EquipmentAfterGoals => "equipment after goals met",
            Self::BilledDiffers => "billed days differ",
            Self::PointEnded => "point ended",
            Self::Rewetting => "rewetting",
            Self::Stall => "stall",
            Self::ChamberOpened => "chamber opened",
            Self::LoggerFrozen => "logger frozen",
            Self::LoggerDead => "logger dead",
            Self::LoggerMisplaced => "logger in the wrong place",
            Self::LoggersSwapped => "loggers swapped",
            Self::ClockReset => "clock reset",
            Self::ClockOffset => "clock offset",
            Self::LoggerBias => "logger bias",
            Self::SurfaceAtDewPoint => "surface at dew point",
            Self::SurfaceNearDewPoint => "surface near dew point",
            Self::SurfaceAboveCritical => "surface above critical humidity",
            Self::OutsideWorkingRange => "air outside working range",
            Self::GoalBelowEquilibrium => "goal below equilibrium",
            Self::OverDried => "over-dried",
            Self::HourMeterBackwards => "hour meter runs backwards",
            Self::CondensateOutsideStay => "condensate outside a stay",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::LoggerUnplaced => say!(words, "kinds.logger_unplaced"),
            Self::LoggerGap => say!(words, "kinds.logger_gap"),
            Self::LoggerSilent => say!(words, "kinds.logger_silent"),
            Self::RowsContradict => say!(words, "kinds.rows_contradict"),
            Self::SamplesRefused => say!(words, "kinds.samples_refused"),
            Self::UnitStopped => say!(words, "kinds.unit_stopped"),
            Self::HourMeterDiffers => say!(words, "kinds.hour_meter_differs"),
            Self::PauseContradicted => say!(words, "kinds.pause_contradicted"),
            Self::AirMoversInCategory3 => say!(words, "kinds.air_movers_in_category3"),
            Self::Reopened => say!(words, "kinds.reopened"),
            Self::MeterChanged => say!(words, "kinds.meter_changed"),
            Self::ScaleNotOfGoal => say!(words, "kinds.scale_not_of_goal"),
            Self::ReadingImplausible => say!(words, "kinds.reading_implausible"),
            Self::AirStaysWetter => say!(words, "kinds.air_stays_wetter"),
            Self::DayWithoutReading => say!(words, "kinds.day_without_reading"),
            Self::ReadingsStopEarly => say!(words, "kinds.readings_stop_early"),
            Self::EquipmentAfterGoals => say!(words, "kinds.equipment_after_goals"),
            Self::BilledDiffers => say!(words, "kinds.billed_differs"),
            Self::PointEnded => say!(words, "kinds.point_ended"),
            Self::Rewetting => say!(words, "kinds.rewetting"),
            Self::Stall => say!(words, "kinds.stall"),
            Self::ChamberOpened => say!(words, "kinds.chamber_opened"),
            Self::LoggerFrozen => say!(words, "kinds.logger_frozen"),
            Self::LoggerDead => say!(words, "kinds.logger_dead"),
            Self::LoggerMisplaced => say!(words, "kinds.logger_misplaced"),
            Self::LoggersSwapped => say!(words, "kinds.loggers_swapped"),
            Self::ClockReset => say!(words, "kinds.clock_reset"),
            Self::ClockOffset => say!(words, "kinds.clock_offset"),
            Self::LoggerBias => say!(words, "kinds.logger_bias"),
            Self::SurfaceAtDewPoint => say!(words, "kinds.surface_at_dew_point"),
            Self::SurfaceNearDewPoint => say!(words, "kinds.surface_near_dew_point"),
            Self::SurfaceAboveCritical => say!(words, "kinds.surface_above_critical"),
            Self::OutsideWorkingRange => say!(words, "kinds.outside_working_range"),
            Self::GoalBelowEquilibrium => say!(words, "kinds.goal_below_equilibrium"),
            Self::OverDried => say!(words, "kinds.over_dried"),
            Self::HourMeterBackwards => say!(words, "kinds.hour_meter_backwards"),
            Self::CondensateOutsideStay => say!(words, "kinds.condensate_outside_stay"),
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
