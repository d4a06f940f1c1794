//! A recorded pause in which the unit's outlet air shows it running.

use super::{Draft, Record};
use crate::evidence::{FindingKind, RunState, Subject};
use crate::thresholds::PAUSE_RUNNING_H;
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for pause in &record.job.pauses {
        for unit in record.unit_air {
            if !pause.units.is_empty() && !pause.units.contains(&unit.unit) {
                continue;
            }
            let running: Vec<_> = unit
                .runs
                .iter()
                .filter(|run| run.state == RunState::Running && run.from < pause.to && pause.from < run.to)
                .collect();
            let ran: f64 = running.iter().map(|run| hours(run.to.min(pause.to) - run.from.max(pause.from))).sum();
            if ran < PAUSE_RUNNING_H {
                continue;
            }
            drafts.push(Draft {
                kind: FindingKind::PauseContradicted,
                subject: Subject::Unit(unit.unit.clone()),
                from: pause.from,
                to: Some(pause.to.min(record.clock)),
                text: say!(
                    words,
                    "pause_contradicted.text",
                    unit = unit.unit,
                    from = moment(pause.from, zone),
                    to = moment(pause.to, zone),
                    reason = pause.reason,
                    ran = number(words, ran, 1)
                ),
                threshold: say!(
                    words,
                    "pause_contradicted.threshold",
                    pause_running_h = number(words, PAUSE_RUNNING_H, 0)
                ),
                rows: std::iter::once((&pause.line).into())
                    .chain(running.iter().flat_map(|run| run.rows.clone()))
                    .collect(),
            });
        }
    }
    drafts
}
