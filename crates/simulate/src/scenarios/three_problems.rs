//! A job with three problems planted in its record, for people who read the report and nothing else.

use chrono::NaiveDate;

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, DayRule, Event, Scenario};

/// A house in which the problems stand apart.
const SEED: u64 = 4;

/// Day of the job on which all goals are met and the equipment leaves, but for one dehumidifier.
const GOALS_MET: u32 = 6;

/// The dehumidifier that is forgotten until the last day.
const FORGOTTEN: &str = "D2";

/// Days of the job on which nobody comes.
const NOBODY: [u32; 2] = [4, 5];

/// Two chambers. Nobody visits for two days; the large dehumidifier stands still through a night; the small one stays for
/// days after all goals were met.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn three_problems() -> Result<Scenario, Error> {
    let loss_day = NaiveDate::from_ymd_opt(2025, 9, 7).unwrap_or_default();
    let ask = Ask {
        visits: 10,
        when: Some((chrono_tz::America::Chicago, loss_day)),
        two_chambers: Some(true),
        day_rule: Some(DayRule::Hours24),
        ..Ask::default()
    };
    let house = House::new("three-problems", SEED, ask)?;
    let nobody = NOBODY.map(|day| (house.at(day, 0), house.at(day + 1, 0)));
    let night = (house.at(3, 65), house.at(3, 6 * 60 + 50));
    let leave = house.at(GOALS_MET, 11 * 60);
    let mut scenario = house.scenario;
    scenario.name = "three-problems".to_owned();
    scenario.job.number = "J-0003".to_owned();
    scenario.job.title = "Invented job: a hose that burst in an upper hall".to_owned();
    scenario.visits.retain(|visit| !nobody.iter().any(|(from, to)| (*from..*to).contains(&visit.at)));
    scenario.events.push(Event::UnitStopped { unit: "D1".to_owned(), from: night.0, to: night.1 });
    for stay in scenario.stays.iter_mut().filter(|stay| stay.unit != FORGOTTEN) {
        stay.removed = Some(leave);
        stay.removed_reason = Some("goals met".to_owned());
    }
    // The loggers of a unit leave with it.
    let of_unit = |source: &AirSource| match source {
        AirSource::Inlet(unit) | AirSource::Outlet(unit) => unit != FORGOTTEN,
        AirSource::Outdoor | AirSource::Unaffected | AirSource::Chamber(_) => false,
    };
    for logger in scenario.loggers.iter_mut().filter(|logger| of_unit(&logger.source)) {
        logger.to = leave;
    }
    Ok(scenario)
}
