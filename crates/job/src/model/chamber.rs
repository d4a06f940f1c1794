//! Drying chambers and their air goals.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_psychrometrics::{CubicMetres, SquareMetres};
use grainfall_record::RowRef;

use super::Span;

/// A drying chamber: the enclosed air that is dried together.
#[derive(Debug, Clone, PartialEq)]
pub struct Chamber {
    /// Short id that other entries name.
    pub id: String,
    /// What people call it; the id when not given.
    pub name: String,
    /// Floor area.
    pub floor_area: Option<SquareMetres>,
    /// Air volume.
    pub volume: Option<CubicMetres>,
    /// When it existed.
    pub span: Span,
    /// The chamber it was split from.
    pub parent: Option<String>,
    /// Drying starts here (after demolition or decontamination); before it days are not shown unless a reason is recorded.
    pub drying_from: Option<DateTime<Utc>>,
    /// The recorded reason for equipment before `drying_from`.
    pub before_drying_reason: Option<String>,
    /// Goals on the chamber's affected air.
    pub air_goals: Vec<AirGoal>,
    /// Where it is written.
    pub line: RowRef,
}

/// A goal on the air, held for a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirGoal {
    /// Of what.
    pub quantity: AirGoalQuantity,
    /// Which side of the value meets it.
    pub comparison: Comparison,
    /// The value in the quantity's own unit.
    pub value: f64,
    /// How long it must hold without interruption.
    pub hold: TimeDelta,
}

/// What an air goal is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirGoalQuantity {
    /// Grains per pound of dry air.
    GrainsPerPound,
    /// Relative humidity, %.
    RelativeHumidity,
    /// Dew point, degC.
    DewPoint,
}

/// Which side of a value meets a goal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Comparison {
    /// At or below it.
    AtMost,
    /// At or above it.
    AtLeast,
}
