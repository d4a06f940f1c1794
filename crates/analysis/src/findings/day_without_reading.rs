//! A civil day with drying equipment in a chamber and no material reading in it.

use super::{Draft, Record};
use crate::evidence::{ChamberEvidence, Day, FindingKind, PointEvidence, Subject};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let dates = zone.dates;
    let mut drafts = Vec::new();
    for chamber in record.chambers {
        let points: Vec<_> = record
            .points
            .iter()
            .filter(|point| !point.reference && point.chambers.iter().any(|span| span.chamber == chamber.id))
            .collect();
        if points.is_empty() {
            continue;
        }
        let unread: Vec<&Day> = record.days.iter().filter(|day| is_unread(record, chamber, &points, day)).collect();
        // Days in a row are one finding.
        for run in unread.chunk_by(|a, b| a.to == b.from) {
            let (first, last) = (run[0], run[run.len() - 1]);
            let days = if run.len() == 1 {
                format!("on {} and no material reading that day", dates.full(zone.words, first.date))
            } else {
                format!(
                    "from {} to {} and no material reading on any of these {} days",
                    dates.full(zone.words, first.date),
                    dates.full(zone.words, last.date),
                    run.len()
                )
            };
            drafts.push(Draft {
                kind: FindingKind::DayWithoutReading,
                subject: Subject::Chamber(chamber.id.clone()),
                from: first.from,
                to: Some(last.to),
                text: format!("{} had drying equipment {days}.", chamber.name),
                threshold: "equipment on site at midday, no reading of any point of the chamber".to_owned(),
                rows: Vec::new(),
            });
        }
    }
    drafts
}

fn is_unread(record: &Record<'_>, chamber: &ChamberEvidence, points: &[&PointEvidence], day: &Day) -> bool {
    // A day counts when equipment stood through its noon: placing in the evening asks for no reading that day.
    let noon = day.from + (day.to - day.from) / 2;
    let equipped = record
        .units
        .iter()
        .filter(|unit| unit.judged)
        .flat_map(|unit| &unit.stays)
        .flat_map(|stay| stay.in_chamber(&chamber.id))
        .any(|part| part.from <= noon && noon < part.to);
    let there: Vec<&&PointEvidence> =
        points.iter().filter(|point| point.within(&chamber.id, day.from, day.to).next().is_some()).collect();
    // A recorded reason for not reading is a reason, not a gap.
    let read =
        there.iter().flat_map(|point| &point.readings).any(|reading| day.from <= reading.time && reading.time < day.to);
    let to_read = there.iter().any(|point| point.ended.as_ref().is_none_or(|ended| ended.at > day.from));
    equipped && to_read && !read && day.to <= record.clock
}
