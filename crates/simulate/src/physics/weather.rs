//! Outdoor air and the unaffected area as functions of time.

use std::f64::consts::TAU;

use chrono::{DateTime, Timelike, Utc};

use super::Bulk;
use crate::rng::Rng;
use crate::scenario::Scenario;
use crate::{Error, moist};

/// Periods of the irregular changes, h, with their share of the half-width.
const IRREGULAR: [(f64, f64); 4] = [(5.3, 0.15), (9.1, 0.2), (17.0, 0.25), (41.0, 0.4)];
/// Hours over which the middle of a front passes.
const FRONT_H: f64 = 1.5;
/// Least distance of outdoor dew point from temperature, K: no fog.
const LEAST_SPREAD_K: f64 = 0.4;

/// Outdoor and unaffected air of one scenario.
pub(super) struct Surroundings<'a> {
    scenario: &'a Scenario,
    temp_phase: [f64; 4],
    dew_phase: [f64; 4],
    room_phase: [f64; 4],
}

impl<'a> Surroundings<'a> {
    pub(super) fn new(scenario: &'a Scenario) -> Self {
        let mut rng = Rng::stream(scenario.seed, "weather");
        let mut phases = || [(); 4].map(|()| rng.unit());
        Self { scenario, temp_phase: phases(), dew_phase: phases(), room_phase: phases() }
    }

    pub(super) fn outdoor(&self, time: DateTime<Utc>) -> Result<Bulk, Error> {
        let weather = &self.scenario.weather;
        let front = weather.front_at.map_or(0.0, |front| 1.0 / (1.0 + (-hours(front, time) / FRONT_H).exp()));
        let temp_c = weather.mean_temp_c
            + weather.temp_swing_k * self.daily(time)
            + weather.front_temp_k * front
            + weather.irregular_k * self.irregular(time, &self.temp_phase);
        let dew_point_c = weather.mean_dew_point_c
            + weather.front_dew_point_k * front
            + 0.5 * weather.irregular_k * self.irregular(time, &self.dew_phase);
        let vapour_pa = moist::saturation_pa(dew_point_c.min(temp_c - LEAST_SPREAD_K))?;
        Ok(Bulk { temp_c, humidity_ratio: moist::ratio_of_pa(vapour_pa, self.scenario.pressure_pa)? })
    }

    pub(super) fn unaffected(&self, time: DateTime<Utc>) -> Result<Bulk, Error> {
        let room = &self.scenario.unaffected;
        let temp_c = room.mean_temp_c + room.temp_swing_k * self.daily(time);
        let rh_pct = room.mean_rh_pct + room.rh_swing_pct * self.irregular(time, &self.room_phase);
        let vapour_pa = rh_pct / 100.0 * moist::saturation_pa(temp_c)?;
        Ok(Bulk { temp_c, humidity_ratio: moist::ratio_of_pa(vapour_pa, self.scenario.pressure_pa)? })
    }

    /// The daily cycle, -1 to 1, highest at 15:00 local time.
    fn daily(&self, time: DateTime<Utc>) -> f64 {
        let seconds = time.with_timezone(&self.scenario.job.zone).num_seconds_from_midnight();
        (TAU * (f64::from(seconds) / 3600.0 - 15.0) / 24.0).cos()
    }

    /// Slow changes, within -1 to 1.
    fn irregular(&self, time: DateTime<Utc>, phase: &[f64; 4]) -> f64 {
        let elapsed_h = hours(self.scenario.from, time);
        IRREGULAR
            .iter()
            .zip(phase)
            .map(|((period_h, share), phase)| share * (TAU * (elapsed_h / period_h + phase)).sin())
            .sum()
    }
}

fn hours(from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    (to - from).as_seconds_f64() / 3600.0
}
