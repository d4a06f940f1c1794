//! A dehumidifier that stood still without a recorded pause.

use super::{Draft, Record};
use crate::evidence::{FindingKind, RunState, Subject, UnitAir};
use crate::thresholds::LEAST_STOP;
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
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
            threshold: format!(
                "outlet state collapsed onto the inlet state for at least {} min (project convention)",
                LEAST_STOP.num_minutes()
            ),
            rows: run.rows.clone(),
        })
        .collect()
}

fn text(record: &Record<'_>, unit: &UnitAir, index: usize) -> String {
    let zone = record.zone();
    let run = &unit.runs[index];
    let (from, stood) = (moment(run.from, zone), number(hours(run.to - run.from), 1));
    let ran_again = unit.runs.get(index + 1).is_some_and(|next| next.from == run.to && next.state == RunState::Running);
    if ran_again {
        format!(
            "{} stopped on {from} and ran again from {} ({stood} h): its outlet air fell to the state of its inlet air.",
            unit.unit,
            moment(run.to, zone)
        )
    } else {
        format!(
            "{} stopped on {from} and is not seen to run again up to {} ({stood} h): its outlet air fell to the state of \
             its inlet air.",
            unit.unit,
            moment(run.to, zone)
        )
    }
}
