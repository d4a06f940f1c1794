//! Readings on a scale that the point's goal is not on: kept, and deciding nothing.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingEvidence, ReadingKind, Subject};
use crate::words::{count, list};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let mut drafts = Vec::new();
    for point in record.points.iter().filter(|point| point.goal.is_some()) {
        let others: Vec<_> = point
            .readings
            .iter()
            .filter(|reading| reading.scale != point.scale && !matches!(reading.kind, ReadingKind::NoReading { .. }))
            .collect();
        if let (Some(first), Some(last)) = (others.first(), others.last()) {
            drafts.push(Draft {
                kind: FindingKind::ScaleNotOfGoal,
                subject: Subject::Point(point.id.clone()),
                from: first.time,
                to: (others.len() > 1).then_some(last.time),
                text: format!(
                    "{} has {} on {} while its goal is on `{}`: scales are never mixed, so {} for the goal.",
                    point.id,
                    count(others.len(), "reading", "readings"),
                    scales(&others),
                    point.scale,
                    if others.len() == 1 { "it does not count" } else { "they do not count" }
                ),
                threshold: "any".to_owned(),
                rows: others.iter().map(|reading| reading.row.clone()).collect(),
            });
        }
    }
    drafts
}

/// The scales of readings in words.
fn scales(readings: &[&ReadingEvidence]) -> String {
    let mut scales: Vec<String> = readings.iter().map(|reading| format!("`{}`", reading.scale)).collect();
    scales.sort();
    scales.dedup();
    format!("the {} {}", if scales.len() == 1 { "scale" } else { "scales" }, list(&scales))
}
