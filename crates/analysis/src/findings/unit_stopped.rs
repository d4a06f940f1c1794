//! A dehumidifier that stood still without a recorded pause.

use super::{Draft, Record};
use crate::evidence::{FindingKind, RunState, Subject, UnitAir};
use crate::thresholds::LEAST_STOP;
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    record
        .unit_air
        .iter()
        .flat_map(|unit| unit.runs.iter().enumerate().map(move |(index, run)| (unit, index, run)))
        .filter(|(_, _, run)| run.state == RunState::Stopped && run.to - run.from >= LEAST_STOP)
        .map(|(unit, index, run)| Draft {
            kind: FindingKind::UnitStopped,
            subject: Subject::Unit(unit.unit.clone()),
            from: run.from,
            to: Some(run.to),
            text: text(record, unit, index),
            threshold: say!(words, "unit_stopped.threshold", least_stop = LEAST_STOP.num_minutes()),
            rows: run.rows.clone(),
        })
        .collect()
}

fn text(record: &Record<'_>, unit: &UnitAir, index: usize) -> String {
    let zone = record.zone();
    let words = zone.words;
    let run = &unit.runs[index];
    let (from, stood) = (moment(run.from, zone), number(words, hours(run.to - run.from), 1));
    let ran_again = unit.runs.get(index + 1).is_some_and(|next| next.from == run.to && next.state == RunState::Running);
    if ran_again {
        say!(
            words,
            "unit_stopped.stopped_on_and_ran_again",
            unit = unit.unit,
            from = from,
            to = moment(run.to, zone),
            stood = stood
        )
    } else {
        say!(
            words,
            "unit_stopped.stopped_on_and_is_not",
            unit = unit.unit,
            from = from,
            to = moment(run.to, zone),
            stood = stood
        )
    }
}
