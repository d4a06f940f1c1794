//! A civil day with drying equipment in a chamber and no material reading in it.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingKind, Subject};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let mut drafts = Vec::new();
    for chamber in record.chambers {
        let points: Vec<_> = record
            .points
            .iter()
            .filter(|point| !point.reference && point.chamber.as_deref() == Some(chamber.id.as_str()))
            .collect();
        if points.is_empty() {
            continue;
        }
        for day in record.days {
            // A day counts when equipment stood through its noon: placing in the evening asks for no reading that day.
            let noon = day.from + (day.to - day.from) / 2;
            let equipped = record
                .units
                .iter()
                .filter(|unit| unit.judged)
                .flat_map(|unit| &unit.stays)
                .filter(|stay| stay.chambers.contains(&chamber.id))
                .any(|stay| stay.placed <= noon && stay.days.last().is_some_and(|last| noon < last.to));
            let read = points
                .iter()
                .flat_map(|point| &point.readings)
                .filter(|reading| !matches!(reading.kind, ReadingKind::NoReading { .. }))
                .any(|reading| day.from <= reading.time && reading.time < day.to);
            if equipped && !read && day.to <= record.clock {
                drafts.push(Draft {
                    kind: FindingKind::DayWithoutReading,
                    subject: Subject::Chamber(chamber.id.clone()),
                    from: day.from,
                    to: Some(day.to),
                    text: format!(
                        "{} had drying equipment on {} and no material reading that day.",
                        chamber.name,
                        day.date.format("%-d %b %Y")
                    ),
                    threshold: "equipment on site at midday, no reading of any point of the chamber".to_owned(),
                    rows: Vec::new(),
                });
            }
        }
    }
    drafts
}
