//! Loggers that stand in one air: the affected loggers of a chamber and the inlets of units that serve it alone; and the
//! same with outlets, which share its events.

use std::ops::Range;

use super::Record;
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
    let serves_alone = |unit: &str| {
        let mut stays = record.job.equipment.iter().filter(|stay| stay.unit == unit).peekable();
        stays.peek().is_some() && stays.all(|stay| stay.chambers == [chamber.to_owned()])
    };
    let stands_there = |track: &AirTrack| match track.place {
        TrackPlace::Affected => track.chamber.as_deref() == Some(chamber),
        place if at_units.contains(&place) => track.unit.as_deref().is_some_and(serves_alone),
        _ => false,
    };
    (0..record.tracks.len()).filter(|index| stands_there(&record.tracks[*index])).collect()
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
