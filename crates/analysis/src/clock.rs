//! The report's clock and the start of the record: found in the record itself, never on the wall.

use chrono::{DateTime, Utc};
use grainfall_job::Job;
use grainfall_record::TidyFrame;

use crate::air::days::day_start;
use crate::evidence::ClockBasis;

/// The report's clock: `as_of` when given, else the later of the last sample and the last entry of the job's files.
///
/// An entry counts so that the reading that meets a goal, taken minutes after a logger was read out, is not lost.
/// `None` when there is neither sample nor entry.
pub(crate) fn report_clock(
    job: &Job,
    frame: &TidyFrame,
    as_of: Option<DateTime<Utc>>,
) -> Option<(DateTime<Utc>, ClockBasis)> {
    if let Some(as_of) = as_of {
        return Some((as_of, ClockBasis::AsOf));
    }
    let sample = frame.span().map(|(_, last)| last);
    let entry = entries(job).max();
    match (sample, entry) {
        (Some(sample), Some(entry)) if entry > sample => Some((entry, ClockBasis::LastEntry)),
        (Some(sample), _) => Some((sample, ClockBasis::LastSample)),
        (None, Some(entry)) => Some((entry, ClockBasis::LastEntry)),
        (None, None) => None,
    }
}

/// Start of the record: its first sample or entry, but not before the civil day of the loss where that is stated.
pub(crate) fn record_start(job: &Job, frame: &TidyFrame, clock: DateTime<Utc>) -> DateTime<Utc> {
    let first = frame.span().map(|(first, _)| first).into_iter().chain(entries(job)).min();
    let loss_day = job.loss_at.and_then(|loss| {
        let date = loss.with_timezone(&job.zone.tz).date_naive();
        day_start(job.zone.tz, date)
    });
    let start = match (first, loss_day) {
        (Some(first), Some(loss)) => first.max(loss),
        (Some(first), None) => first,
        (None, _) => clock,
    };
    start.min(clock)
}

/// Every entry of what was done or read at a time, in the job's own files.
pub(crate) fn entries(job: &Job) -> impl Iterator<Item = DateTime<Utc>> + '_ {
    let readings = job.readings.iter().map(|reading| reading.time);
    let air = job.air_readings.iter().map(|reading| reading.time);
    let visits = job.visits.iter().map(|visit| visit.time);
    let stays = job.equipment.iter().flat_map(|stay| [Some(stay.placed), stay.removed]).flatten();
    let water = job.condensate.iter().map(|entry| entry.time);
    let meters = job.hour_meters.iter().map(|entry| entry.time);
    let ends = job.points.iter().filter_map(|point| point.ended.as_ref()).map(|ended| ended.at);
    readings.chain(ends).chain(air).chain(visits).chain(stays).chain(water).chain(meters)
}
