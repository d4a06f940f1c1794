//! When an open point may meet its goal.

use chrono::{DateTime, Utc};
use grainfall_words::{Words, say};
use schemars::JsonSchema;
use serde::Serialize;

use super::SourceRow;

/// What the readings of an open point say of the time it still needs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Forecast {
    /// What can be said.
    pub outlook: Outlook,
    /// The same in one sentence, with its conditions.
    pub text: String,
    /// The last reading it starts from.
    pub from: DateTime<Utc>,
    /// Readings the curve was fitted to.
    pub readings: u32,
    /// Where the material settles; `null` where the record does not tell.
    pub equilibrium: Option<Equilibrium>,
    /// Days from the last reading: lower end of the 80 % range.
    pub days_low: Option<f64>,
    /// Upper end; `null` when more than a tenth of the outcomes never meet the goal.
    pub days_high: Option<f64>,
    /// Lower end as an instant; `null` with fewer than four readings.
    pub earliest: Option<DateTime<Utc>>,
    /// Upper end as an instant; `null` with fewer than four readings or without an upper end.
    pub latest: Option<DateTime<Utc>>,
    /// Time constant of the falling rate at the middle of the equilibrium range, days.
    pub time_constant_days: Option<f64>,
    /// Rows of the readings used.
    pub rows: Vec<SourceRow>,
}

/// What can be said of the time to goal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Outlook {
    /// An 80 % range of time.
    Range,
    /// A wide range in days: too few readings for a date.
    WideRange,
    /// The goal is at or below what the material settles at in this air.
    CannotBeReached,
    /// The readings do not fall.
    NotDrying,
    /// The record cannot tell.
    NotShown,
}

impl Outlook {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Range => "range",
            Self::WideRange => "wide range",
            Self::CannotBeReached => "cannot be reached in this air",
            Self::NotDrying => "not drying",
            Self::NotShown => "no forecast",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::Range => say!(words, "outlooks.range"),
            Self::WideRange => say!(words, "outlooks.wide_range"),
            Self::CannotBeReached => say!(words, "outlooks.cannot_be_reached"),
            Self::NotDrying => say!(words, "outlooks.not_drying"),
            Self::NotShown => say!(words, "outlooks.not_shown"),
        }
    }
}

/// Where a material settles, in the scale's unit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Equilibrium {
    /// Lower end of its range.
    pub low: f64,
    /// Best estimate.
    pub middle: f64,
    /// Upper end of its range.
    pub high: f64,
    /// What it rests on.
    pub basis: EquilibriumBasis,
    /// Mean temperature of the air it rests on, degC.
    pub air_temp_c: Option<f64>,
    /// Mean relative humidity of that air, %.
    pub rh_pct: Option<f64>,
    /// Share of the 24 h that samples cover.
    pub sample_share: Option<f64>,
    /// First and last row of that air, or the row of the dry standard.
    pub rows: Vec<SourceRow>,
}

/// What an equilibrium rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EquilibriumBasis {
    /// The wood sorption equation in the affected air of the last 24 h.
    WoodInAir,
    /// The dry standard.
    DryStandard,
}
