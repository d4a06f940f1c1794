//! Totals per unit and per kind, and recorded beside billed days.

use std::collections::BTreeMap;

use grainfall_job::{EquipmentKind, Job, Stay};

use crate::evidence::{BilledComparison, EquipmentTotals, KindTotals, SourceRow, StayEvidence, UnitEvidence};

/// Recorded beside billed days of one stay, from the entries it is made of; `None` when nobody wrote billed days for it.
pub(crate) fn billed_for(entries: &[&Stay], recorded_days: u32) -> Option<BilledComparison> {
    let billed = entries.iter().filter_map(|stay| Some((stay.billed_days?, SourceRow::from(&stay.line))));
    compared(billed.collect(), recorded_days)
}

/// Recorded beside billed days of one unit: those of the stays that carry billed days, or of all where they are written
/// apart; `None` when nobody wrote billed days.
pub(crate) fn billed(job: &Job, unit: &str, stays: &[StayEvidence]) -> Option<BilledComparison> {
    let apart: Vec<(f64, SourceRow)> =
        job.billed.iter().filter(|one| one.unit == unit).map(|one| (one.days, SourceRow::from(&one.line))).collect();
    if !apart.is_empty() {
        return compared(apart, EquipmentTotals::of(stays).recorded_days);
    }
    let on_stays = stays.iter().filter_map(|stay| stay.billed.as_ref());
    on_stays.cloned().reduce(|sum, next| BilledComparison {
        recorded_days: sum.recorded_days + next.recorded_days,
        billed_days: sum.billed_days + next.billed_days,
        difference_days: sum.difference_days + next.difference_days,
        rows: [sum.rows, next.rows].concat(),
    })
}

fn compared(billed: Vec<(f64, SourceRow)>, recorded_days: u32) -> Option<BilledComparison> {
    if billed.is_empty() {
        return None;
    }
    let billed_days: f64 = billed.iter().map(|(days, _)| days).sum();
    Some(BilledComparison {
        recorded_days,
        billed_days,
        difference_days: billed_days - f64::from(recorded_days),
        rows: billed.into_iter().map(|(_, row)| row).collect(),
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
