//! Metered points, meters, materials and hand readings.

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_psychrometrics::Celsius;
use grainfall_psychrometrics::wood_resistance::SpeciesCoefficients;
use grainfall_record::{LoggerSelector, RowRef};

use super::Span;

/// A moisture scale. Scales are never mixed or converted into one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scale {
    /// Wood moisture content, % of dry mass; above 100 % is legal.
    WoodMc,
    /// Wood-moisture-equivalent, %: another material read on a wood scale.
    WoodEquivalent,
    /// Gypsum moisture content, %.
    Gypsum,
    /// Relative humidity measured inside concrete, %.
    ConcreteRh,
    /// A meter's own relative units: a level, not a moisture content.
    Relative,
}

impl Scale {
    /// Every scale with the word the job's files use for it and the unit printed after a value.
    pub const WORDS: [(&'static str, &'static str, Self); 5] = [
        ("wood", "% MC", Self::WoodMc),
        ("wme", "% WME", Self::WoodEquivalent),
        ("gypsum", "% gypsum", Self::Gypsum),
        ("concrete-rh", "% RH in concrete", Self::ConcreteRh),
        ("relative", "rel", Self::Relative),
    ];

    /// The word the job's files use for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(.., scale)| *scale == self).map_or("", |(word, ..)| word)
    }

    /// The unit printed after a value.
    #[must_use]
    pub fn unit(self) -> &'static str {
        Self::WORDS.iter().find(|(.., scale)| *scale == self).map_or("", |(_, unit, _)| unit)
    }
}

/// A moisture meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// Short id that readings name.
    pub id: String,
    /// `pin`, `non-invasive`, `in-situ probe`, as written.
    pub kind: Option<String>,
    /// Scales it reads.
    pub scales: Vec<Scale>,
    /// Accuracy, +- in the scale's unit.
    pub accuracy: Option<f64>,
    /// What its readings of wood are to be corrected for.
    pub correction: Option<MeterCorrection>,
    /// Serial number.
    pub serial: Option<String>,
    /// Calibration date.
    pub calibrated: Option<NaiveDate>,
    /// Where it is written.
    pub line: RowRef,
}

/// What a meter's resistance readings of wood are to be corrected for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeterCorrection {
    /// The temperature of the wood.
    Temperature,
    /// The temperature, then the species, by the coefficients of the point's material.
    TemperatureAndSpecies,
}

/// Species coefficients of resistance readings with where they are published.
#[derive(Debug, Clone, PartialEq)]
pub struct Species {
    /// The coefficients.
    pub coefficients: SpeciesCoefficients,
    /// Their citation, as written.
    pub source: String,
}

/// A material with its default scale and goal.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// The kind that points name.
    pub kind: String,
    /// Default scale.
    pub scale: Option<Scale>,
    /// Default goal.
    pub goal: Option<GoalValue>,
    /// Species correction of resistance readings.
    pub species: Option<Species>,
    /// Where it is written.
    pub line: RowRef,
}

/// A goal for a moisture reading: at most this.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GoalValue {
    /// The value, in the scale's own unit.
    pub value: f64,
    /// The scale it is on; `None` takes the point's.
    pub scale: Option<Scale>,
}

/// A metered point.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Short id that readings name.
    pub id: String,
    /// Chamber it lies in, the first one when it moved; required unless it is a reference point.
    pub chamber: Option<String>,
    /// Chambers it lay in afterwards, by time.
    pub moved: Vec<MovedTo>,
    /// Where it is, in words.
    pub location: Option<String>,
    /// Depth below the surface, as written.
    pub depth: Option<String>,
    /// Material kind.
    pub material: Option<String>,
    /// The scale its goal is on.
    pub scale: Scale,
    /// Drying point or reference.
    pub role: PointRole,
    /// What the material read before the loss.
    pub dry_standard: Option<DryStandard>,
    /// The point's own goal.
    pub goal: Option<GoalValue>,
    /// Logged point: where its samples come from.
    pub logger: Option<PointLogger>,
    /// Taken out of the load and the verdict from then on.
    pub ended: Option<Ended>,
    /// Where it is written.
    pub line: RowRef,
}

/// A point lies in another chamber from then on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MovedTo {
    /// The chamber.
    pub chamber: String,
    /// From when.
    pub from: DateTime<Utc>,
}

/// A stretch of time in which a point lay in one chamber.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InChamber {
    /// The chamber.
    pub chamber: String,
    /// When.
    pub span: Span,
}

/// Whether a point must dry or shows what dry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointRole {
    /// Must meet its goal.
    Drying,
    /// Unaffected material that sets a dry standard.
    Reference,
}

/// What the material read before the loss.
#[derive(Debug, Clone, PartialEq)]
pub enum DryStandard {
    /// Written by a person, in the scale's unit.
    Value(f64),
    /// The median of these reference points at the first visit.
    ReferencePoints(Vec<String>),
}

/// Where a logged point's samples come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointLogger {
    /// The logger.
    pub select: LoggerSelector,
}

/// Why a point left the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ended {
    /// When.
    pub at: DateTime<Utc>,
    /// Why (removed, demolished).
    pub reason: String,
}

/// One material reading by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// When.
    pub time: DateTime<Utc>,
    /// Which point.
    pub point: String,
    /// What was read.
    pub value: ReadingValue,
    /// On which scale; the point's when the file does not say.
    pub scale: Scale,
    /// With which meter.
    pub meter: Option<String>,
    /// Temperature of the surface.
    pub surface_temp: Option<Celsius>,
    /// By whom, as written.
    pub by: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Where it is written.
    pub line: RowRef,
}

/// What a reading says.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadingValue {
    /// A number.
    Measured(f64),
    /// More than this (`>40`, or `OL` with the meter's limit): a lower bound, above any goal below it.
    Above(f64),
    /// Over the meter's range, limit unknown (`OL`).
    OverRange,
    /// No number, and why (no access).
    NoReading(String),
}
