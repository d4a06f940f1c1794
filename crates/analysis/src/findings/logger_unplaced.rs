//! A logger that nobody placed: charted as `unplaced`, part of no chamber.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject, TrackPlace};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
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
                text: format!(
                    "The job does not say where logger {} stood; its air is charted as unplaced and supports no verdict.",
                    logger.logger
                ),
                threshold: "no [[logger]] entry covers its samples".to_owned(),
                rows: Vec::new(),
            })
        })
        .collect()
}
