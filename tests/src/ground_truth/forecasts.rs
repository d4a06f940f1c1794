//! Forecasts of the time at which a point comes to its goal.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Forecast, Outlook};
use grainfall_simulate::Made;
use grainfall_simulate::scenario::Event;
use grainfall_simulate::scenarios::Suite;

use super::{House, Measure, Tally};

/// Forecasts are asked for after so many visits.
const VISITS: usize = 4;

/// The instant up to which the record is shown for a forecast; `None` for scenarios whose drying is disturbed by more
/// water or by missing visits, where there is no undisturbed course to forecast.
pub(super) fn early(made: &Made, suite: Suite) -> Option<DateTime<Utc>> {
    let disturbed =
        ["rewetting", "missing days", "everything at once", "biased and swapped", "humid summer", "winter cabin"];
    let visit = made.simulation.scenario().visits.get(VISITS - 1)?;
    (!disturbed.contains(&suite.name)).then(|| visit.at + TimeDelta::minutes(59))
}

pub(super) fn count(house: &House, tally: &mut Tally) {
    let Some(early) = &house.early else { return };
    let rewetted = |point: &str| {
        house
            .scenario()
            .events
            .iter()
            .any(|event| matches!(event, Event::Rewetted { point: known, .. } if known == point))
    };
    for (point, ..) in house.points().filter(|(point, ..)| !rewetted(&point.id)) {
        let Some(found) = early.points.iter().find(|one| one.id == point.id) else { continue };
        let Some((from, to)) = found.forecast.as_ref().and_then(range) else { continue };
        let truth = house.made.truth.points.iter().find(|truth| truth.point == point.id);
        let crossed = truth
            .and_then(|truth| truth.crossings.iter().find(|crossing| crossing.to == "at_or_below"))
            .map(|crossing| crossing.time);
        // A crossing after the simulated time is only known to lie there.
        let end = house.scenario().to;
        let held = match crossed {
            Some(time) => from <= time && time <= to,
            None if to <= end => false,
            None if from >= end => true,
            None => continue,
        };
        tally.count(Measure::Forecasts, held, || {
            format!("{}, {}: {from} to {to}, truly {crossed:?}", house.name, point.id)
        });
    }
}

/// The 80 % range of a forecast; without an upper end it is open.
fn range(forecast: &Forecast) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
    #[allow(clippy::cast_possible_truncation, reason = "days of a forecast are few")]
    let after = |days: f64| forecast.from + TimeDelta::seconds((days * 86_400.0) as i64);
    matches!(forecast.outlook, Outlook::Range | Outlook::WideRange).then_some(())?;
    Some((after(forecast.days_low?), forecast.days_high.map_or(DateTime::<Utc>::MAX_UTC, after)))
}
