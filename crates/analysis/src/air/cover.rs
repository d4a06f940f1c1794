//! The stretch of time each sample stands for.
//!
//! A sample stands for half the way to its neighbours. A step longer than 1.5 usual intervals is a gap: there the
//! sample stands for half a usual interval and no further, so that no value bridges a gap. A sample that is the only
//! one of its logger stands for no time.

use std::ops::Range;

use chrono::{DateTime, Utc};

use super::instant::{interval_micros, micros, overlap};

/// Steps longer than this many usual intervals are gaps. Project convention.
const GAP_INTERVALS_NUMERATOR: i64 = 3;
/// Divisor of [`GAP_INTERVALS_NUMERATOR`]: 3 / 2 = 1.5.
const GAP_INTERVALS_DENOMINATOR: i64 = 2;

/// Whether a step between two samples is a gap at this usual interval (both in microseconds).
pub(crate) fn is_gap(step: i64, interval: i64) -> bool {
    step * GAP_INTERVALS_DENOMINATOR > interval * GAP_INTERVALS_NUMERATOR
}

/// What one sample stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Cell {
    /// Position of the sample in its track.
    pub(crate) index: usize,
    /// Start, included, microseconds.
    pub(crate) from: i64,
    /// End, excluded, microseconds.
    pub(crate) to: i64,
}

impl Cell {
    /// The half-open span.
    pub(crate) fn span(&self) -> (i64, i64) {
        (self.from, self.to)
    }
}

/// The cells of a track's usable samples, in time order; they never overlap.
///
/// `times` increase strictly; `usable` says which of them hold a value; `interval_s` is the usual interval, `None`
/// when unknown (then cells have no length).
pub(crate) fn cells(times: &[DateTime<Utc>], usable: impl Fn(usize) -> bool, interval_s: Option<u32>) -> Vec<Cell> {
    let held: Vec<(usize, i64)> =
        times.iter().enumerate().filter(|(i, _)| usable(*i)).map(|(i, time)| (i, micros(*time))).collect();
    let interval = interval_micros(interval_s);
    let reach = |step: Option<i64>| match (interval, step) {
        (None, _) => 0,
        (Some(interval), Some(step)) if !is_gap(step, interval) => step / 2,
        (Some(interval), _) => interval / 2,
    };
    let mut out = Vec::with_capacity(held.len());
    for (k, (index, time)) in held.iter().enumerate() {
        let step_before = k.checked_sub(1).map(|before| time - held[before].1);
        let step_after = held.get(k + 1).map(|after| after.1 - time);
        // The same half step ends one cell and begins the next, so neighbours share their border.
        let from = match step_before {
            Some(step) if interval.is_some_and(|interval| !is_gap(step, interval)) => time - (step - step / 2),
            _ => time - reach(None),
        };
        out.push(Cell { index: *index, from, to: time + reach(step_after) });
    }
    out
}

/// The parts of cells that lie within a half-open span: position of the sample and microseconds.
pub(crate) fn within(cells: &[Cell], from: i64, to: i64) -> impl Iterator<Item = (usize, i64)> + '_ {
    let first = cells.partition_point(|cell| cell.to <= from);
    cells[first..]
        .iter()
        .take_while(move |cell| cell.from < to)
        .map(move |cell| (cell.index, overlap(cell.span(), (from, to))))
        .filter(|(_, length)| *length > 0)
}

/// Positions of the instants that lie in a half-open span.
pub(crate) fn instants_within(times: &[DateTime<Utc>], from: i64, to: i64) -> Range<usize> {
    let start = times.partition_point(|time| micros(*time) < from);
    let end = times.partition_point(|time| micros(*time) < to);
    start..end.max(start)
}

/// The median step of increasing instants, whole seconds; `None` with fewer than two.
pub(crate) fn usual_interval_s(times: &[DateTime<Utc>]) -> Option<u32> {
    let mut steps: Vec<i64> = times.windows(2).map(|pair| micros(pair[1]) - micros(pair[0])).collect();
    if steps.is_empty() {
        return None;
    }
    steps.sort_unstable();
    let median = steps[steps.len() / 2];
    u32::try_from((median + 500_000) / 1_000_000).ok().filter(|s| *s > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn minutes(list: &[i64]) -> Vec<DateTime<Utc>> {
        list.iter().map(|m| DateTime::from_timestamp(m * 60, 0).unwrap()).collect()
    }

    /// Lengths in minutes.
    fn lengths(cells: &[Cell]) -> Vec<i64> {
        cells.iter().map(|cell| (cell.to - cell.from) / 60_000_000).collect()
    }

    #[test]
    fn even_samples_stand_for_one_interval_each() {
        let cells = cells(&minutes(&[0, 10, 20, 30]), |_| true, Some(600));
        assert_eq!(lengths(&cells), [10, 10, 10, 10]);
        assert!(cells.windows(2).all(|pair| pair[0].to == pair[1].from));
    }

    #[test]
    fn no_sample_reaches_into_a_gap_by_more_than_half_an_interval() {
        // 10 to 60 is five intervals: the samples at its ends stand for 5 min inside it.
        let cells = cells(&minutes(&[0, 10, 60, 70]), |_| true, Some(600));
        assert_eq!(lengths(&cells), [10, 10, 10, 10]);
        assert_eq!((cells[2].from - cells[1].to) / 60_000_000, 40);
    }

    #[test]
    fn a_step_of_one_and_a_half_intervals_is_no_gap_and_a_longer_one_is() {
        let ordinary = cells(&minutes(&[0, 10, 25]), |_| true, Some(600));
        assert_eq!(ordinary[1].to, ordinary[2].from);
        let gap = cells(&minutes(&[0, 10, 26]), |_| true, Some(600));
        assert_eq!((gap[2].from - gap[1].to) / 60_000_000, 6);
    }

    #[test]
    fn a_sample_that_is_not_usable_leaves_a_hole() {
        let cells = cells(&minutes(&[0, 10, 20, 30]), |i| i != 1, Some(600));
        assert_eq!(cells.iter().map(|cell| cell.index).collect::<Vec<_>>(), [0, 2, 3]);
        assert_eq!((cells[1].from - cells[0].to) / 60_000_000, 10);
    }

    #[test]
    fn cells_are_cut_at_the_span() {
        let cells = cells(&minutes(&[0, 10, 20]), |_| true, Some(600));
        let parts: Vec<_> = within(&cells, 0, 12 * 60_000_000).map(|(i, length)| (i, length / 60_000_000)).collect();
        assert_eq!(parts, [(0, 5), (1, 7)]);
    }

    #[test]
    fn the_usual_interval_is_the_median_step() {
        assert_eq!(usual_interval_s(&minutes(&[0, 10, 20, 90])), Some(600));
        assert_eq!(usual_interval_s(&minutes(&[0])), None);
    }

    proptest::proptest! {
        #[test]
        fn cells_never_overlap_and_never_exceed_one_and_a_half_intervals(
            steps in proptest::collection::vec(1_i64..40, 1..60),
            holes in proptest::collection::vec(proptest::bool::ANY, 60),
        ) {
            let mut at = 0;
            let times: Vec<i64> = steps.iter().map(|step| { at += step; at }).collect();
            let cells = cells(&minutes(&times), |i| holes[i], Some(600));
            for pair in cells.windows(2) {
                proptest::prop_assert!(pair[0].to <= pair[1].from);
            }
            for cell in &cells {
                proptest::prop_assert!(cell.to - cell.from <= 15 * 60_000_000);
            }
        }
    }
}
