//! Puts the truth of a job together.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};

use super::days::{self, Judged, Verdict};
use super::rules::{self, GoalVerdict, State};
use super::{
    Crossing, TrueChamber, TrueLogger, TruePoint, TrueReading, TrueSpan, TrueStop, TrueUnit, TrueWater, Truth, air,
    rounded,
};
use crate::clock::{day, day_start, next_day};
use crate::instruments::{Cell, ReadValue, Record};
use crate::scenario::{Point, Role, Scenario, Zone};
use crate::simulation::Simulation;

const NOTE: &str =
    "True states and due answers of an invented job, made by grainfall-simulate; nothing here was measured.";

pub(super) fn truth(simulation: &Simulation, record: &Record) -> Truth {
    let scenario = simulation.scenario();
    let judged: Vec<Judged<'_>> = scenario.points.iter().filter_map(|point| judge(scenario, record, point)).collect();
    let points: Vec<TruePoint> = judged.iter().map(|point| true_point(simulation, record, point)).collect();
    let units: Vec<TrueUnit> = scenario.units().into_iter().map(|unit| true_unit(simulation, unit, &judged)).collect();
    let mut days: BTreeMap<Verdict, usize> =
        [Verdict::Needed, Verdict::NotNeeded, Verdict::NotShown].map(|verdict| (verdict, 0)).into();
    for period in units.iter().filter(|unit| unit.judged).flat_map(|unit| &unit.periods) {
        *days.entry(period.verdict).or_default() += 1;
    }
    let balance = simulation.balance();
    Truth {
        scenario: scenario.name.clone(),
        note: NOTE.to_owned(),
        seed: scenario.seed,
        time_zone: scenario.job.zone.name().to_owned(),
        pressure_pa: rounded(scenario.pressure_pa, 1),
        clock: scenario.to,
        chambers: scenario.chambers.iter().map(|chamber| true_chamber(scenario, &chamber.id, &points)).collect(),
        points,
        units,
        days,
        water: TrueWater {
            start_kg: rounded(balance.start_kg, 4),
            end_kg: rounded(balance.end_kg, 4),
            from_unaffected_kg: rounded(balance.from_unaffected_kg, 4),
            from_outdoor_kg: rounded(balance.from_outdoor_kg, 4),
            rewetted_kg: rounded(balance.rewetted_kg, 4),
            removed_kg: rounded(balance.removed_kg, 4),
        },
        loggers: scenario.loggers.iter().filter_map(|logger| true_logger(scenario, record, &logger.serial)).collect(),
        air: air::hourly(simulation),
    }
}

fn judge<'a>(scenario: &'a Scenario, record: &Record, point: &'a Point) -> Option<Judged<'a>> {
    let meter = scenario.meter(&point.meter)?;
    let readings = rules::counted(point, record);
    let goal = (point.role == Role::Drying).then(|| rules::due_goal(scenario, record, point)).flatten();
    let course = rules::course(scenario, meter, goal.map(|goal| goal.value), &readings);
    Some(Judged { point, course, readings })
}

fn true_point(simulation: &Simulation, record: &Record, judged: &Judged<'_>) -> TruePoint {
    let scenario = simulation.scenario();
    let point = judged.point;
    let drying = point.role == Role::Drying;
    let goal = if drying { rules::due_goal(scenario, record, point) } else { None };
    let verdict = drying.then(|| match judged.course.last() {
        State::Closed => GoalVerdict::Met,
        State::Open => GoalVerdict::NotMet,
        State::Unknown => GoalVerdict::NotShown,
    });
    TruePoint {
        point: point.id.clone(),
        role: if drying { "drying" } else { "reference" },
        chamber: match &point.zone {
            Zone::Chamber(id) => Some(id.clone()),
            Zone::Unaffected => None,
        },
        scale: point.scale.word(),
        meter: point.meter.clone(),
        dry_standard: rules::dry_standard(scenario, record, point),
        crossings: goal.as_ref().map(|goal| crossings(simulation, point, goal.value)).unwrap_or_default(),
        goal,
        visits: true_readings(simulation, record, judged),
        spans: if drying { judged.course.spans.clone() } else { Vec::new() },
        meeting: judged.course.meeting,
        reopened: judged.course.reopened.clone(),
        verdict,
    }
}

/// The readings that count, and those that could not be taken, beside the truth.
fn true_readings(simulation: &Simulation, record: &Record, judged: &Judged<'_>) -> Vec<TrueReading> {
    let scenario = simulation.scenario();
    let point = judged.point;
    let missing = record
        .readings
        .iter()
        .filter(|reading| reading.point == point.id && matches!(reading.value, ReadValue::NoReading(_)))
        .map(|reading| (reading.time, None, false));
    let counted = judged.readings.iter().map(|reading| (reading.time, Some(reading.value), reading.lower_bound));
    let mut all: Vec<(DateTime<Utc>, Option<f64>, bool)> = counted.chain(missing).collect();
    all.sort_by_key(|(time, ..)| *time);
    all.into_iter()
        .filter_map(|(time, recorded, lower_bound)| {
            let meter = scenario.meter(&point.meter)?;
            Some(TrueReading {
                time,
                recorded: recorded.map(|value| rounded(value, 3)),
                lower_bound,
                true_value: rounded(simulation.value(&point.id, meter, time), 3),
                moisture_pct: rounded(simulation.moisture_pct(&point.id)[simulation.minute(time)], 3),
            })
        })
        .collect()
}

/// Every minute at which a point's true value comes to its goal or leaves it.
fn crossings(simulation: &Simulation, point: &Point, goal: f64) -> Vec<Crossing> {
    let Some(meter) = simulation.scenario().meter(&point.meter) else { return Vec::new() };
    let mut crossings = Vec::new();
    let mut below = false;
    for (minute, moisture) in simulation.moisture_pct(&point.id).iter().enumerate() {
        let now = meter.response.value(*moisture) <= goal;
        if now != below {
            crossings.push(Crossing { time: simulation.time(minute), to: if now { "at_or_below" } else { "above" } });
            below = now;
        }
    }
    crossings
}

fn true_chamber(scenario: &Scenario, chamber: &str, points: &[TruePoint]) -> TrueChamber {
    let ended = |id: &str| {
        scenario.point(id).and_then(|point| point.ended.as_ref()).is_some_and(|ended| ended.at <= scenario.to)
    };
    let own: Vec<&TruePoint> = points
        .iter()
        .filter(|point| point.role == "drying" && point.chamber.as_deref() == Some(chamber) && !ended(&point.point))
        .collect();
    let any = |verdict| own.iter().any(|point| point.verdict == Some(verdict));
    let verdict = if any(GoalVerdict::NotMet) {
        GoalVerdict::NotMet
    } else if own.is_empty() || any(GoalVerdict::NotShown) {
        GoalVerdict::NotShown
    } else {
        GoalVerdict::Met
    };
    let last =
        |point: &&TruePoint| point.crossings.last().filter(|crossing| crossing.to == "at_or_below").map(|c| c.time);
    let crossed: Vec<DateTime<Utc>> = own.iter().filter_map(last).collect();
    TrueChamber {
        chamber: chamber.to_owned(),
        verdict,
        met_at: (verdict == GoalVerdict::Met)
            .then(|| own.iter().filter_map(|point| point.meeting.map(|meeting| meeting.time)).max())
            .flatten(),
        truly_met_at: (crossed.len() == own.len()).then(|| crossed.into_iter().max()).flatten(),
    }
}

fn true_unit(simulation: &Simulation, unit: &str, judged: &[Judged<'_>]) -> TrueUnit {
    let scenario = simulation.scenario();
    let stays: Vec<_> = scenario.stays.iter().filter(|stay| stay.unit == unit).collect();
    let periods = days::periods(simulation, unit, judged);
    let billed: Vec<f64> = stays.iter().filter_map(|stay| stay.billed_days).collect();
    TrueUnit {
        unit: unit.to_owned(),
        kind: stays.first().map_or("", |stay| stay.kind.word()),
        judged: stays.first().is_some_and(|stay| days::dries(stay)),
        running: simulation.running_spans(unit).into_iter().map(|(from, to)| TrueSpan { from, to }).collect(),
        stopped: days::stopped(simulation, unit)
            .into_iter()
            .map(|(span, recorded_pause)| TrueStop { from: span.from, to: span.to, recorded_pause })
            .collect(),
        removed_kg_by_day: removed_by_day(simulation, unit),
        recorded_days: periods.len(),
        periods,
        billed_days: (!billed.is_empty()).then(|| billed.iter().sum()),
    }
}

fn removed_by_day(simulation: &Simulation, unit: &str) -> BTreeMap<NaiveDate, f64> {
    let scenario = simulation.scenario();
    let mut days = BTreeMap::new();
    if !days::removes_water(scenario, unit) {
        return days;
    }
    let zone = scenario.job.zone;
    let mut date = day(zone, scenario.from);
    while day_start(zone, date) < scenario.to {
        let (from, to) = (day_start(zone, date), day_start(zone, next_day(date)));
        days.insert(date, rounded(simulation.removed_kg(unit, from, to), 4));
        date = next_day(date);
    }
    days
}

fn true_logger(scenario: &Scenario, record: &Record, serial: &str) -> Option<TrueLogger> {
    let logger = scenario.loggers.iter().find(|logger| logger.serial == serial)?;
    let samples = &record.logger(serial)?.samples;
    let words = |cell: &Cell| usize::from(cell.number().is_none());
    Some(TrueLogger {
        serial: serial.to_owned(),
        file: scenario
            .exports
            .iter()
            .find(|export| export.loggers.contains(&logger.serial))
            .map(|export| export.file.clone()),
        measured: air::name(&logger.source),
        stated: air::name(&logger.stated),
        clock_ahead_s: logger.clock_ahead_s,
        samples: samples.len(),
        rows: samples.iter().map(|sample| sample.rows as usize).sum(),
        words: samples.iter().map(|sample| words(&sample.temp) + words(&sample.rh)).sum(),
        gaps: logger.flaws.gaps.iter().map(|(from, to)| TrueSpan { from: *from, to: *to }).collect(),
        first: samples.first().map(|sample| sample.time),
        last: samples.last().map(|sample| sample.time),
    })
}
