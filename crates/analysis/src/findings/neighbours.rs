//! Loggers that stand in one air: the affected loggers of a chamber and the inlets of units that serve it alone; and the
//! same with outlets, which share its events.

use std::ops::Range;

use super::Record;
use crate::air::in_air_of;
use crate::evidence::{AirTrack, TrackPlace};

/// Positions of the tracks that measure one chamber's air, but for those that look swapped.
pub(super) fn in_air(record: &Record<'_>, chamber: &str) -> Vec<usize> {
    let mut all = of_places(record, chamber, &[TrackPlace::Inlet]);
    all.retain(|track| record.in_its_place(*track));
    all
}

/// Positions of the tracks that see one chamber's events at the same moments.
pub(super) fn in_events(record: &Record<'_>, chamber: &str) -> Vec<usize> {
    of_places(record, chamber, &[TrackPlace::Inlet, TrackPlace::Outlet])
}

fn of_places(record: &Record<'_>, chamber: &str, at_units: &[TrackPlace]) -> Vec<usize> {
    let stands_there = |index: &usize| in_air_of(record.job, &record.tracks[*index], chamber, at_units);
    (0..record.tracks.len()).filter(stands_there).collect()
}

/// Positions of a track's samples in a span of microseconds, both ends included.
pub(super) fn samples(track: &AirTrack, from: i64, to: i64) -> Range<usize> {
    crate::air::cover::instants_within(&track.time, from, to.saturating_add(1))
}

/// Middle of a list; `None` for an empty one.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    crate::material::dry_standard::median(&values)
}
