//! Drying rate: the Theil-Sen slope of the deciding readings since the last rewetting or change of meter.
//!
//! Source: Theil (1950), Sen (1968): the median of all pairwise slopes, with Sen's interval from the ranks of those
//! slopes, as implemented in SciPy `stats.theilslopes`.

use chrono::{DateTime, Utc};

use super::dry_standard::median;
use super::readings::PointReading;
use crate::evidence::{DailyRate, Day};
use crate::rules::{REWETTING_SHARE, SLOPE_READINGS};
use crate::words::hours;

/// A slope with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slope {
    pub per_day: f64,
    /// `None` with fewer than four readings, whose ranks carry no interval.
    pub interval: Option<(f64, f64)>,
}

/// One rate per day that has at least two readings of the running stretch up to its end.
///
/// `readings` are the deciding ones, `accuracy` that of each one's meter; only numbers enter (a lower bound has no slope). No slope crosses a change of
/// meter or a rewetting.
pub(crate) fn daily(readings: &[&PointReading], accuracy: &[f64], days: &[Day]) -> Vec<DailyRate> {
    let stretches = stretches(readings, accuracy);
    days.iter()
        .filter_map(|day| {
            let until = readings.partition_point(|reading| reading.time < day.to);
            let has_new =
                readings[..until].iter().any(|reading| reading.time >= day.from && reading.measured().is_some());
            if !has_new {
                return None;
            }
            let start = stretches.iter().rev().find(|start| **start < until).copied().unwrap_or(0);
            let points: Vec<(DateTime<Utc>, f64)> =
                readings[start..until].iter().filter_map(|reading| Some((reading.time, reading.measured()?))).collect();
            let points = thinned(points);
            let slope = theil_sen(&points)?;
            Some(DailyRate {
                date: day.date,
                per_day: slope.per_day,
                low: slope.interval.map(|interval| interval.0),
                high: slope.interval.map(|interval| interval.1),
                readings: u32::try_from(points.len()).unwrap_or(u32::MAX),
            })
        })
        .collect()
}

/// Indices at which a stretch begins: the first reading, each change of meter, each rewetting.
fn stretches(readings: &[&PointReading], accuracy: &[f64]) -> Vec<usize> {
    let mut starts = vec![0];
    for index in 1..readings.len() {
        let (before, now) = (readings[index - 1], readings[index]);
        let rewetted = match (before.measured(), now.measured()) {
            (Some(before), Some(now)) => now - before > accuracy[index].max(REWETTING_SHARE * before),
            // From a number to a bound: it rose beyond the meter.
            (Some(_), None) => true,
            _ => false,
        };
        if rewetted || before.meter != now.meter {
            starts.push(index);
        }
    }
    starts
}

/// At most [`SLOPE_READINGS`] of them, evenly by position, the last kept.
fn thinned(points: Vec<(DateTime<Utc>, f64)>) -> Vec<(DateTime<Utc>, f64)> {
    let n = points.len();
    if n <= SLOPE_READINGS {
        return points;
    }
    (1..=SLOPE_READINGS).map(|k| points[k * n / SLOPE_READINGS - 1]).collect()
}

/// Median of pairwise slopes with Sen's 95 % interval; `None` when no two points differ in time.
pub(crate) fn theil_sen(points: &[(DateTime<Utc>, f64)]) -> Option<Slope> {
    let mut slopes: Vec<f64> = Vec::with_capacity(points.len() * points.len().saturating_sub(1) / 2);
    for (index, (t0, y0)) in points.iter().enumerate() {
        for (t1, y1) in &points[index + 1..] {
            let days = hours(*t1 - *t0) / 24.0;
            if days > 0.0 {
                slopes.push((y1 - y0) / days);
            }
        }
    }
    slopes.sort_by(f64::total_cmp);
    Some(Slope { per_day: median(&slopes)?, interval: interval(&slopes, points) })
}

#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn interval(slopes: &[f64], points: &[(DateTime<Utc>, f64)]) -> Option<(f64, f64)> {
    /// 97.5 % quantile of the normal distribution.
    const Z: f64 = 1.959_963_984_540_054;
    let n = points.len();
    if n < 4 {
        return None;
    }
    let mut values: Vec<f64> = points.iter().map(|(_, y)| *y).collect();
    values.sort_by(f64::total_cmp);
    let spread = |k: f64| k * (k - 1.0) * (2.0 * k + 5.0);
    let ties: f64 = values.chunk_by(|a, b| a.total_cmp(b).is_eq()).map(|run| spread(run.len() as f64)).sum();
    let variance = (spread(n as f64) - ties) / 18.0;
    let half = Z * variance.sqrt() / 2.0;
    let middle = slopes.len() as f64 / 2.0;
    let last = slopes.len() - 1;
    let low = ((middle - half).round_ties_even() as usize).saturating_sub(1).min(last);
    let high = ((middle + half).round_ties_even() as usize).min(last);
    Some((slopes[low], slopes[high]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn daily_points(values: &[f64]) -> Vec<(DateTime<Utc>, f64)> {
        values
            .iter()
            .enumerate()
            .map(|(day, value)| (DateTime::from_timestamp(i64::try_from(day).unwrap() * 86_400, 0).unwrap(), *value))
            .collect()
    }

    /// Source: SciPy 1.17.1 `stats.theilslopes` on the same series (28 slopes): -1.99, [-2.10, -1.85].
    #[test]
    fn a_spike_does_not_move_the_slope() {
        let slope = theil_sen(&daily_points(&[30.0, 27.9, 26.2, 23.8, 35.0, 20.1, 18.2, 15.9])).unwrap();
        assert!((slope.per_day + 1.99).abs() < 1e-9, "{slope:?}");
        let (low, high) = slope.interval.unwrap();
        assert!((low + 2.10).abs() < 1e-9 && (high + 1.85).abs() < 1e-9, "{slope:?}");
    }

    #[test]
    fn three_readings_have_a_slope_and_no_interval() {
        let slope = theil_sen(&daily_points(&[30.0, 28.0, 26.0])).unwrap();
        assert!((slope.per_day + 2.0).abs() < 1e-12);
        assert_eq!(slope.interval, None);
    }

    #[test]
    fn one_instant_has_no_slope() {
        let same = DateTime::from_timestamp(0, 0).unwrap();
        assert_eq!(theil_sen(&[(same, 1.0), (same, 2.0)]), None);
    }

    #[test]
    fn thinning_keeps_the_last() {
        let points = daily_points(&(0..1000).map(f64::from).collect::<Vec<_>>());
        let kept = thinned(points.clone());
        assert_eq!(kept.len(), SLOPE_READINGS);
        assert_eq!(kept.last(), points.last());
    }
}
