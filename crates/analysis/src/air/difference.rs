//! Affected air minus unaffected air and minus outdoor air, per chamber and civil day.
//!
//! On the instants of the affected logger that covers most of the day: the mean of the affected loggers that match,
//! minus the mean of the others that match. The errors of different loggers are taken as independent, that of the pressure as
//! shared; the uncertainty of the
//! day's mean is that of its readings, not divided by their count.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::Job;
use grainfall_psychrometrics::uncertainty::SensorAccuracy;

use super::airs::{Airs, sample};
use super::cover::{cells, instants_within, within};
use super::daily::{day_span, share, weighted_mean};
use super::instant::micros;
use crate::evidence::{AirTrack, DailyDifference, Day, DifferenceKind, TrackPlace};

/// Daily differences, by day, then chamber in the job's order, then kind. A day without a pair is not listed.
pub(crate) fn daily_differences(
    job: &Job,
    tracks: &[AirTrack],
    sensors: &[SensorAccuracy],
    days: &[Day],
    clock: DateTime<Utc>,
) -> Vec<DailyDifference> {
    let of = |place| Airs::new(tracks.iter().filter(move |t| t.place == place), sensors);
    let others = [
        (DifferenceKind::AffectedMinusUnaffected, of(TrackPlace::Unaffected)),
        (DifferenceKind::AffectedMinusOutdoor, of(TrackPlace::Outdoor)),
    ];
    let mut out = Vec::new();
    for (position, chamber) in job.chambers.iter().enumerate() {
        let affected = Airs::new(
            tracks
                .iter()
                .filter(|t| t.place == TrackPlace::Affected && t.chamber.as_deref() == Some(chamber.id.as_str())),
            sensors,
        );
        for (kind, other) in &others {
            let each = chamber_days(&affected, other, days, clock);
            out.extend(each.into_iter().map(|(day, found)| {
                let difference = DailyDifference {
                    date: days[day].date,
                    chamber: chamber.id.clone(),
                    kind: *kind,
                    mean_gpp: found.mean_gpp,
                    u_gpp: found.u_gpp,
                    within_uncertainty: found.mean_gpp.abs() <= found.u_gpp,
                    sample_share: found.sample_share,
                };
                (day, position, difference)
            }));
        }
    }
    out.sort_by_key(|(day, position, difference)| (*day, *position, difference.kind));
    out.into_iter().map(|(.., difference)| difference).collect()
}

/// Difference on one day.
#[derive(Debug, Clone, Copy)]
struct DayDifference {
    mean_gpp: f64,
    u_gpp: f64,
    sample_share: f64,
}

/// By position of the day: of each day that has one, the difference on the instants that cover most of it, of equal
/// ones the first logger's.
fn chamber_days(
    affected: &Airs<'_>,
    other: &Airs<'_>,
    days: &[Day],
    clock: DateTime<Utc>,
) -> BTreeMap<usize, DayDifference> {
    let mut best: BTreeMap<usize, DayDifference> = BTreeMap::new();
    for base in affected.tracks() {
        for (day, found) in base_days(base, affected, other, days, clock) {
            best.entry(day)
                .and_modify(|known| {
                    if found.sample_share > known.sample_share {
                        *known = found;
                    }
                })
                .or_insert(found);
        }
    }
    best
}

/// The differences on the instants of one affected logger, with the position of their day.
fn base_days(
    base: &AirTrack,
    affected: &Airs<'_>,
    other: &Airs<'_>,
    days: &[Day],
    clock: DateTime<Utc>,
) -> Vec<(usize, DayDifference)> {
    let pairs: Vec<Option<(f64, f64)>> = (0..base.time.len())
        .map(|i| {
            base.gpp[i]?;
            let (ours, _) = affected.at(sample(base, i))?;
            let (theirs, _) = other.at(sample(base, i))?;
            Some((ours.gpp - theirs.gpp, ours.u_gpp.minus(theirs.u_gpp).total()))
        })
        .collect();
    let value: Vec<Option<f64>> = pairs.iter().map(|pair| pair.map(|(difference, _)| difference)).collect();
    let u: Vec<Option<f64>> = pairs.iter().map(|pair| pair.map(|(_, u)| u)).collect();
    let cells = cells(&base.time, |i| pairs[i].is_some(), base.interval_s);
    days.iter()
        .enumerate()
        .filter_map(|(k, day)| {
            let span = day_span(day, clock);
            let range = instants_within(&base.time, span.0, micros(day.to).min(micros(clock) + 1));
            if !range.clone().any(|i| pairs[i].is_some()) {
                return None;
            }
            let parts: Vec<_> = within(&cells, span.0, span.1).collect();
            let covered = parts.iter().map(|(_, length)| length).sum();
            let mean_gpp = weighted_mean(&parts, range.clone(), &value)?;
            let u_gpp = weighted_mean(&parts, range, &u)?;
            Some((k, DayDifference { mean_gpp, u_gpp, sample_share: share(covered, span.1 - span.0) }))
        })
        .collect()
}
