//! One unit with its stays, equipment-days and totals.

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Purpose, Span};

use super::load::Area;
use super::presence::{Presence, periods, presences};
use super::{day, totals};
use crate::evidence::{Effect, EquipmentDay, EquipmentTotals, Move, SourceRow, StayEvidence, StayPart, UnitEvidence};
use crate::words::{hours, purpose};

/// What a unit did over a period, looked up by unit; `None` where its air is not logged.
pub(crate) type EffectOf<'a> = dyn Fn(&str, DateTime<Utc>, DateTime<Utc>) -> Option<Effect> + 'a;

/// The evidence of every unit on site up to the clock, by name.
pub(crate) fn evidence(area: &Area<'_>, clock: DateTime<Utc>, effect_of: &EffectOf<'_>) -> Vec<UnitEvidence> {
    presences(area.job, clock).into_iter().map(|(unit, list)| of_unit(unit, &list, area, effect_of)).collect()
}

fn of_unit(unit: &str, presences: &[Presence<'_>], area: &Area<'_>, effect_of: &EffectOf<'_>) -> UnitEvidence {
    let job = area.job;
    let mut number = 0;
    let stays: Vec<StayEvidence> = presences
        .iter()
        .map(|presence| {
            let periods = periods(presence, job.equipment_day, job.zone.tz);
            let judged = day::judge(presence, &periods, area);
            let days = periods
                .into_iter()
                .zip(judged)
                .map(|((from, to), judged)| {
                    number += 1;
                    EquipmentDay {
                        number,
                        from,
                        to,
                        hours: on_site_hours(presence, from, to),
                        verdict: judged.verdict,
                        why: judged.why,
                        read_at: judged.read_at,
                        by_pull_window: judged.by_pull_window,
                        doubted_by_air: judged.doubted_by_air,
                        paused_h: paused_hours(area.job, unit, from, to),
                        rows: judged.rows,
                        load_points: judged.load_points,
                        effect: effect_of(unit, from, to),
                    }
                })
                .collect();
            stay(job, presence, days)
        })
        .collect();
    let all: Vec<_> = presences.iter().flat_map(|presence| presence.stays.iter().copied()).collect();
    let first = all[0];
    let rated = all.iter().find_map(|stay| stay.rated_capacity.as_ref());
    let totals = EquipmentTotals::of(&stays);
    UnitEvidence {
        unit: unit.to_owned(),
        asset: all.iter().find_map(|stay| stay.asset.clone()),
        kind: first.kind.said(job.zone.words).to_owned(),
        purpose: purpose(job.zone.words, &first.purpose),
        judged: all.iter().any(|stay| stay.purpose == Purpose::Drying),
        airflow_m3_per_s: all.iter().find_map(|stay| stay.airflow).map(|airflow| airflow.get()),
        rated_kg_per_day: rated.map(|rated| rated.rate.get()),
        rated_at: rated.and_then(|rated| rated.condition.clone()),
        billed: totals::billed(job, unit, &stays),
        totals,
        stays,
    }
}

/// Hours on site within a period: short absences do not count.
fn on_site_hours(presence: &Presence<'_>, from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    let ends = |stay: &grainfall_job::Stay| stay.removed.unwrap_or(presence.until).min(presence.until);
    let parts = presence.stays.iter().map(|stay| (stay.placed.max(from), ends(stay).min(to)));
    parts.filter(|(from, to)| from < to).map(|(from, to)| hours(to - from)).sum()
}

/// Hours of recorded pause of a unit within a period; pauses that overlap count once.
fn paused_hours(job: &Job, unit: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    let mut spans: Vec<(DateTime<Utc>, DateTime<Utc>)> = job
        .pauses
        .iter()
        .filter(|pause| pause.units.is_empty() || pause.units.iter().any(|name| name == unit))
        .map(|pause| (pause.from.max(from), pause.to.min(to)))
        .filter(|(from, to)| from < to)
        .collect();
    spans.sort_unstable();
    let mut paused = 0.0;
    let mut counted_to = from;
    for (from, to) in spans {
        let from = from.max(counted_to);
        if from < to {
            paused += hours(to - from);
            counted_to = to;
        }
    }
    paused
}

/// The chambers of the points a unit serves, where only some; else the chambers it is written for.
fn served_chambers(job: &Job, stay: &grainfall_job::Stay) -> Vec<String> {
    if stay.points.is_empty() {
        return stay.chambers.clone();
    }
    let there = Span { from: Some(stay.placed), to: stay.removed };
    job.points
        .iter()
        .filter(|point| stay.points.contains(&point.id))
        .flat_map(|point| job.chambers_of(point))
        .filter(|one| one.span.overlaps(&there))
        .map(|one| one.chamber)
        .collect()
}

fn stay(job: &Job, presence: &Presence<'_>, days: Vec<EquipmentDay>) -> StayEvidence {
    let first = presence.stays[0];
    let last = presence.stays[presence.stays.len() - 1];
    let unique = |texts: Vec<String>| {
        let mut texts = texts;
        texts.sort();
        texts.dedup();
        texts
    };
    let parts: Vec<StayPart> = presence
        .stays
        .iter()
        .map(|stay| {
            let removed = stay.removed.filter(|removed| *removed <= presence.until);
            StayPart {
                chambers: unique(served_chambers(job, stay)),
                from: stay.placed,
                to: removed.unwrap_or(presence.until),
                removed: removed.is_some() && presence.removed.is_some()
                    || removed.is_some_and(|at| at < presence.until),
                reason: stay.removed_reason.clone(),
            }
        })
        .collect();
    let moves: Vec<Move> = presence
        .stays
        .windows(2)
        .filter_map(|pair| {
            Some(Move {
                from: pair[0].removed?,
                to: pair[1].placed,
                by: pair[0].removed_by.clone(),
                reason: pair[0].removed_reason.clone(),
            })
        })
        .collect();
    let reasons: Vec<String> = presence.stays.iter().filter_map(|stay| stay.placed_reason.clone()).collect();
    StayEvidence {
        chambers: unique(parts.iter().flat_map(|part| part.chambers.iter().cloned()).collect()),
        points: unique(presence.stays.iter().flat_map(|stay| stay.points.iter().cloned()).collect()),
        placed: presence.placed,
        placed_by: first.placed_by.clone(),
        placed_reason: (!reasons.is_empty()).then(|| job.zone.words.list(&reasons)),
        removed: presence.removed,
        removed_by: presence.removed.and_then(|_| last.removed_by.clone()),
        removed_reason: presence.removed.and_then(|_| last.removed_reason.clone()),
        hours: hours(presence.until - presence.placed) - moves.iter().map(|one| hours(one.to - one.from)).sum::<f64>(),
        moves,
        parts,
        billed: totals::billed_for(&presence.stays, u32::try_from(days.len()).unwrap_or(u32::MAX)),
        rows: presence.stays.iter().map(|stay| SourceRow::from(&stay.line)).collect(),
        days,
    }
}
