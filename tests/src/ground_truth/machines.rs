//! Outages and water.

use chrono::TimeDelta;
use grainfall_analysis::evidence::{RunState, UnitAir};
use grainfall_simulate::scenario::AirSource;
use grainfall_simulate::truth::TrueUnit;

use super::{House, Measure, Tally};

pub(super) fn count(house: &House, tally: &mut Tally) {
    for unit in &house.made.truth.units {
        let Some(air) = house.evidence.unit_air.iter().find(|air| air.unit == unit.unit) else { continue };
        if !loggers_in_place(house, &unit.unit) {
            continue;
        }
        outages(house, unit, air, tally);
        water(house, unit, air, tally);
    }
}

/// Whether the unit's own loggers measured what the job says: an answer from swapped ones is no answer.
fn loggers_in_place(house: &House, unit: &str) -> bool {
    let own = [AirSource::Inlet(unit.to_owned()), AirSource::Outlet(unit.to_owned())];
    house.scenario().loggers.iter().filter(|logger| own.contains(&logger.stated)).all(|l| l.stated == l.source)
}

fn outages(house: &House, unit: &TrueUnit, air: &UnitAir, tally: &mut Tally) {
    let interval_min = house.scenario().loggers.iter().map(|logger| logger.interval_min).max().unwrap_or(0);
    let near = TimeDelta::minutes(i64::from(2 * interval_min).max(30));
    let stopped: Vec<_> = air.runs.iter().filter(|run| run.state == RunState::Stopped).collect();
    for stop in unit.stopped.iter().filter(|stop| !stop.recorded_pause) {
        let found = stopped.iter().any(|run| (run.from - stop.from).abs() <= near && (run.to - stop.to).abs() <= near);
        tally.count(Measure::OutagesFound, found, || {
            let runs: Vec<_> = stopped.iter().map(|run| (run.from, run.to)).collect();
            format!("{}, {}: {} to {}, found {runs:?}", house.name, unit.unit, stop.from, stop.to)
        });
    }
    for run in stopped {
        let real = unit.stopped.iter().any(|stop| stop.from < run.to && run.from < stop.to);
        tally.count(Measure::StopsTrue, real, || {
            format!("{}, {}: stop from {} to {}", house.name, unit.unit, run.from, run.to)
        });
    }
}

/// Over days whose samples are nearly all there; the error is bias, so uncertainties of days add up.
fn water(house: &House, unit: &TrueUnit, air: &UnitAir, tally: &mut Tally) {
    let (mut found_kg, mut u_kg, mut true_kg, mut days) = (0.0, 0.0, 0.0, 0);
    for day in air.daily.iter().filter(|day| day.sample_share > 0.98) {
        let (Some(kg), Some(u)) = (day.water_kg, day.u_water_kg) else { continue };
        let Some(truth) = unit.removed_kg_by_day.get(&day.date) else { continue };
        found_kg += kg;
        u_kg += u;
        true_kg += truth;
        days += 1;
    }
    if days > 0 {
        let right = (found_kg - true_kg).abs() <= u_kg;
        tally.count(Measure::Water, right, || {
            format!("{}, {}: {found_kg:.2} kg, truly {true_kg:.2}, U {u_kg:.2}, {days} days", house.name, unit.unit)
        });
    }
}
