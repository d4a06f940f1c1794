//! A point that left the record.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    record
        .points
        .iter()
        .filter_map(|point| {
            let ended = point.ended.as_ref()?;
            let line = record.job.points.iter().find(|one| one.id == point.id).map(|one| (&one.line).into());
            Some(Draft {
                kind: FindingKind::PointEnded,
                subject: Subject::Point(point.id.clone()),
                from: ended.at,
                to: None,
                text: say!(words, "point_ended.text", point = point.id, reason = ended.reason),
                threshold: say!(words, "point_ended.threshold").to_owned(),
                rows: line.into_iter().collect(),
            })
        })
        .collect()
}
