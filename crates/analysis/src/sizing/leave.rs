//! The first instants at which a judged unit could have gone: from goals met, and from capacity as advice.

use grainfall_words::say;
use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::Job;

use crate::equipment::standing::{Free, Standing};
use crate::evidence::{ChamberEvidence, Day, EarliestLeave, PointEvidence, StayEvidence, UnitAir, UnitEvidence};
use crate::thresholds::{CAPACITY_RUNNING_H, CAPACITY_WHOLE_DAY_SHARE};
use crate::words::moment;

/// One entry per judged unit, by unit.
pub(crate) fn earliest(
    job: &Job,
    clock: DateTime<Utc>,
    days: &[Day],
    chambers: &[ChamberEvidence],
    points: &[PointEvidence],
    units: &[UnitEvidence],
    unit_air: &[UnitAir],
) -> Vec<EarliestLeave> {
    units
        .iter()
        .filter(|unit| unit.judged)
        .filter_map(|unit| {
            let stay = unit.stays.last()?;
            let until = stay.removed.unwrap_or(clock);
            let goals = Standing { points, at: until, clock }.of_stay(stay, chambers);
            let capacity = from_capacity(job, unit, stay, days, unit_air).filter(|advice| advice.from < until);
            Some(entry(job, unit, stay, goals, capacity))
        })
        .collect()
}

fn entry(
    job: &Job,
    unit: &UnitEvidence,
    stay: &StayEvidence,
    goals: Option<Free>,
    capacity: Option<Advice>,
) -> EarliestLeave {
    let words = job.zone.words;
    let zone = job.zone;
    let name = &unit.unit;
    let mut sentences = Vec::new();
    match &goals {
        Some(free) => sentences.push(say!(
            words,
            "leave.everything_served_from_on_from",
            name = name,
            how = if free.rows.is_empty() {
                say!(words, "leave.lay_in_another_chamber")
            } else {
                say!(words, "leave.was_closed")
            },
            placed = moment(free.since.max(stay.placed), zone)
        )),
        None => sentences.push(say!(words, "leave.the_record_does_not_show", name = name)),
    }
    let assumption = capacity.as_ref().map_or_else(String::new, |advice| {
        say!(words, "leave.can_take_out_in_any", others = words.list(&advice.others))
    });
    if let Some(advice) = &capacity {
        sentences.push(say!(
            words,
            "leave.advice_from_capacity_from_on",
            from = moment(advice.from, zone),
            others = words.list(&advice.others)
        ));
    }
    EarliestLeave {
        unit: name.clone(),
        goals_met: goals.as_ref().map(|free| free.since.max(stay.placed)),
        capacity: capacity.map(|advice| advice.from),
        text: sentences.join(" "),
        assumption,
        rows: goals.map(|free| free.rows).unwrap_or_default(),
    }
}

struct Advice {
    from: DateTime<Utc>,
    others: Vec<String>,
}

/// Since when the other dehumidifiers of the unit's one chamber could hold what all of them removed.
///
/// `None` unless all dehumidifiers of that chamber serve it alone and have measured water for each whole day from then
/// on.
fn from_capacity(
    job: &Job,
    unit: &UnitEvidence,
    stay: &StayEvidence,
    days: &[Day],
    unit_air: &[UnitAir],
) -> Option<Advice> {
    let [chamber] = stay.chambers.as_slice() else { return None };
    let mut mates: BTreeMap<&str, bool> = BTreeMap::new();
    for one in &job.equipment {
        if one.kind.is_dehumidifier() && one.chambers.contains(chamber) {
            let alone = one.chambers.len() == 1 && one.points.is_empty();
            mates.entry(one.unit.as_str()).and_modify(|all| *all &= alone).or_insert(alone);
        }
    }
    if mates.len() < 2 || !mates.contains_key(unit.unit.as_str()) || mates.values().any(|alone| !alone) {
        return None;
    }
    let air: BTreeMap<&str, &UnitAir> = unit_air.iter().map(|one| (one.unit.as_str(), one)).collect();
    let best = |name: &str| -> Option<f64> {
        let days = air.get(name)?.daily.iter();
        days.filter(|day| day.running_h >= CAPACITY_RUNNING_H)
            .filter_map(|day| Some(day.water_kg? / day.running_h * 24.0))
            .reduce(f64::max)
    };
    let others: Vec<String> = mates.keys().filter(|name| **name != unit.unit).map(|name| (*name).to_owned()).collect();
    let capacity: f64 = others.iter().map(|name| best(name)).collect::<Option<Vec<f64>>>()?.iter().sum();
    // Whole days on which all of them stood there, in order; the last must hold, and all before it back to the advice.
    let mut from = None;
    for day in days.iter().rev() {
        let each: Option<Vec<(f64, f64)>> = mates
            .keys()
            .map(|name| {
                let on = air.get(name)?.daily.iter().find(|one| one.date == day.date)?;
                Some((on.on_site_h, on.water_kg?))
            })
            .collect();
        let whole =
            each.filter(|each| each.iter().all(|(on_site_h, _)| *on_site_h >= CAPACITY_WHOLE_DAY_SHARE * day.hours));
        match whole {
            Some(each) if each.iter().map(|(_, water)| water).sum::<f64>() <= capacity => from = Some(day.to),
            Some(_) => break,
            None if from.is_some() => break,
            None => {}
        }
    }
    // The first such day must have shown it before anything could go.
    Some(Advice { from: from?, others })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{at, d1, job};
    use crate::evidence::DailyUnitAir;
    use crate::testing::{evidence, point, reading};

    #[test]
    fn goals_met_is_the_last_closing_reading() {
        let mut job = job();
        job.points = vec![point("P1", 12.0), point("P2", 12.0)];
        job.readings = vec![
            reading("2025-10-06T09:30:00Z", "P1", 20.0),
            reading("2025-10-06T09:31:00Z", "P2", 20.0),
            reading("2025-10-07T09:30:00Z", "P1", 11.0),
            reading("2025-10-07T09:31:00Z", "P2", 14.0),
            reading("2025-10-08T09:30:00Z", "P2", 11.0),
        ];
        job.equipment = vec![d1("2025-10-06T09:00:00Z", Some("2025-10-09T09:00:00Z"))];
        let found = evidence(&job, vec![], "2025-10-09T12:00:00Z").earliest_leaves;
        assert_eq!(found[0].goals_met, Some(at("2025-10-08T09:30:00Z")));
        assert_eq!(found[0].capacity, None);
        job.readings.pop();
        let found = evidence(&job, vec![], "2025-10-09T12:00:00Z").earliest_leaves;
        assert_eq!(found[0].goals_met, None);
    }

    /// Two alike units remove 20 + 20, 14 + 14, 9 + 9, 8 + 8 kg on whole days: from the end of the third day on 18 kg
    /// are no more than the 20 kg that one of them removed on its best day.
    #[test]
    fn capacity_counts_from_the_first_day_that_one_unit_could_hold() {
        let mut job = job();
        let first = d1("2025-10-06T00:00:00Z", None);
        job.equipment = vec![first.clone(), grainfall_job::Stay { unit: "D2".into(), ..first }];
        let clock = "2025-10-10T00:00:00Z";
        let bare = evidence(&job, vec![], clock);
        let air = |name: &str| UnitAir {
            unit: name.into(),
            daily: bare
                .days
                .iter()
                .zip([20.0, 14.0, 9.0, 8.0])
                .map(|(day, kg)| DailyUnitAir {
                    date: day.date,
                    on_site_h: 24.0,
                    running_h: 24.0,
                    stopped_h: 0.0,
                    paused_h: 0.0,
                    depression_gpp: None,
                    u_depression_gpp: None,
                    within_uncertainty: None,
                    inlet_gpp: None,
                    excess_left: None,
                    against_load: crate::evidence::AgainstLoad::NotShown,
                    water_kg: Some(kg),
                    u_water_kg: None,
                    sample_share: 1.0,
                })
                .collect(),
            ..bare.unit_air[0].clone()
        };
        let advice = |unit_air: &[UnitAir]| {
            earliest(&job, at(clock), &bare.days, &bare.chambers, &bare.points, &bare.equipment, unit_air)[0].capacity
        };
        assert_eq!(advice(&[air("D1"), air("D2")]), Some(at("2025-10-09T00:00:00Z")));
        assert_eq!(advice(&[air("D1")]), None, "the other's water is not measured");
    }
}
