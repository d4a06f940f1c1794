//! A recorded pause in which the unit's outlet air shows it running.

use super::{Draft, Record};
use crate::evidence::{FindingKind, RunState, Subject};
use crate::thresholds::PAUSE_RUNNING_H;
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
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
                text: format!(
                    "{} is recorded as paused from {} to {} ({}); its outlet air shows it running for {} h of that time.",
                    unit.unit,
                    moment(pause.from, zone),
                    moment(pause.to, zone),
                    pause.reason,
                    number(ran, 1)
                ),
                threshold: format!("running for at least {} h of the pause (project convention)", number(PAUSE_RUNNING_H, 0)),
                rows: std::iter::once((&pause.line).into()).chain(running.iter().flat_map(|run| run.rows.clone())).collect(),
            });
        }
    }
    drafts
}
