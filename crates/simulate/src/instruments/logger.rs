//! A logger's samples: bias, noise, rounding, clock, gaps, repeated rows, words, frozen values and dead sensors.

use chrono::{DateTime, TimeDelta, Utc};

use super::{fahrenheit, to_step};
use crate::rng::Rng;
use crate::scenario::{Bias, Logger, Scenario, TempUnit, TextColumn};
use crate::simulation::Simulation;

/// Share of a logger's limits within which a drawn bias lies.
const BIAS_SHARE: f64 = 0.6;
/// Standard deviation of the noise of temperature, K; common practice, no source.
const TEMP_NOISE_K: f64 = 0.03;
/// Standard deviation of the noise of relative humidity, % points; common practice, no source.
const RH_NOISE_PCT: f64 = 0.1;
/// Step of relative humidity in every export, % points.
const RH_STEP_PCT: f64 = 0.1;

/// What one logger recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct LoggerRecord {
    /// Serial number.
    pub serial: String,
    /// Unit of its temperatures.
    pub temp_unit: TempUnit,
    /// Samples in the order taken.
    pub samples: Vec<Sample>,
}

/// One sample.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// When it was truly taken.
    pub time: DateTime<Utc>,
    /// When the logger's clock says it was taken.
    pub stamp: DateTime<Utc>,
    /// Temperature in the record's unit.
    pub temp: Cell,
    /// Relative humidity, %.
    pub rh: Cell,
    /// How often its row stands in the export: 1, or 2 where it is repeated.
    pub rows: u32,
}

/// What stands in a column.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// A number.
    Number(f64),
    /// Words.
    Words(String),
}

impl Cell {
    /// The number, if it is one.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Number(value) => Some(*value),
            Self::Words(_) => None,
        }
    }
}

/// Records what a logger saw.
pub(super) fn record(simulation: &Simulation, logger: &Logger) -> LoggerRecord {
    let scenario = simulation.scenario();
    let temp_unit = temp_unit(scenario, &logger.serial);
    let (temp_bias_k, rh_bias_pct) = bias(scenario, logger);
    let mut noise = Rng::stream(scenario.seed, &format!("logger {} noise", logger.serial));
    let mut samples: Vec<Sample> = Vec::new();
    let mut held: Option<(f64, f64)> = None;
    let noise_times = logger.flaws.noise_times.unwrap_or(1.0);
    let mut time = logger.from;
    while time <= logger.to && time <= scenario.to {
        let air = simulation.air(&logger.source, time);
        let seen_c = air.temp_c + temp_bias_k + noise_times * TEMP_NOISE_K * noise.normal();
        // A humidity sensor's range ends at 0 and 100 %.
        let seen_rh_pct = (air.rh_pct + rh_bias_pct + noise_times * RH_NOISE_PCT * noise.normal()).clamp(0.0, 100.0);
        let frozen = logger.flaws.frozen.is_some_and(|(from, to)| (from..to).contains(&time));
        let (temp_c, rh_pct) = match held {
            Some(values) if frozen => values,
            _ => (seen_c, seen_rh_pct),
        };
        held = Some((temp_c, rh_pct));
        let rh_pct = if logger.flaws.dead_from.is_some_and(|from| time >= from) { 0.0 } else { rh_pct };
        if !logger.flaws.gaps.iter().any(|(from, to)| (*from..*to).contains(&time)) {
            let temp = match temp_unit {
                TempUnit::Fahrenheit => to_step(fahrenheit(temp_c), 0.1),
                TempUnit::Celsius => to_step(temp_c, 0.05),
            };
            samples.push(Sample {
                time,
                stamp: time + TimeDelta::seconds(logger.clock_ahead_s),
                temp: Cell::Number(temp),
                rh: Cell::Number(to_step(rh_pct, RH_STEP_PCT)),
                rows: 1,
            });
        }
        time += TimeDelta::minutes(i64::from(logger.interval_min));
    }
    for at in &logger.flaws.repeated {
        if let Some(sample) = samples.iter_mut().find(|sample| sample.time >= *at) {
            sample.rows = 2;
        }
    }
    for flag in &logger.flaws.flags {
        if let Some(sample) = samples.iter_mut().find(|sample| sample.time >= flag.at) {
            let cell = match flag.column {
                TextColumn::Temp => &mut sample.temp,
                TextColumn::Rh => &mut sample.rh,
            };
            *cell = Cell::Words(flag.text.clone());
        }
    }
    LoggerRecord { serial: logger.serial.clone(), temp_unit, samples }
}

/// The constant error of a logger: temperature in K, relative humidity in % points.
fn bias(scenario: &Scenario, logger: &Logger) -> (f64, f64) {
    match logger.bias {
        Bias::Drawn => {
            let mut rng = Rng::stream(scenario.seed, &format!("logger {} bias", logger.serial));
            let mut draw = |limit: f64| rng.between(-BIAS_SHARE * limit, BIAS_SHARE * limit);
            (draw(logger.temp_limit_k), draw(logger.rh_limit_pct))
        }
        Bias::Given { temp_k, rh_pct } => (temp_k, rh_pct),
    }
}

/// Unit of temperature in the file a logger is read out to.
fn temp_unit(scenario: &Scenario, serial: &str) -> TempUnit {
    scenario
        .exports
        .iter()
        .find(|export| export.loggers.iter().any(|known| known == serial))
        .map_or(TempUnit::Fahrenheit, |export| export.shape.temp_unit())
}
