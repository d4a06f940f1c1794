//! Which sample of one logger belongs to an instant of another.
//!
//! The nearest usable sample counts when it is within half the coarser of the two usual intervals. Otherwise, inside
//! a gap of at most two intervals of the logger that is looked up, its two neighbours are interpolated in a straight
//! line. Anything further away is no match. At equal distance the earlier sample counts.

use std::ops::Range;

use chrono::{DateTime, Utc};

use super::cover::instants_within;
use super::instant::{interval_micros, micros, seconds};

/// The longest gap, in usual intervals, inside which values are interpolated. Project convention.
const INTERPOLATE_INTERVALS: i64 = 2;

/// The usable samples of one logger, ready to be looked up.
#[derive(Debug, Clone)]
pub(crate) struct Lookup {
    micros: Vec<i64>,
    index: Vec<usize>,
    interval: Option<i64>,
}

/// The sample or samples that belong to an instant, by position in the track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Matched {
    /// One sample.
    At(usize),
    /// Between two.
    Between {
        /// The one before.
        before: usize,
        /// The one after.
        after: usize,
        /// How far the instant lies from the one before to the one after, 0 to 1.
        share: f64,
    },
}

impl Matched {
    /// The column's value; `None` where a sample has none.
    pub(crate) fn value(self, column: &[Option<f64>]) -> Option<f64> {
        match self {
            Self::At(index) => *column.get(index)?,
            Self::Between { before, after, share } => {
                let (a, b) = ((*column.get(before)?)?, (*column.get(after)?)?);
                Some(a + (b - a) * share)
            }
        }
    }
}

impl Lookup {
    /// The samples for which `usable` holds; `times` increase strictly.
    pub(crate) fn new(times: &[DateTime<Utc>], usable: impl Fn(usize) -> bool, interval_s: Option<u32>) -> Self {
        Self::of_range(times, 0..times.len(), usable, interval_s)
    }

    /// Only the samples that [`Self::near`] may need for one instant; the same answer at less work.
    pub(crate) fn around(
        times: &[DateTime<Utc>],
        usable: impl Fn(usize) -> bool,
        interval_s: Option<u32>,
        time: i64,
    ) -> Self {
        let reach = interval_micros(interval_s).unwrap_or(0) * INTERPOLATE_INTERVALS;
        let range = instants_within(times, time - reach, time + reach + 1);
        Self::of_range(times, range, usable, interval_s)
    }

    fn of_range(
        times: &[DateTime<Utc>],
        range: Range<usize>,
        usable: impl Fn(usize) -> bool,
        interval_s: Option<u32>,
    ) -> Self {
        let index: Vec<usize> = range.filter(|i| usable(*i)).collect();
        let micros = index.iter().map(|i| micros(times[*i])).collect();
        Self { micros, index, interval: interval_micros(interval_s) }
    }

    /// Whether there is nothing to match.
    pub(crate) fn is_empty(&self) -> bool {
        self.index.is_empty()
    }

    /// What belongs to an instant of a logger with this usual interval (`None` when unknown).
    pub(crate) fn at(&self, time: i64, other_interval_s: Option<u32>) -> Option<Matched> {
        let coarser = self.interval.max(interval_micros(other_interval_s)).unwrap_or(0);
        self.nearest(time, coarser - coarser / 2).or_else(|| self.between(time))
    }

    /// What belongs to an instant that is no logger's: the nearest within one usual interval.
    pub(crate) fn near(&self, time: i64) -> Option<Matched> {
        self.nearest(time, self.interval.unwrap_or(0)).or_else(|| self.between(time))
    }

    fn nearest(&self, time: i64, within: i64) -> Option<Matched> {
        let after = self.micros.partition_point(|t| *t < time);
        let candidates = [after.checked_sub(1), (after < self.micros.len()).then_some(after)];
        let nearest = candidates.into_iter().flatten().min_by_key(|k| (self.micros[*k] - time).abs())?;
        ((self.micros[nearest] - time).abs() <= within).then(|| Matched::At(self.index[nearest]))
    }

    fn between(&self, time: i64) -> Option<Matched> {
        let after = self.micros.partition_point(|t| *t < time);
        let before = after.checked_sub(1)?;
        let (start, end) = (self.micros[before], *self.micros.get(after)?);
        (end - start <= self.interval? * INTERPOLATE_INTERVALS).then(|| Matched::Between {
            before: self.index[before],
            after: self.index[after],
            share: seconds(time - start) / seconds(end - start),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MINUTE: i64 = 60_000_000;

    fn lookup(minutes: &[i64], interval_s: u32) -> Lookup {
        let times: Vec<_> = minutes.iter().map(|m| DateTime::from_timestamp(m * 60, 0).unwrap()).collect();
        Lookup::new(&times, |_| true, Some(interval_s))
    }

    #[test]
    fn the_nearest_within_half_the_coarser_interval_counts() {
        let ten = lookup(&[0, 10, 20], 600);
        assert_eq!(ten.at(14 * MINUTE, Some(300)), Some(Matched::At(1)));
        assert_eq!(ten.at(25 * MINUTE, Some(300)), Some(Matched::At(2)), "5 min is half of 10 min");
        assert_eq!(ten.at(26 * MINUTE, Some(300)), None);
        assert_eq!(ten.at(35 * MINUTE, Some(1800)), Some(Matched::At(2)), "15 min is half of 30 min, the coarser");
    }

    #[test]
    fn at_equal_distance_the_earlier_counts() {
        assert_eq!(lookup(&[0, 10], 600).at(5 * MINUTE, None), Some(Matched::At(0)));
    }

    #[test]
    fn a_gap_of_two_intervals_is_interpolated_and_a_longer_one_is_not() {
        let two = lookup(&[0, 20], 600);
        let matched = two.at(8 * MINUTE, Some(600)).unwrap();
        assert_eq!(matched, Matched::Between { before: 0, after: 1, share: 0.4 });
        let value = matched.value(&[Some(50.0), Some(60.0)]).unwrap();
        assert!((value - 54.0).abs() < 1e-12, "50 + 0.4 x 10 = {value}");
        assert_eq!(lookup(&[0, 21], 600).at(8 * MINUTE, Some(600)), None);
    }

    proptest::proptest! {
        #[test]
        fn a_part_of_the_samples_gives_the_same_answer(
            steps in proptest::collection::vec(1_i64..30, 1..40),
            holes in proptest::collection::vec(proptest::bool::ANY, 40),
            minute in -40_i64..1200,
        ) {
            let mut at = 0;
            let times: Vec<_> = steps.iter().map(|step| {
                at += step;
                DateTime::from_timestamp(at * 60, 0).unwrap()
            }).collect();
            let usable = |i: usize| holes[i];
            let whole = Lookup::new(&times, usable, Some(600)).near(minute * MINUTE);
            let part = Lookup::around(&times, usable, Some(600), minute * MINUTE).near(minute * MINUTE);
            proptest::prop_assert_eq!(whole, part);
        }
    }

    #[test]
    fn nothing_is_extrapolated() {
        let ten = lookup(&[0, 10], 600);
        assert_eq!(ten.at(-6 * MINUTE, Some(600)), None);
        assert_eq!(ten.at(16 * MINUTE, Some(600)), None);
        assert_eq!(ten.near(20 * MINUTE), Some(Matched::At(1)), "a hand reading may be one interval away");
        assert_eq!(ten.near(21 * MINUTE), None);
    }
}
