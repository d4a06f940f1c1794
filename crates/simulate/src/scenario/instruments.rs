//! Loggers and their exports, meters: what they measure and how they err.

use chrono::{DateTime, Utc};

/// A temperature and humidity logger in one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Logger {
    /// Serial number.
    pub serial: String,
    /// The air it truly measures.
    pub source: AirSource,
    /// The air the job says it measures; a swapped logger differs from `source`.
    pub stated: AirSource,
    /// Minutes between samples.
    pub interval_min: u32,
    /// First sample, true time, on a whole minute.
    pub from: DateTime<Utc>,
    /// No sample after this.
    pub to: DateTime<Utc>,
    /// What its stamps mean.
    pub clock: StampClock,
    /// How far its clock is ahead of the true time, s.
    pub clock_ahead_s: i64,
    /// Limits of temperature on its data sheet, K either way.
    pub temp_limit_k: f64,
    /// Limits of relative humidity, % points either way.
    pub rh_limit_pct: f64,
    /// Constant error: drawn within the limits, or given.
    pub bias: Bias,
    /// Date of its calibration, `YYYY-MM-DD`.
    pub calibrated: Option<String>,
    /// What is wrong with its record.
    pub flaws: Flaws,
}

/// Which air.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum AirSource {
    /// Outdoor air.
    Outdoor,
    /// Air of the unaffected area.
    Unaffected,
    /// Air of a chamber.
    Chamber(String),
    /// Air entering a unit.
    Inlet(String),
    /// Air leaving a unit.
    Outlet(String),
}

/// The constant error of a logger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bias {
    /// Drawn from the logger's own random stream, within 0.6 of its limits.
    Drawn,
    /// This much, whatever the limits say.
    Given {
        /// Temperature, K.
        temp_k: f64,
        /// Relative humidity, % points.
        rh_pct: f64,
    },
}

/// What a logger's stamps mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StampClock {
    /// The wall clock of the job's zone.
    Wall,
    /// The zone's offset at the first sample, for ever.
    Fixed,
    /// UTC.
    Utc,
}

/// What is wrong with a logger's record.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Flaws {
    /// Spans without a sample, `from <= t < to`.
    pub gaps: Vec<(DateTime<Utc>, DateTime<Utc>)>,
    /// Samples whose row appears twice: the first at or after each time.
    pub repeated: Vec<DateTime<Utc>>,
    /// Samples with words instead of a number: the first at or after each time.
    pub flags: Vec<Flag>,
    /// A span in which the last values stay.
    pub frozen: Option<(DateTime<Utc>, DateTime<Utc>)>,
    /// How many times the usual its noise is; the usual where `None`.
    pub noise_times: Option<f64>,
    /// When its humidity sensor dies: from then on it writes 0 %.
    pub dead_from: Option<DateTime<Utc>>,
}

/// Words where a number belongs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flag {
    /// First sample at or after this.
    pub at: DateTime<Utc>,
    /// In which column.
    pub column: TextColumn,
    /// The words.
    pub text: String,
}

/// A column of a logger.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextColumn {
    /// Air temperature.
    Temp,
    /// Relative humidity.
    Rh,
}

/// A file that loggers are read out to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Export {
    /// Path below the job's folder.
    pub file: String,
    /// How the file is laid out.
    pub shape: Shape,
    /// Serial numbers, in the file's order.
    pub loggers: Vec<String>,
}

/// The layouts of exports, all invented here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// One logger; preamble, comma, `MM/DD/YYYY h:mm AM/PM`, degF.
    PreambleComma,
    /// Several channels side by side; semicolon, decimal comma, ISO local time without offset, degC.
    WideSemicolon,
    /// One row per logger and sample; tab, ISO time in UTC, degF.
    LongTab,
}

impl Shape {
    /// The unit of temperature in the file.
    #[must_use]
    pub fn temp_unit(self) -> TempUnit {
        match self {
            Self::PreambleComma | Self::LongTab => TempUnit::Fahrenheit,
            Self::WideSemicolon => TempUnit::Celsius,
        }
    }
}

/// Unit of temperature in an export.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TempUnit {
    /// Degrees Fahrenheit, to 0.1.
    Fahrenheit,
    /// Degrees Celsius, to 0.05.
    Celsius,
}

/// A moisture meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// Short id.
    pub id: String,
    /// `pin` or `non-invasive`.
    pub kind: String,
    /// Scales it reads.
    pub scales: Vec<Scale>,
    /// Accuracy, +- in the scale's unit; readings err by less.
    pub accuracy: f64,
    /// Step of its display, in the scale's unit.
    pub resolution: f64,
    /// Highest value it shows; above it, `>` and this value.
    pub highest: f64,
    /// How its scale follows the moisture content.
    pub response: MeterResponse,
    /// Serial number.
    pub serial: String,
    /// Date of its calibration, `YYYY-MM-DD`.
    pub calibrated: Option<String>,
}

/// How a meter's scale follows the moisture content of the material, % of dry mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeterResponse {
    /// The scale is the moisture content.
    Content,
    /// A level: `base + gain x content`, the meter's own units.
    Level {
        /// Level of material without water.
        base: f64,
        /// Levels per % of moisture content.
        gain: f64,
    },
}

impl MeterResponse {
    /// The scale's true value for a moisture content, % of dry mass.
    #[must_use]
    pub fn value(self, moisture_pct: f64) -> f64 {
        match self {
            Self::Content => moisture_pct,
            Self::Level { base, gain } => base + gain * moisture_pct,
        }
    }
}

/// A moisture scale, as the job's files name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scale {
    /// Wood moisture content, % of dry mass.
    Wood,
    /// Relative units.
    Relative,
}

impl Scale {
    /// The word the job's files use for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Wood => "wood",
            Self::Relative => "relative",
        }
    }
}
