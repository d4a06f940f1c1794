//! A met goal that a later reading lost again.

use super::{Draft, Record};
use crate::equipment::load::read_words;
use crate::evidence::{FindingKind, Subject};
use crate::words::{moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for point in record.points {
        for at in &point.reopened_at {
            let Some(reading) = point.readings.iter().find(|reading| reading.decides && reading.time == *at) else {
                continue;
            };
            let goal = point.goal.as_ref().map_or_else(String::new, |goal| number(words, goal.value, 2));
            drafts.push(Draft {
                kind: FindingKind::Reopened,
                subject: Subject::Point(point.id.clone()),
                from: *at,
                to: None,
                text: say!(
                    words,
                    "reopened.text",
                    point = point.id,
                    read = read_words(words, &reading.kind, &reading.unit),
                    at = moment(*at, zone),
                    goal = goal
                ),
                threshold: say!(words, "reopened.threshold").to_owned(),
                rows: vec![reading.row.clone()],
            });
        }
    }
    drafts
}
