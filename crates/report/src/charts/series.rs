//! Samples as lines: cut at gaps, thinned to what a drawing can show.

use chrono::{DateTime, Utc};

use super::time_axis::TimeScale;

/// Samples further apart than this many usual intervals are not joined by a line.
pub(super) const GAP_INTERVALS: f64 = 1.5;

/// Vertices of one line at most, over all its stretches.
pub(super) const MOST_VERTICES: usize = 1500;

/// One usable sample: seconds since the start of the axis, and the value.
pub(super) type Sample = (f64, f64);

/// The usable samples inside the range, cut where more than 1.5 intervals lie between two of them.
///
/// # Arguments
/// * `time`: increasing.
/// * `interval_s`: usual time between samples; the median step of `time` where it is not known.
/// * `value`: value of a sample, `None` if it has none.
pub(super) fn stretches(
    scale: &TimeScale,
    time: &[DateTime<Utc>],
    interval_s: Option<u32>,
    value: impl Fn(usize) -> Option<f64>,
) -> Vec<Vec<Sample>> {
    let interval = interval_s.map(f64::from).or_else(|| median_step(time)).unwrap_or(f64::INFINITY);
    let mut stretches: Vec<Vec<Sample>> = Vec::new();
    for (index, &at) in time.iter().enumerate().filter(|(_, at)| scale.contains(**at)) {
        let Some(value) = value(index).filter(|v| v.is_finite()) else { continue };
        let sample = (scale.seconds(at), value);
        match stretches.last_mut() {
            Some(stretch) if stretch.last().is_some_and(|last| sample.0 - last.0 <= GAP_INTERVALS * interval) => {
                stretch.push(sample);
            }
            _ => stretches.push(vec![sample]),
        }
    }
    stretches
}

/// Lines of readings cut where a whole civil day without one lies between two of them.
///
/// # Arguments
/// * `readings`: each line in order of time.
pub(super) fn by_days_read(scale: &TimeScale, readings: &[Vec<Sample>]) -> Vec<Vec<Sample>> {
    let next_day = |a: &Sample, b: &Sample| (scale.date_at(b.0) - scale.date_at(a.0)).num_days() <= 1;
    readings.iter().flat_map(|line| line.chunk_by(next_day).map(<[Sample]>::to_vec)).collect()
}

/// What lies between lines: from the last sample of each to the first of the next.
pub(super) fn between(lines: &[Vec<Sample>]) -> Vec<Vec<Sample>> {
    lines.windows(2).filter_map(|pair| Some(vec![*pair[0].last()?, *pair[1].first()?])).collect()
}

/// The same lines with at most [`MOST_VERTICES`] vertices or so: per column of the drawing the first and last sample
/// and both extremes stay, so that no peak is lost.
///
/// # Arguments
/// * `length_s`: seconds the axis covers.
/// * `width_px`: its width.
pub(super) fn thinned(stretches: &[Vec<Sample>], length_s: f64, width_px: f64) -> Vec<Vec<Sample>> {
    let total: usize = stretches.iter().map(Vec::len).sum();
    if total <= MOST_VERTICES {
        return stretches.to_vec();
    }
    let columns = width_px.min(MOST_VERTICES as f64 / 4.0).max(1.0);
    let column_of = |sample: &Sample| (sample.0 / length_s * columns).floor() as i64;
    let thin = |stretch: &Vec<Sample>| {
        let mut kept: Vec<Sample> = Vec::new();
        let mut start = 0;
        while start < stretch.len() {
            let column = column_of(&stretch[start]);
            let end = start + stretch[start..].iter().take_while(|sample| column_of(sample) == column).count();
            let part = &stretch[start..end];
            let least = start + extreme(part, |a, b| a < b);
            let most = start + extreme(part, |a, b| a > b);
            let mut chosen = vec![start, least, most, end - 1];
            chosen.sort_unstable();
            chosen.dedup();
            kept.extend(chosen.into_iter().map(|index| stretch[index]));
            start = end;
        }
        kept
    };
    stretches.iter().map(thin).collect()
}

/// A band between two lines over the same samples, as closed shapes in data coordinates.
///
/// Per column the widest of the band is kept: a band drawn too wide by a hair never claims more than is known.
pub(super) fn bands(lower: &[Vec<Sample>], upper: &[Vec<Sample>], length_s: f64, width_px: f64) -> Vec<Vec<Sample>> {
    let columns = (width_px / 2.0).max(1.0);
    let column_of = |sample: &Sample| (sample.0 / length_s * columns).floor() as i64;
    lower
        .iter()
        .zip(upper)
        .filter(|(lower, upper)| lower.len() == upper.len() && lower.len() > 1)
        .map(|(lower, upper)| {
            let mut edges: Vec<(f64, f64, f64)> = Vec::new();
            let mut start = 0;
            while start < lower.len() {
                let column = column_of(&lower[start]);
                let end = start + lower[start..].iter().take_while(|sample| column_of(sample) == column).count();
                let least = lower[start..end].iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
                let most = upper[start..end].iter().map(|s| s.1).fold(f64::NEG_INFINITY, f64::max);
                edges.push((lower[start].0, least, most));
                if end == lower.len() && end - start > 1 {
                    edges.push((lower[end - 1].0, least, most));
                }
                start = end;
            }
            let there = edges.iter().map(|edge| (edge.0, edge.1));
            let back = edges.iter().rev().map(|edge| (edge.0, edge.2));
            there.chain(back).collect()
        })
        .collect()
}

/// Median step between instants, seconds.
fn median_step(time: &[DateTime<Utc>]) -> Option<f64> {
    let mut steps: Vec<i64> = time.windows(2).map(|pair| (pair[1] - pair[0]).num_seconds()).collect();
    steps.sort_unstable();
    steps.get(steps.len() / 2).map(|step| *step as f64)
}

fn extreme(part: &[Sample], beats: impl Fn(f64, f64) -> bool) -> usize {
    let mut best = 0;
    for (index, sample) in part.iter().enumerate() {
        if beats(sample.1, part[best].1) {
            best = index;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::words::Words;

    #[test]
    fn a_line_ends_where_more_than_one_and_a_half_intervals_are_missing() {
        let analysis = sample();
        let scale = TimeScale::of_record(&analysis.evidence, Words::default()).expect("a zone").expect("a length");
        let track = &analysis.tracks[0];
        let lines = stretches(&scale, &track.time, track.interval_s, |i| track.gpp[i]);
        assert_eq!(lines.len(), 2, "the sample's first logger has one gap of six hours");
        // One sample missing: 20 min against 1.5 x 10 min.
        let lines = stretches(&scale, &track.time, track.interval_s, |i| track.gpp[i].filter(|_| i != 40));
        assert_eq!(lines.len(), 3);
        // An interval that is not known is the median step.
        let lines = stretches(&scale, &track.time, None, |i| track.gpp[i]);
        assert_eq!(lines.len(), 2);
    }

    #[test]
    fn readings_are_not_joined_over_a_day_without_one() {
        let analysis = sample();
        let scale = TimeScale::of_record(&analysis.evidence, Words::default()).expect("a zone").expect("a length");
        // Noon of the civil days 1, 2, 4 and 5 of the axis.
        let noon = |day: usize| (scale.seconds(scale.days[day].1) + 12.0 * 3600.0, day as f64);
        let line = vec![noon(1), noon(2), noon(4), noon(5)];
        let lines = by_days_read(&scale, std::slice::from_ref(&line));
        assert_eq!(lines, [vec![noon(1), noon(2)], vec![noon(4), noon(5)]]);
        assert_eq!(between(&lines), [vec![noon(2), noon(4)]]);
        assert!(between(&[line]).is_empty());
    }

    #[test]
    fn thinning_keeps_the_extremes_the_order_and_the_ends() {
        for seed in 1..40_u64 {
            // A walk of steps between -1 and 1 from a linear congruential generator (Knuth's MMIX constants).
            let mut state = seed;
            let mut value = 0.0;
            let line: Vec<Sample> = (0..1600 + seed * 57)
                .map(|i| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    value += (state >> 40) as f64 / f64::from(1_u32 << 23) - 1.0;
                    (i as f64 * 60.0, value)
                })
                .collect();
            let length = line.len() as f64 * 60.0;
            let thin = thinned(std::slice::from_ref(&line), length, 500.0).remove(0);
            assert!(thin.len() <= MOST_VERTICES + 4, "{}", thin.len());
            assert!(thin.is_sorted_by(|a, b| a.0 < b.0));
            let most = |s: &[Sample]| s.iter().map(|v| v.1).fold(f64::MIN, f64::max);
            let least = |s: &[Sample]| s.iter().map(|v| v.1).fold(f64::MAX, f64::min);
            assert!((most(&line) - most(&thin)).abs() < 1e-12);
            assert!((least(&line) - least(&thin)).abs() < 1e-12);
            assert_eq!(line.first(), thin.first());
            assert_eq!(line.last(), thin.last());
        }
    }

    #[test]
    fn a_band_holds_all_its_samples() {
        let lower = vec![(0..1000).map(|i| (f64::from(i), f64::from(i % 7))).collect::<Vec<_>>()];
        let upper = vec![(0..1000).map(|i| (f64::from(i), f64::from(i % 7) + 3.0)).collect::<Vec<_>>()];
        let band = bands(&lower, &upper, 1000.0, 100.0).remove(0);
        assert!(band.len() <= 104, "{}", band.len());
        assert!(band.iter().any(|p| p.1.abs() < 1e-12) && band.iter().any(|p| (p.1 - 9.0).abs() < 1e-12));
    }
}
