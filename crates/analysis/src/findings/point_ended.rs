//! A point that left the record.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
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
                text: format!(
                    "{} left the record: {}. It is out of the load and the verdict from then on and never counts as met.",
                    point.id, ended.reason
                ),
                threshold: "as recorded".to_owned(),
                rows: line.into_iter().collect(),
            })
        })
        .collect()
}
