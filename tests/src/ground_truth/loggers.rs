//! Loggers that stick, die or fall silent.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Finding, FindingKind};
use grainfall_simulate::scenario::Logger;

use super::findings::about;
use super::{House, Measure, Tally};

const DEAD: [FindingKind; 2] = [FindingKind::LoggerDead, FindingKind::LoggerSilent];

pub(super) fn count(house: &House, tally: &mut Tally) {
    for logger in &house.scenario().loggers {
        let near = TimeDelta::minutes(2 * i64::from(logger.interval_min));
        let reports = |kinds: &[FindingKind]| -> Vec<&Finding> {
            let all = house.evidence.findings.iter();
            all.filter(|one| kinds.contains(&one.kind) && about(house, one, logger)).collect()
        };
        let (sticking, ends) = (reports(&[FindingKind::LoggerFrozen]), reports(&DEAD));
        if let Some((from, to)) = logger.flaws.frozen {
            let right =
                |one: &&Finding| (one.from - from).abs() <= near && (one.to.unwrap_or(one.from) - to).abs() <= near;
            tally.count(Measure::Frozen, sticking.iter().any(right), || {
                format!("{}, {}: {from} to {to}; {:?}", house.name, logger.serial, texts(&sticking))
            });
        }
        let true_frozen = |one: &Finding| {
            logger.flaws.frozen.is_some_and(|(from, to)| one.from < to && from < one.to.unwrap_or(one.from))
        };
        for one in &sticking {
            tally.count(Measure::FrozenTrue, true_frozen(one), || format!("{}: {}", house.name, one.text));
        }
        let end = end(house, logger);
        if let Some(end) = end {
            tally.count(Measure::Dead, ends.iter().any(|one| (one.from - end).abs() <= near), || {
                format!("{}, {}: ends {end}; {:?}", house.name, logger.serial, texts(&ends))
            });
        }
        for one in &ends {
            tally.count(Measure::DeadTrue, end.is_some_and(|end| one.from >= end - near), || {
                format!("{}: {}", house.name, one.text)
            });
        }
    }
}

/// When a logger truly died or fell silent before its time.
fn end(house: &House, logger: &Logger) -> Option<DateTime<Utc>> {
    let stays = house.scenario().stays.iter().filter_map(|stay| stay.removed).max();
    let silent = stays.is_some_and(|last| last - logger.to > TimeDelta::hours(12));
    logger.flaws.dead_from.or_else(|| silent.then_some(logger.to))
}

fn texts(findings: &[&Finding]) -> Vec<String> {
    findings.iter().map(|one| one.text.clone()).collect()
}
