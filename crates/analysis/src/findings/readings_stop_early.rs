//! Material readings that stop before the last equipment-day of their chamber.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingEvidence, Subject};
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .chambers
        .iter()
        .filter_map(|chamber| {
            let last = record
                .points
                .iter()
                .filter(|point| !point.reference)
                .flat_map(|point| {
                    let there = |reading: &&ReadingEvidence| point.lies_in(&chamber.id, reading.time);
                    point.readings.iter().filter(|reading| reading.decides).filter(there)
                })
                .max_by_key(|reading| reading.time)?;
            let last_day = record
                .units
                .iter()
                .filter(|unit| unit.judged)
                .flat_map(|unit| &unit.stays)
                .flat_map(|stay| {
                    let until = stay.in_chamber(&chamber.id).map(|part| part.to).max();
                    stay.days.iter().rfind(|day| until.is_some_and(|until| day.from < until))
                })
                .max_by_key(|day| day.from)?;
            // A unit that leaves within the pull window of the last reading asks for no other one.
            let pulled = last_day.to - last.time <= record.job.pull_window;
            (last.time < last_day.from && !pulled).then(|| Draft {
                kind: FindingKind::ReadingsStopEarly,
                subject: Subject::Chamber(chamber.id.clone()),
                from: last.time,
                to: Some(last_day.to),
                text: say!(
                    words,
                    "readings_stop_early.text",
                    chamber = chamber.name,
                    last = moment(last.time, zone),
                    from = moment(last_day.from, zone)
                ),
                threshold: say!(
                    words,
                    "readings_stop_early.threshold",
                    hours = number(words, hours(record.job.pull_window), 1)
                ),
                rows: vec![last.row.clone()],
            })
        })
        .collect()
}
