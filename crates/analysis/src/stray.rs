//! Samples that are not of this job's time: of a clock that was not set, and of a logger that ran on elsewhere once the job
//! was over. They move neither the report's clock nor its first day; they are kept in the files, listed and told.

use std::borrow::Cow;
use std::ops::Range;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::Job;
use grainfall_record::{Ledger, LoggerSeries, TidyFrame};

use crate::air::left_out::{LeftOut, LeftOutReason};
use crate::clock::entries;
use crate::rules::{RAN_ON, STRAY_FROM_ENTRIES, STRAY_FROM_LOG};
use crate::select;

/// A time without bounds that are not known.
#[derive(Clone, Copy)]
struct Bounds {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
}

/// The samples of the job's time, and those that were set apart, by logger.
pub(crate) fn set_apart<'a>(job: &Job, frame: &'a TidyFrame, ledger: &Ledger) -> (Cow<'a, TidyFrame>, Vec<LeftOut>) {
    let Some(set) = clock_set(job, frame) else { return (Cow::Borrowed(frame), Vec::new()) };
    let over = job_over(job, frame, ledger, set);
    let mut apart = Vec::new();
    let ranges: Vec<Range<usize>> = frame
        .series()
        .iter()
        .map(|series| {
            let start = series.time.partition_point(|time| *time < set.from);
            let end = series.time.partition_point(|time| *time <= set.to).max(start);
            let over = over.map_or(end, |over| series.time.partition_point(|time| *time <= over).clamp(start, end));
            apart.extend(LeftOut::of(series, 0..start, LeftOutReason::ClockNotSet));
            apart.extend(LeftOut::of(series, over..end, LeftOutReason::RanOn));
            apart.extend(LeftOut::of(series, end..series.len(), LeftOutReason::ClockNotSet));
            start..over
        })
        .collect();
    if apart.is_empty() { (Cow::Borrowed(frame), apart) } else { (Cow::Owned(frame.slices(&ranges)), apart) }
}

/// Between which instants a clock can have been set: near the job's dated facts, else near the longest stretch of samples.
fn clock_set(job: &Job, frame: &TidyFrame) -> Option<Bounds> {
    if entries(job).next().is_none() {
        let stretch = longest_stretch(frame)?;
        return Some(Bounds { from: stretch.from - STRAY_FROM_LOG, to: stretch.to + STRAY_FROM_LOG });
    }
    let placed = job.loggers.iter().filter_map(|placement| placement.span.from);
    let pauses = job.pauses.iter().flat_map(|pause| [pause.from, pause.to]);
    let dated: Vec<DateTime<Utc>> = entries(job).chain(job.loss_at).chain(placed).chain(pauses).collect();
    let (first, last) = (*dated.iter().min()?, *dated.iter().max()?);
    let near = Bounds { from: first - STRAY_FROM_ENTRIES, to: last + STRAY_FROM_ENTRIES };
    // A log that goes on without a long gap from there has the same clock all along.
    let along = frame.series().iter().flat_map(runs).filter(|run| run.from <= near.to && near.from <= run.to);
    Some(along.fold(near, |all, run| Bounds { from: all.from.min(run.from), to: all.to.max(run.to) }))
}

fn point_loggers<'a>(job: &'a Job, frame: &'a TidyFrame, ledger: &'a Ledger) -> impl Iterator<Item = &'a LoggerSeries> {
    let loggers = job.points.iter().filter_map(|point| point.logger.as_ref());
    loggers.flat_map(move |logger| select::series(frame, ledger, &logger.select))
}

/// The stretch without a long gap in which the loggers together logged the longest.
fn longest_stretch(frame: &TidyFrame) -> Option<Bounds> {
    // Of each logger the runs without a long gap; those that touch are one stretch.
    let mut runs: Vec<Bounds> = frame.series().iter().flat_map(runs).collect();
    runs.sort_by_key(|run| (run.from, run.to));
    let mut stretches: Vec<(Bounds, TimeDelta)> = Vec::new();
    for run in runs {
        match stretches.last_mut() {
            Some((stretch, logged)) if run.from - stretch.to <= STRAY_FROM_ENTRIES => {
                stretch.to = stretch.to.max(run.to);
                *logged += run.to - run.from;
            }
            _ => stretches.push((run, run.to - run.from)),
        }
    }
    stretches.into_iter().max_by_key(|(stretch, logged)| (*logged, stretch.to)).map(|(stretch, _)| stretch)
}

fn runs(series: &LoggerSeries) -> Vec<Bounds> {
    let parts = series.time.chunk_by(|a, b| *b - *a <= STRAY_FROM_ENTRIES);
    parts.filter_map(|part| Some(Bounds { from: *part.first()?, to: *part.last()? })).collect()
}

/// To when samples are of the job: so long after its last entry, where every unit had left; `None` while it goes on or
/// nothing tells.
fn job_over(job: &Job, frame: &TidyFrame, ledger: &Ledger, set: Bounds) -> Option<DateTime<Utc>> {
    if job.equipment.is_empty() || job.equipment.iter().any(|stay| stay.removed.is_none()) {
        return None;
    }
    let logged = point_loggers(job, frame, ledger)
        .filter_map(|series| series.time.iter().rev().find(|time| **time <= set.to).copied());
    Some(entries(job).chain(logged).max()? + RAN_ON)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{at, d1, job, steady};

    fn apart(job: &Job, series: Vec<LoggerSeries>) -> Vec<(LeftOutReason, u64)> {
        let frame = TidyFrame::new(series).unwrap();
        let (kept, apart) = set_apart(job, &frame, &Ledger::default());
        assert_eq!(kept.len() as u64 + apart.iter().map(|one| one.samples).sum::<u64>(), frame.len() as u64);
        apart.into_iter().map(|one| (one.reason, one.samples)).collect()
    }

    /// Hourly for so many hours.
    fn log(name: &str, from: &str, hours: usize) -> LoggerSeries {
        steady(name, from, 3600, hours, (22.0, 50.0))
    }

    #[test]
    fn samples_a_month_from_every_entry_are_of_a_clock_that_was_not_set() {
        let mut job = job();
        job.equipment = vec![d1("2025-10-06T09:00:00Z", None)];
        let near = log("A", "2025-09-10T00:00:00Z", 5);
        let far = log("B", "2025-09-01T00:00:00Z", 5);
        let later = log("C", "2025-11-10T00:00:00Z", 5);
        assert_eq!(
            apart(&job, vec![near, far, later]),
            [(LeftOutReason::ClockNotSet, 5), (LeftOutReason::ClockNotSet, 5)]
        );
    }

    #[test]
    fn a_log_that_goes_on_from_the_entries_has_one_clock() {
        let mut job = job();
        job.equipment = vec![d1("2025-10-06T09:00:00Z", None)];
        assert!(apart(&job, vec![log("A", "2025-10-06T00:00:00Z", 70 * 24)]).is_empty());
    }

    #[test]
    fn without_entries_the_longest_stretch_tells_the_year() {
        let job = job();
        let reset = || log("A", "2000-01-01T00:00:00Z", 30);
        assert_eq!(
            apart(&job, vec![reset(), log("B", "2025-10-06T00:00:00Z", 48)]),
            [(LeftOutReason::ClockNotSet, 30)]
        );
        // Two loggers that agree stand against one that logged a little longer.
        let agreeing = vec![log("B", "2025-10-06T00:00:00Z", 20), log("C", "2025-10-06T00:00:00Z", 20)];
        assert_eq!(apart(&job, [vec![reset()], agreeing].concat()), [(LeftOutReason::ClockNotSet, 30)]);
        // Half a year apart may be one record.
        assert!(
            apart(&job, vec![log("A", "2025-04-01T00:00:00Z", 30), log("B", "2025-10-06T00:00:00Z", 48)]).is_empty()
        );
    }

    #[test]
    fn a_logger_that_runs_on_counts_for_a_while_after_the_last_entry() {
        let mut job = job();
        job.equipment = vec![d1("2025-10-06T09:00:00Z", Some("2025-10-08T15:00:00Z"))];
        let end = at("2025-10-08T15:00:00Z") + RAN_ON;
        // The first sample, and one each hour up to the end.
        let on = 1 + usize::try_from((end - at("2025-10-06T00:00:00Z")).num_hours()).unwrap();
        assert_eq!(apart(&job, vec![log("A", "2025-10-06T00:00:00Z", on + 50)]), [(LeftOutReason::RanOn, 50)]);
        job.equipment[0].removed = None;
        assert!(apart(&job, vec![log("A", "2025-10-06T00:00:00Z", on + 50)]).is_empty());
    }
}
