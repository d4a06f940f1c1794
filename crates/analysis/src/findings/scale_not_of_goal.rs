//! Readings on a scale that the point's goal is not on: kept, and deciding nothing.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingEvidence, ReadingKind, Subject};
use grainfall_words::{Words, say};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
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
                text: say!(
                    words,
                    "scale_not_of_goal.text",
                    point = point.id,
                    scales = scales(words, &others),
                    scale = point.scale,
                    count = others.len()
                ),
                threshold: say!(words, "scale_not_of_goal.threshold").to_owned(),
                rows: others.iter().map(|reading| reading.row.clone()).collect(),
            });
        }
    }
    drafts
}

/// The scales of readings in words.
fn scales(words: Words, readings: &[&ReadingEvidence]) -> String {
    let mut scales: Vec<String> = readings.iter().map(|reading| format!("“{}”", reading.scale)).collect();
    scales.sort();
    scales.dedup();
    say!(words, "scale_not_of_goal.scales", count = scales.len(), scales = words.list(&scales))
}
