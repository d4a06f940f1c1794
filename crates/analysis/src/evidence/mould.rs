//! Mould exposure of surfaces.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::Serialize;

use super::SourceRow;

/// Exposure of one logged surface: a log of conditions, no detector of mould.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MouldExposure {
    /// Index into `loggers`.
    pub logger: usize,
    /// The same label as there.
    pub label: String,
    /// Chamber id.
    pub chamber: Option<String>,
    /// First sample used.
    pub from: DateTime<Utc>,
    /// Last sample used.
    pub to: DateTime<Utc>,
    /// How the humidity at the surface was found.
    pub basis: SurfaceHumidity,
    /// Hours the samples stand for.
    pub hours: f64,
    /// Of these, hours at or above the critical curve of the more sensitive classes (80 % at 20 degC and above).
    pub hours_above_critical: f64,
    /// Highest relative humidity at the surface, %.
    pub highest_rh_pct: f64,
    /// Mould index by class, most sensitive first.
    pub classes: Vec<MouldIndex>,
    /// What the index is not.
    pub caution: String,
    /// First and last row.
    pub rows: Vec<SourceRow>,
}

/// How the humidity at a surface was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SurfaceHumidity {
    /// Measured at the surface.
    Measured,
    /// Vapour pressure at the logger over saturation at the logged surface temperature.
    OwnAir,
    /// Vapour pressure of the chamber's affected air over saturation at the logged surface temperature.
    ChamberAir,
}

/// Mould index of one class of material.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MouldIndex {
    /// The class with examples.
    pub class: String,
    /// Highest index reached, 0 to 6.
    pub highest: f64,
    /// Index at the last sample.
    pub last: f64,
}
