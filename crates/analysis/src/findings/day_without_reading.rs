//! A civil day with drying equipment in a chamber and no material reading in it.

use super::{Draft, Record};
use crate::evidence::{ChamberEvidence, Day, FindingKind, PointEvidence, ReadingEvidence, SourceRow, Subject};
use chrono::{DateTime, Utc};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
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
                say!(words, "day_without_reading.on_and_no_material_reading", date = dates.full(zone.words, first.date))
            } else {
                say!(
                    words,
                    "day_without_reading.from_to_and_no_material",
                    first = dates.full(zone.words, first.date),
                    last = dates.full(zone.words, last.date),
                    days = run.len()
                )
            };
            drafts.push(Draft {
                kind: FindingKind::DayWithoutReading,
                subject: Subject::Chamber(chamber.id.clone()),
                from: first.from,
                to: Some(last.to),
                text: say!(words, "day_without_reading.text", chamber = chamber.name, days = days),
                threshold: say!(words, "day_without_reading.threshold").to_owned(),
                rows: around(&points, first.from, last.to),
            });
        }
    }
    drafts
}

/// The rows of the last reading before a stretch and of the first after it.
fn around(points: &[&PointEvidence], from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<SourceRow> {
    let readings = || points.iter().flat_map(|point| &point.readings);
    let key = |reading: &&ReadingEvidence| (reading.time, reading.row.clone());
    let before = readings().filter(|reading| reading.time < from).max_by_key(key);
    let after = readings().filter(|reading| reading.time >= to).min_by_key(key);
    before.into_iter().chain(after).map(|reading| reading.row.clone()).collect()
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
