//! What the job says that helps to read exports, carried over to ingest.

use grainfall_job::Job;
use grainfall_record::{LoggerHint, ReadingHints};

/// The hints of a job.
pub fn from_job(job: &Job) -> ReadingHints {
    ReadingHints {
        time_zone: job.zone.stated.then_some(job.zone.tz),
        date_order: job.date_order,
        loggers: job
            .loggers
            .iter()
            .map(|placement| LoggerHint {
                select: placement.select.clone(),
                clock: placement.clock,
                columns: placement.columns.clone(),
            })
            .collect(),
        not_exports: job.files.clone(),
    }
}
