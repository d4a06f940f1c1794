//! Where loggers stood and what is known of their sensors.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_psychrometrics::CelsiusDelta;
use grainfall_record::{Clock, ColumnHint, Hours, LoggerSelector, RowRef};

use super::Span;

/// One placement of one logger (or of one channel of a file) over a span.
#[derive(Debug, Clone, PartialEq)]
pub struct LoggerPlacement {
    /// Which logger.
    pub select: LoggerSelector,
    /// What it measured; `None` until somebody says.
    pub place: Option<Place>,
    /// The chamber it stood in.
    pub chamber: Option<String>,
    /// The unit whose inlet or outlet air it measured.
    pub unit: Option<String>,
    /// When.
    pub span: Span,
    /// What its stamps mean.
    pub clock: Option<Clock>,
    /// What its hours from 1 to 12 mean where they say neither AM nor PM.
    pub hours: Option<Hours>,
    /// Columns by header name.
    pub columns: BTreeMap<String, ColumnHint>,
    /// Accuracy on its data sheet.
    pub accuracy: SensorStatement,
    /// Calibration date.
    pub calibrated: Option<NaiveDate>,
    /// Bias measured by co-location, applied only when the job asks for it.
    pub bias: Option<StatedBias>,
    /// Where it is written.
    pub line: RowRef,
}

/// What a logger measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// Air of the affected area (a drying chamber).
    Affected,
    /// Air of an unaffected area of the building.
    Unaffected,
    /// Outdoor air.
    Outdoor,
    /// Air entering a unit.
    Inlet,
    /// Air leaving a unit.
    Outlet,
    /// Air at or temperature of a surface.
    Surface,
    /// Inside a material.
    Material,
    /// Air of the building's own heating or cooling.
    Hvac,
}

impl Place {
    /// Every place with the word `job.toml` uses for it.
    pub const WORDS: [(&'static str, Self); 8] = [
        ("affected", Self::Affected),
        ("unaffected", Self::Unaffected),
        ("outdoor", Self::Outdoor),
        ("inlet", Self::Inlet),
        ("outlet", Self::Outlet),
        ("surface", Self::Surface),
        ("material", Self::Material),
        ("hvac", Self::Hvac),
    ];

    /// The word `job.toml` uses for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, place)| *place == self).map_or("", |(word, _)| word)
    }
}

/// Accuracy limits as stated, half-widths; `None` where not stated (then the assumed limits apply).
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SensorStatement {
    /// Temperature, +- this.
    pub temp: Option<CelsiusDelta>,
    /// Relative humidity, +- this many %RH.
    pub rh_pct: Option<f64>,
    /// Whether the limits are expanded uncertainties at k = 2 rather than rectangular limits.
    pub stated_at_k2: bool,
}

/// Loggers that stood next to a reference for a while, so that the record measures their bias.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideBySide {
    /// The logger that the others are compared with.
    pub reference: LoggerSelector,
    /// The others.
    pub loggers: Vec<LoggerSelector>,
    /// From when, included.
    pub from: DateTime<Utc>,
    /// Until when, excluded.
    pub to: DateTime<Utc>,
    /// Whether the job asks for the bias to be taken off their readings.
    pub apply: bool,
    /// Where it is written.
    pub line: RowRef,
}

/// A measured bias: logger minus reference.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct StatedBias {
    /// Temperature.
    pub temp: Option<CelsiusDelta>,
    /// Relative humidity, % points.
    pub rh_pct: Option<f64>,
    /// Whether the job asks for it to be taken off the readings.
    pub apply: bool,
}
