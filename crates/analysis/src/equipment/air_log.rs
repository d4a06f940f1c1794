//! Air by one logger around an instant, and whether it got wetter before it.

use crate::air::instant::{interval_micros, micros, micros_of};
use crate::evidence::AirTrack;
use crate::material::dry_standard::median;
use crate::rules::{
    AIR_RISE_BEFORE, AIR_RISE_HELD, AIR_RISE_LEAST_BEFORE, AIR_RISE_LEAST_NOW, AIR_RISE_LEVEL, AIR_RISE_THINNED,
};

/// What one logger says of air.
pub(super) struct Air {
    pub gpp: Samples,
    pub temp_c: Samples,
    pub enthalpy_kj_kg: Samples,
    /// For so long a rise must hold: sparse logs need longer for as many samples. Microseconds.
    held: i64,
}

impl Air {
    pub fn of(track: &AirTrack) -> Self {
        Self {
            gpp: Samples::of(track, &track.gpp),
            temp_c: Samples::of(track, &track.air_temp_c),
            enthalpy_kj_kg: Samples::of(track, &track.enthalpy_kj_kg),
            held: micros_of(AIR_RISE_HELD).max(interval_micros(track.interval_s).unwrap_or(0) * 5 / 2),
        }
    }

    pub fn window(&self, at: i64) -> Window {
        Window { at, held: self.held, before: micros_of(AIR_RISE_BEFORE) }
    }

    /// Whether it is there and lives: enough samples, not all the same.
    pub fn speaks(&self, at: i64) -> bool {
        let window = self.window(at);
        let now = self.gpp.within(window.now_begins(), at).count();
        let before = self.gpp.within(window.begins(), window.now_begins()).count();
        let lately = || self.gpp.within(window.now_begins() - window.held, at);
        let moves = lately().reduce(f64::max) > lately().reduce(f64::min);
        now >= AIR_RISE_LEAST_NOW && before >= AIR_RISE_LEAST_BEFORE && moves
    }
}

/// The time a rise is looked for in: so long before `at` it must have held, and so long before that is what it is
/// compared with. Microseconds.
#[derive(Clone, Copy)]
pub(super) struct Window {
    pub at: i64,
    pub held: i64,
    pub before: i64,
}

impl Window {
    pub fn now_begins(&self) -> i64 {
        self.at - self.held
    }

    pub fn begins(&self) -> i64 {
        self.now_begins() - self.before
    }

    /// When the end of the time it must have held begins: with one sample at least, by any logger that is there.
    pub fn lately(&self) -> i64 {
        self.at - self.held * 2 / 5
    }
}

/// By how much the middle of the last hour exceeds what was seldom exceeded before it; `None` for less than `least_gpp`,
/// or where a sample of that hour does not exceed it by the share `stayed` of that.
pub(super) fn rise(samples: &Samples, window: &Window, least_gpp: f64, stayed: f64) -> Option<f64> {
    let now = sorted(samples.within(window.now_begins(), window.at));
    if now.len() < AIR_RISE_LEAST_NOW {
        return None;
    }
    let level = median(&now)?;
    let lowest = samples.within(window.begins(), window.now_begins()).reduce(f64::min)?;
    if level - lowest < least_gpp {
        return None;
    }
    let before = sorted(samples.within(window.begins(), window.now_begins()));
    if before.len() < AIR_RISE_LEAST_BEFORE {
        return None;
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss, clippy::cast_sign_loss)]
    let index = (AIR_RISE_LEVEL * before.len() as f64) as usize;
    let seldom = before[index.min(before.len() - 1)];
    let by = level - seldom;
    let whole = stayed <= 0.0 || now[0] - seldom >= stayed * least_gpp;
    (by >= least_gpp && whole).then_some(by)
}

fn sorted(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values
}

pub(super) fn median_of(values: impl Iterator<Item = f64>) -> Option<f64> {
    median(&sorted(values))
}

/// The values of a column that are there, thinned, with their instants and positions.
pub(super) struct Samples {
    pub times: Vec<i64>,
    pub values: Vec<f64>,
    positions: Vec<usize>,
}

impl Samples {
    pub fn of(track: &AirTrack, column: &[Option<f64>]) -> Self {
        let mut samples = Self { times: Vec::new(), values: Vec::new(), positions: Vec::new() };
        for (position, (time, value)) in track.time.iter().zip(column).enumerate() {
            let Some(value) = value else { continue };
            if samples.times.last().is_none_or(|last| micros(*time) - last >= micros_of(AIR_RISE_THINNED)) {
                samples.times.push(micros(*time));
                samples.values.push(*value);
                samples.positions.push(position);
            }
        }
        samples
    }

    pub fn span(&self) -> Option<(i64, i64)> {
        Some((*self.times.first()?, *self.times.last()?))
    }

    /// Those after `from` up to `to`, `to` included.
    pub fn indices(&self, from: i64, to: i64) -> std::ops::Range<usize> {
        let first = self.times.partition_point(|time| *time <= from);
        first..self.times.partition_point(|time| *time <= to).max(first)
    }

    pub fn within(&self, from: i64, to: i64) -> impl Iterator<Item = f64> + '_ {
        self.values[self.indices(from, to)].iter().copied()
    }

    /// Index of the last at or before an instant.
    fn last_at(&self, at: i64) -> Option<usize> {
        self.times.partition_point(|time| *time <= at).checked_sub(1)
    }

    /// Position in the track of the last at or before an instant.
    pub fn position_at(&self, at: i64) -> Option<usize> {
        Some(self.positions[self.last_at(at)?])
    }

    /// The last value at or before an instant and no older than so long.
    pub fn value_at(&self, at: i64, oldest: i64) -> Option<f64> {
        let index = self.last_at(at)?;
        (at - self.times[index] <= oldest).then(|| self.values[index])
    }
}
