//! A met goal that a later reading lost again.

use super::{Draft, Record};
use crate::equipment::load::read_words;
use crate::evidence::{FindingKind, Subject};
use crate::words::{moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let mut drafts = Vec::new();
    for point in record.points {
        for at in &point.reopened_at {
            let Some(reading) = point.readings.iter().find(|reading| reading.decides && reading.time == *at) else {
                continue;
            };
            let goal = point.goal.as_ref().map_or_else(String::new, |goal| number(goal.value, 2));
            drafts.push(Draft {
                kind: FindingKind::Reopened,
                subject: Subject::Point(point.id.clone()),
                from: *at,
                to: None,
                text: format!(
                    "{} had met its goal and read {} on {}, above the goal of {goal}: it is open again from then on.",
                    point.id,
                    read_words(&reading.kind, &reading.unit),
                    moment(*at, zone)
                ),
                threshold: "above the goal by more than the meter's accuracy, or twice in a row".to_owned(),
                rows: vec![reading.row.clone()],
            });
        }
    }
    drafts
}
