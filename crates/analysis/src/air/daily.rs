//! Daily values of each air.
//!
//! Means are time-weighted by what each sample stands for (see `cover`), cut at the civil day's ends and at the
//! report's clock. Least and greatest are of the samples that stand for any of that time; the count is of the samples
//! taken within the day. The sample share is the time
//! covered by usable samples over the length of the civil day, or of its part before the report's clock; a first day
//! that begins with the record therefore has a small share. A day without a sample has no values.
//!
//! The uncertainty of a mean is that of one reading at the mean state: a sensor's error is bias and does not average
//! out (JCGM 100:2008, 4.2.3 divides by the root of the count only for independent errors).

use chrono::{DateTime, Utc};
use grainfall_psychrometrics::uncertainty::{PressureAccuracy, SensorAccuracy};
use grainfall_record::Quantity;
use rayon::prelude::*;

use super::cover::{Cell, cells, instants_within, within};
use super::gpp_u::GppU;
use super::instant::{micros, seconds};
use super::moist;
use super::pressure::AirPressure;
use super::states::has_air;
use crate::evidence::{AirTrack, DailyAir, Day, Spread};

/// What the daily values of one track are made from.
pub(crate) struct DailyInput<'a> {
    /// The air.
    pub(crate) track: &'a AirTrack,
    /// Its sensor.
    pub(crate) sensor: &'a SensorAccuracy,
    /// When it is expected to log; days outside are not listed.
    pub(crate) expected: (DateTime<Utc>, DateTime<Utc>),
}

/// Daily values of every track, by day, then place, then label.
pub(crate) fn daily_air(
    inputs: &[DailyInput<'_>],
    days: &[Day],
    pressure: &AirPressure,
    clock: DateTime<Utc>,
) -> Vec<DailyAir> {
    let mut out: Vec<DailyAir> =
        inputs.par_iter().flat_map_iter(|input| track_days(input, days, pressure, clock)).collect();
    out.sort_by(|a, b| (a.date, a.place, &a.label).cmp(&(b.date, b.place, &b.label)));
    out
}

/// The span of a day up to the report's clock, microseconds.
pub(crate) fn day_span(day: &Day, clock: DateTime<Utc>) -> (i64, i64) {
    let from = micros(day.from);
    (from, micros(day.to).min(micros(clock)).max(from))
}

/// Time in `span` that the cells cover, as a share of the span; 0 for an empty span.
pub(crate) fn covered_share(cells: &[Cell], span: (i64, i64)) -> f64 {
    let covered: i64 = within(cells, span.0, span.1).map(|(_, length)| length).sum();
    share(covered, span.1 - span.0)
}

/// Part over whole; 0 for an empty whole.
pub(crate) fn share(part: i64, whole: i64) -> f64 {
    if whole <= 0 { 0.0 } else { (seconds(part) / seconds(whole)).min(1.0) }
}

/// Time-weighted mean of a column over parts of samples; the plain mean where they stand for no time.
pub(crate) fn weighted_mean(
    parts: &[(usize, i64)],
    plain: std::ops::Range<usize>,
    column: &[Option<f64>],
) -> Option<f64> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for (index, length) in parts {
        if let Some(value) = column[*index] {
            sum += value * seconds(*length);
            weight += seconds(*length);
        }
    }
    if weight > 0.0 {
        return Some(sum / weight);
    }
    let values: Vec<f64> = column[plain].iter().flatten().copied().collect();
    #[allow(clippy::cast_precision_loss)]
    let count = values.len() as f64;
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / count)
}

/// Cells of the columns that are present together.
struct TrackCells {
    temp: Vec<Cell>,
    rh: Vec<Cell>,
    air: Vec<Cell>,
}

fn track_days(input: &DailyInput<'_>, days: &[Day], pressure: &AirPressure, clock: DateTime<Utc>) -> Vec<DailyAir> {
    let track = input.track;
    let of = |column: &[Option<f64>]| cells(&track.time, |i| column[i].is_some(), track.interval_s);
    let all = TrackCells { temp: of(&track.air_temp_c), rh: of(&track.rh_pct), air: of(&track.gpp) };
    days.iter()
        .filter(|day| day.from < input.expected.1.max(input.expected.0 + chrono::TimeDelta::microseconds(1)))
        .filter(|day| input.expected.0 < day.to)
        .map(|day| one_day(input, &all, day, pressure, clock))
        .collect()
}

fn one_day(
    input: &DailyInput<'_>,
    all: &TrackCells,
    day: &Day,
    pressure: &AirPressure,
    clock: DateTime<Utc>,
) -> DailyAir {
    let track = input.track;
    let span = day_span(day, clock);
    // An instant at the clock itself belongs to its day.
    let range = instants_within(&track.time, span.0, micros(day.to).min(micros(clock) + 1));
    let spread = |cells: &[Cell], column: &[Option<f64>]| spread(cells, column, range.clone(), span);
    // A logger of temperature alone is judged by what it can show.
    let (basis, counted) = if has_air(track) { (&all.air, &track.gpp) } else { (&all.temp, &track.air_temp_c) };
    let used: Vec<usize> = range.clone().filter(|i| counted[*i].is_some()).collect();
    let air_temp_c = spread(&all.temp, &track.air_temp_c);
    let rh_pct = spread(&all.rh, &track.rh_pct);
    let gpp = spread(&all.air, &track.gpp);
    let uncertainties = gpp.and_then(|_| {
        let parts: Vec<_> = within(&all.air, span.0, span.1).collect();
        let mean = |column: &[Option<f64>]| weighted_mean(&parts, range.clone(), column);
        let (temp_c, rh_pct) = (mean(&track.air_temp_c)?, mean(&track.rh_pct)?);
        let air = moist::air(temp_c, rh_pct, pressure.at(track.time[*used.first()?])).ok()?;
        let of_sensor = moist::u_gpp(&air, Quantity::RelativeHumidity, input.sensor, &PressureAccuracy::Neglected);
        let u_gpp = GppU { pressure: mean(&track.u_gpp_from_pressure)?, ..of_sensor };
        Some((u_gpp.total(), moist::u_enthalpy_kj_kg(&air, input.sensor, u_gpp.pressure)))
    });
    let rows = match (used.first(), used.last()) {
        (Some(first), Some(last)) => Some((track.rows[*first].clone(), track.rows[*last].clone())),
        _ => None,
    };
    DailyAir {
        date: day.date,
        logger: track.logger,
        label: track.label.clone(),
        place: track.place,
        chamber: track.chamber.clone(),
        unit: track.unit.clone(),
        sample_share: if used.is_empty() { 0.0 } else { covered_share(basis, span) },
        samples: used.len() as u64,
        air_temp_c,
        rh_pct,
        gpp,
        u_gpp: uncertainties.map(|(u_gpp, _)| u_gpp),
        dew_point_c: spread(&all.air, &track.dew_point_c),
        vapour_pressure_pa: spread(&all.air, &track.vapour_pressure_pa),
        enthalpy_kj_kg: spread(&all.air, &track.enthalpy_kj_kg),
        u_enthalpy_kj_kg: uncertainties.map(|(_, u_enthalpy)| u_enthalpy),
        rows,
    }
}

/// Spread of a column over a day; `None` without a sample within it.
fn spread(cells: &[Cell], column: &[Option<f64>], range: std::ops::Range<usize>, span: (i64, i64)) -> Option<Spread> {
    let parts: Vec<_> = within(cells, span.0, span.1).collect();
    let standing = parts.iter().filter_map(|(index, _)| column[*index]);
    let first = column[range.clone()].iter().flatten().copied().next()?;
    let taken = column[range.clone()].iter().flatten().copied();
    let (min, max) = taken.chain(standing).fold((first, first), |(min, max), v| (f64::min(min, v), f64::max(max, v)));
    Some(Spread { mean: weighted_mean(&parts, range, column)?, min, max })
}
