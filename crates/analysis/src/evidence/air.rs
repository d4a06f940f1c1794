//! Air: states, daily values, differences and what passes through a unit.

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_words::{Words, say};
use schemars::JsonSchema;
use serde::Serialize;

use super::SourceRow;
use crate::air::gpp_u::GppU;

/// What a track measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TrackPlace {
    /// Air of the affected area.
    Affected,
    /// Air of an unaffected area.
    Unaffected,
    /// Outdoor air.
    Outdoor,
    /// Air entering a unit.
    Inlet,
    /// Air leaving a unit.
    Outlet,
    /// At a surface.
    Surface,
    /// Inside a material.
    Material,
    /// Building heating or cooling air.
    Hvac,
    /// Nobody said.
    Unplaced,
}

impl TrackPlace {
    /// The word people read.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Affected => "affected",
            Self::Unaffected => "unaffected",
            Self::Outdoor => "outdoor",
            Self::Inlet => "inlet",
            Self::Outlet => "outlet",
            Self::Surface => "surface",
            Self::Material => "material",
            Self::Hvac => "hvac",
            Self::Unplaced => "unplaced",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::Affected => say!(words, "places.affected"),
            Self::Unaffected => say!(words, "places.unaffected"),
            Self::Outdoor => say!(words, "places.outdoor"),
            Self::Inlet => say!(words, "places.inlet"),
            Self::Outlet => say!(words, "places.outlet"),
            Self::Surface => say!(words, "places.surface"),
            Self::Material => say!(words, "places.material"),
            Self::Hvac => say!(words, "places.hvac"),
            Self::Unplaced => say!(words, "places.unplaced"),
        }
    }
}

/// One placement of one logger.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LoggerFacts {
    /// The logger's id in the samples.
    pub logger: String,
    /// What people read: place, chamber or unit (`affected, Chamber A`, `D1 outlet`, `unplaced LOG-7`); unique.
    pub label: String,
    /// What it measured.
    pub place: TrackPlace,
    /// Chamber id.
    pub chamber: Option<String>,
    /// Unit.
    pub unit: Option<String>,
    /// First sample of the placement.
    pub first: Option<DateTime<Utc>>,
    /// Last sample of the placement.
    pub last: Option<DateTime<Utc>>,
    /// Usual time between samples, seconds.
    pub interval_s: Option<u32>,
    /// Samples with temperature and humidity.
    pub samples: u64,
    /// Gaps longer than 1.5 intervals within the placement.
    pub gaps: u64,
    /// Limits of the temperature sensor, +- K.
    pub temp_limit_k: f64,
    /// Limits of the humidity sensor, +- %RH.
    pub rh_limit_pct: f64,
    /// Whether the limits are assumed rather than stated.
    pub accuracy_assumed: bool,
    /// Files it was read from.
    pub files: Vec<String>,
    /// How its stamps became instants.
    pub clock: String,
    /// Rows with RH above 100 % that were computed at 100 %, the original kept.
    pub rh_above_100: u64,
    /// Rows whose humidity could not be used (above 100 % by more than the sensor's limit).
    pub rh_refused: u64,
    /// Its known bias, and whether that was taken off; `null` when none is known.
    pub bias: Option<BiasStep>,
}

/// A logger's bias as a recorded step.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BiasStep {
    /// Temperature, logger minus reference, K.
    pub temp_k: f64,
    /// Relative humidity, logger minus reference, % points.
    pub rh_pct: f64,
    /// Whether the job asks for it to be taken off the readings.
    pub applied: bool,
    /// The logger it was measured beside; `null` when it is stated in the job.
    pub reference: Option<String>,
}

/// What a logger read beside a reference it stood next to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BiasMeasured {
    /// The logger.
    pub logger: String,
    /// The reference.
    pub reference: String,
    /// From when they stood side by side.
    pub from: DateTime<Utc>,
    /// Until when.
    pub to: DateTime<Utc>,
    /// Temperature, K.
    pub temp_k: BiasOf,
    /// Relative humidity, % points.
    pub rh_pct: BiasOf,
    /// Whether the job asks for it to be taken off the readings.
    pub applied: bool,
    /// First and last row it rests on.
    pub rows: Vec<SourceRow>,
}

/// Logger minus reference over matched samples.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct BiasOf {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// Samples.
    pub samples: u64,
}

/// Mean, least and greatest of a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Spread {
    /// Time-weighted mean.
    pub mean: f64,
    /// Least.
    pub min: f64,
    /// Greatest.
    pub max: f64,
}

/// One air on one civil day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DailyAir {
    /// The day.
    pub date: NaiveDate,
    /// Index into `loggers`.
    pub logger: usize,
    /// The same label as there.
    pub label: String,
    /// What air it is.
    pub place: TrackPlace,
    /// Chamber id.
    pub chamber: Option<String>,
    /// Unit.
    pub unit: Option<String>,
    /// Share of the day's expected samples that are there and usable, 0 to 1.
    pub sample_share: f64,
    /// Usable samples.
    pub samples: u64,
    /// Air temperature, degC.
    pub air_temp_c: Option<Spread>,
    /// Relative humidity, %.
    pub rh_pct: Option<Spread>,
    /// Grains per pound.
    pub gpp: Option<Spread>,
    /// Expanded uncertainty of the mean GPP (bias, so not divided by the root of the count).
    pub u_gpp: Option<f64>,
    /// Dew point over water, degC.
    pub dew_point_c: Option<Spread>,
    /// Vapour pressure, Pa.
    pub vapour_pressure_pa: Option<Spread>,
    /// Enthalpy, kJ per kg dry air.
    pub enthalpy_kj_kg: Option<Spread>,
    /// Expanded uncertainty of its mean.
    pub u_enthalpy_kj_kg: Option<f64>,
    /// First and last row the values rest on.
    pub rows: Option<(SourceRow, SourceRow)>,
}

/// Which airs are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DifferenceKind {
    /// Affected minus unaffected.
    AffectedMinusUnaffected,
    /// Affected minus outdoor.
    AffectedMinusOutdoor,
}

/// Difference of two airs on one civil day, on matched instants.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DailyDifference {
    /// The day.
    pub date: NaiveDate,
    /// Chamber id.
    pub chamber: String,
    /// Which airs.
    pub kind: DifferenceKind,
    /// Mean difference, GPP.
    pub mean_gpp: f64,
    /// Expanded uncertainty, GPP.
    pub u_gpp: f64,
    /// Whether the difference is no larger than its uncertainty.
    pub within_uncertainty: bool,
    /// Share of the day's expected pairs that are there.
    pub sample_share: f64,
}

/// An air reading by hand.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HandAir {
    /// When.
    pub time: DateTime<Utc>,
    /// What air it is.
    pub place: TrackPlace,
    /// Chamber id.
    pub chamber: Option<String>,
    /// Unit.
    pub unit: Option<String>,
    /// Temperature, degC.
    pub air_temp_c: f64,
    /// Relative humidity, %.
    pub rh_pct: f64,
    /// Grains per pound.
    pub gpp: f64,
    /// Dew point over water, degC.
    pub dew_point_c: f64,
    /// Instrument, as written.
    pub instrument: Option<String>,
    /// By whom, as written.
    pub by: Option<String>,
    /// Where it is written.
    pub row: SourceRow,
}

/// Whether a unit ran.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RunState {
    /// It ran.
    Running,
    /// It stood still without a recorded pause.
    Stopped,
    /// It stood still in a recorded pause.
    Paused,
    /// The record cannot tell.
    NotShown,
}

/// A stretch in one running state.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RunSpan {
    /// Start.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
    /// State.
    pub state: RunState,
    /// Rows it rests on: the outlet rows at its start and end.
    pub rows: Vec<SourceRow>,
}

/// Air across one unit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UnitAir {
    /// The unit.
    pub unit: String,
    /// Where its inlet air is measured: labels of the loggers used.
    pub inlet: Vec<String>,
    /// Whether the unit has its own inlet logger; where that shows nothing the chamber's affected air stands in.
    pub own_inlet: bool,
    /// Label of the outlet logger.
    pub outlet: Option<String>,
    /// Why there is no depression, when there is none.
    pub why_not: Option<String>,
    /// Running states over its stays, in order.
    pub runs: Vec<RunSpan>,
    /// Day by day.
    pub daily: Vec<DailyUnitAir>,
    /// Water removed in all, kg.
    pub water_kg: Option<f64>,
    /// Expanded uncertainty of it, kg.
    pub u_water_kg: Option<f64>,
    /// Condensate measured by hand in all, kg.
    pub condensate_kg: Option<f64>,
    /// Each measurement of condensate beside the water computed over the same stretch, by time.
    pub condensate: Vec<CondensateFacts>,
}

/// Condensate measured by hand, with the stretch it was gathered over.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CondensateFacts {
    /// The measurement before, or the unit's placing.
    pub from: DateTime<Utc>,
    /// When it was measured.
    pub to: DateTime<Utc>,
    /// Water measured, kg.
    pub measured_kg: f64,
    /// Water computed from the air over the same stretch, kg.
    pub water_kg: Option<f64>,
    /// Expanded uncertainty of it, kg.
    pub u_water_kg: Option<f64>,
    /// Where it is written.
    pub row: SourceRow,
}

/// Two readings of a unit's hour meter in a row beside the running hours of its air.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HourMeterFacts {
    /// The unit.
    pub unit: String,
    /// First reading.
    pub from: DateTime<Utc>,
    /// Second reading.
    pub to: DateTime<Utc>,
    /// Hours by the meter; negative when it went back.
    pub meter_h: f64,
    /// Hours the air shows the unit running.
    pub running_h: f64,
    /// Hours the air cannot tell.
    pub not_shown_h: f64,
    /// Where both are written.
    pub rows: Vec<SourceRow>,
}

/// Air across one unit on one civil day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DailyUnitAir {
    /// The day.
    pub date: NaiveDate,
    /// Hours on site that day.
    pub on_site_h: f64,
    /// Hours it ran.
    pub running_h: f64,
    /// Hours it stood without a recorded pause.
    pub stopped_h: f64,
    /// Hours of recorded pause.
    pub paused_h: f64,
    /// Mean depression while running, GPP.
    pub depression_gpp: Option<f64>,
    /// Expanded uncertainty, GPP.
    pub u_depression_gpp: Option<f64>,
    /// Whether it is no larger than that.
    pub within_uncertainty: Option<bool>,
    /// Mean GPP of the air it took in while running.
    pub inlet_gpp: Option<f64>,
    /// Largest share of the initial excess moisture still there in the chambers it serves, at the end of the day, 0 to 1.
    pub excess_left: Option<f64>,
    /// Whether the depression fits that load.
    pub against_load: AgainstLoad,
    /// Water removed while running, kg.
    pub water_kg: Option<f64>,
    /// Expanded uncertainty, kg.
    pub u_water_kg: Option<f64>,
    /// Share of the on-site time with matched inlet and outlet samples.
    pub sample_share: f64,
}

/// A day's depression beside the load; never a verdict on the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AgainstLoad {
    /// As on the unit's first day, within uncertainty.
    Steady,
    /// Smaller than on the first day, and so is the load: the inlet air is drier or less than half of the excess is left.
    FallenWithLoad,
    /// Smaller than on the first day under about the same load, and at least half of it.
    Smaller,
    /// Under half of the first day's under about the same load.
    LowForLoad,
    /// Depression, inlet air or readings are missing.
    NotShown,
}

impl AgainstLoad {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Steady => "as on the first day",
            Self::FallenWithLoad => "fallen with the load",
            Self::Smaller => "smaller than on the first day",
            Self::LowForLoad => "low for the load",
            Self::NotShown => "not shown",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::Steady => say!(words, "against_load.steady"),
            Self::FallenWithLoad => say!(words, "against_load.fallen_with_load"),
            Self::Smaller => say!(words, "against_load.smaller"),
            Self::LowForLoad => say!(words, "against_load.low_for_load"),
            Self::NotShown => say!(words, "against_load.not_shown"),
        }
    }
}

/// Air at every sample of one placement.
#[derive(Debug, Clone, PartialEq)]
pub struct AirTrack {
    /// Index into `Evidence::loggers`.
    pub logger: usize,
    /// The same label as there.
    pub label: String,
    /// What air it is.
    pub place: TrackPlace,
    /// Chamber id.
    pub chamber: Option<String>,
    /// Unit.
    pub unit: Option<String>,
    /// Usual time between samples, seconds.
    pub interval_s: Option<u32>,
    /// Instants, increasing; all columns are as long.
    pub time: Vec<DateTime<Utc>>,
    /// Air temperature, degC (after an applied bias, if the job asks).
    pub air_temp_c: Vec<Option<f64>>,
    /// Relative humidity as used, %.
    pub rh_pct: Vec<Option<f64>>,
    /// Grains per pound.
    pub gpp: Vec<Option<f64>>,
    /// Dew point over water, degC.
    pub dew_point_c: Vec<Option<f64>>,
    /// Vapour pressure, Pa.
    pub vapour_pressure_pa: Vec<Option<f64>>,
    /// Wet bulb, degC.
    pub wet_bulb_c: Vec<Option<f64>>,
    /// Enthalpy, kJ per kg dry air.
    pub enthalpy_kj_kg: Vec<Option<f64>>,
    /// Surface temperature, degC, where logged.
    pub surface_temp_c: Vec<Option<f64>>,
    /// Expanded uncertainty of GPP at each sample, from sensors and pressure.
    pub u_gpp: Vec<Option<f64>>,
    /// What of it comes from the pressure alone, which all airs of the job share.
    pub u_gpp_from_pressure: Vec<Option<f64>>,
    /// Line of each sample.
    pub rows: Vec<SourceRow>,
}

impl AirTrack {
    /// The uncertainty of GPP by where it comes from; `value` picks from a column.
    pub(crate) fn u_gpp_by(&self, value: impl Fn(&[Option<f64>]) -> Option<f64>) -> Option<GppU> {
        Some(GppU::of_total(value(&self.u_gpp)?, value(&self.u_gpp_from_pressure)?))
    }
}

/// Grain depression of one unit at matched instants.
#[derive(Debug, Clone, PartialEq)]
pub struct DepressionTrack {
    /// The unit.
    pub unit: String,
    /// Instants of the outlet samples, increasing.
    pub time: Vec<DateTime<Utc>>,
    /// Inlet minus outlet, GPP; `None` where no inlet sample matches.
    pub depression_gpp: Vec<Option<f64>>,
    /// Its expanded uncertainty.
    pub u_gpp: Vec<Option<f64>>,
    /// Whether the unit ran at that instant.
    pub state: Vec<RunState>,
}
