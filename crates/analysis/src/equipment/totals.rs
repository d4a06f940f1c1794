//! Totals per unit and per kind, and recorded beside billed days.

use std::collections::BTreeMap;

use grainfall_job::{EquipmentKind, Job};

use crate::evidence::{
    BilledComparison, DayVerdict, EquipmentTotals, KindTotals, SourceRow, StayEvidence, UnitEvidence,
};
use crate::rules::DID_NOT_RUN_HOURS;

/// Totals over the stays of one unit.
pub(crate) fn of_stays(stays: &[StayEvidence]) -> EquipmentTotals {
    let mut totals = EquipmentTotals::default();
    for stay in stays {
        totals.hours += stay.hours;
        for day in &stay.days {
            totals.recorded_days += 1;
            match day.verdict {
                DayVerdict::Needed => totals.needed += 1,
                DayVerdict::NotNeeded => totals.not_needed += 1,
                DayVerdict::NotShown => totals.not_shown += 1,
                DayVerdict::NotJudged => totals.not_judged += 1,
            }
            totals.paused_h += day.paused_h;
            totals.run_logged_days += u32::from(day.effect.is_some());
            totals.by_pull_window += u32::from(day.by_pull_window && day.verdict == DayVerdict::Needed);
            let stood = day.effect.as_ref().map_or(0.0, |effect| effect.did_not_run_h);
            if day.verdict == DayVerdict::Needed && stood >= DID_NOT_RUN_HOURS {
                totals.did_not_run_days += 1;
                totals.did_not_run_h += stood;
            }
        }
    }
    totals
}

/// Recorded beside billed days of one unit; `None` when nobody wrote billed days.
pub(crate) fn billed(job: &Job, unit: &str, totals: &EquipmentTotals) -> Option<BilledComparison> {
    let stays = job.equipment.iter().filter(|stay| stay.unit == unit);
    let on_stays = stays.filter_map(|stay| Some((stay.billed_days?, &stay.line)));
    let apart = job.billed.iter().filter(|entry| entry.unit == unit).map(|entry| (entry.days, &entry.line));
    let all: Vec<(f64, SourceRow)> = on_stays.chain(apart).map(|(days, line)| (days, SourceRow::from(line))).collect();
    if all.is_empty() {
        return None;
    }
    let billed_days: f64 = all.iter().map(|(days, _)| days).sum();
    Some(BilledComparison {
        recorded_days: totals.recorded_days,
        billed_days,
        difference_days: billed_days - f64::from(totals.recorded_days),
        rows: all.into_iter().map(|(_, row)| row).collect(),
    })
}

/// Totals per kind, in the order of the kinds.
pub(crate) fn per_kind(job: &Job, units: &[UnitEvidence]) -> Vec<KindTotals> {
    let mut kinds: BTreeMap<EquipmentKind, KindTotals> = BTreeMap::new();
    for unit in units {
        let Some(kind) = job.equipment.iter().find(|stay| stay.unit == unit.unit).map(|stay| stay.kind) else {
            continue;
        };
        kinds.entry(kind).or_insert_with(|| KindTotals::none(kind.said(job.zone.words))).add(unit);
    }
    kinds.into_values().collect()
}
