//! A logger that nobody placed: charted as `unplaced`, part of no chamber.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject, TrackPlace};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    record
        .loggers
        .iter()
        .filter(|logger| logger.place == TrackPlace::Unplaced)
        .filter_map(|logger| {
            Some(Draft {
                kind: FindingKind::LoggerUnplaced,
                subject: Subject::Logger(logger.logger.clone()),
                from: logger.first?,
                to: logger.last,
                text: say!(words, "logger_unplaced.text", logger = logger.logger),
                threshold: say!(words, "logger_unplaced.threshold").to_owned(),
                rows: Vec::new(),
            })
        })
        .collect()
}
