//! When goals were met: within one reading interval of the true value's leaving what the meter can tell from the goal.

use grainfall_analysis::evidence::GoalVerdict;

use super::{House, Measure, Tally};

pub(super) fn count(house: &House, tally: &mut Tally) {
    for (point, goal, accuracy) in house.points() {
        let Some(found) = house.evidence.points.iter().find(|one| one.id == point.id) else { continue };
        if found.verdict != GoalVerdict::Met {
            continue;
        }
        let Some(met) = found.met_at else {
            tally.count(Measure::GoalsInTime, false, || format!("{}, {}: met at no time", house.name, point.id));
            continue;
        };
        let own = house.made.record.readings.iter().filter(|reading| reading.point == point.id);
        let before = own.map(|reading| reading.time).filter(|time| *time < met).max().unwrap_or(met);
        // Not too late: since the reading before, a meter could still read above the goal. Not too early: the true value
        // is no longer above it by more than U.
        let since = house.highest(point, before, met).unwrap_or(f64::NEG_INFINITY);
        let value = house.true_value(point, met).unwrap_or(f64::INFINITY);
        let in_time = since >= goal - accuracy && value <= goal + accuracy;
        tally.count(Measure::GoalsInTime, in_time, || {
            format!(
                "{}, {}: met {met}, true value {value:.2}, highest since the reading before {since:.2}, goal {goal}",
                house.name, point.id
            )
        });
    }
}
