//! Loggers that do not stand where the job says.

use chrono::TimeDelta;
use grainfall_analysis::evidence::TrackPlace;
use grainfall_simulate::scenario::AirSource;
use grainfall_simulate::scenarios;

use crate::house::{House, at_unit, beside, clean_evidence, logger};
use crate::open::{self, ATTIC, Open};
use crate::proof::{Due, Truth};

/// The logger that is said to hang outdoors stands in the unaffected area, and two loggers that are said to stand indoors
/// hang outdoors: nothing tells which of them should be the one outdoors.
pub fn misplaced() -> Truth {
    let mut scenario = scenarios::clean(1).unwrap();
    scenario.weather.temp_swing_k = 8.0;
    let twin = beside(&mut scenario, &AirSource::Outdoor);
    scenario.loggers[twin].stated = AirSource::Chamber("A".to_owned());
    for logger in &mut scenario.loggers[..twin] {
        match logger.source {
            AirSource::Outdoor => logger.stated = AirSource::Unaffected,
            AirSource::Unaffected => logger.stated = AirSource::Outdoor,
            _ => {}
        }
    }
    let house = House::of(scenario);
    let serial = &house.logger(&AirSource::Outdoor).serial;
    let (first, last) = house.samples(serial);
    Truth {
        with: house.judged(),
        due: vec![Due::between(logger(serial), first, last)],
        without: vec![("every logger where it is said to be", clean_evidence())],
    }
}

/// Air outdoors swings by 8 degC a day in the middle, air in the house by 1.4, as it should.
pub fn misplaced_open() -> Option<Open> {
    Open::silent(&ATTIC, open::attic(), "the curve of the weather swings with every day").present()
}

/// Outdoors and unaffected hang in each other's place, and so do inlet and outlet of the last unit.
pub fn swapped() -> Truth {
    let house = House::of(scenarios::biased_and_swapped(SWAPPED_SEED).unwrap());
    let with = house.judged();
    let serial = &house.logger(&AirSource::Outdoor).serial;
    let (first, last) = house.samples(serial);
    let stay = house.scenario().stays.iter().rfind(|stay| stay.unit.starts_with('D')).unwrap();
    let (placed, removed) = (stay.placed, stay.removed.unwrap());
    let probes = Due::between(at_unit(&with, TrackPlace::Outlet, &stay.unit), placed, removed)
        .begins(placed, placed + TimeDelta::hours(3))
        .ends(removed - TimeDelta::hours(3), removed + TimeDelta::minutes(30));
    Truth {
        due: vec![Due::between(logger(serial), first, last), probes],
        with,
        without: vec![("every logger where it is said to be", clean_evidence())],
    }
}

/// A house under a sky that swings by more than 6 degC a day.
const SWAPPED_SEED: u64 = 1;

/// The attic's house is called outdoors and its weather unaffected.
pub fn swapped_open() -> Option<Open> {
    let job = open::job(
        "Etc/GMT-2",
        &[
            (ATTIC[0], None, "affected", Some("A")),
            (ATTIC[1], None, "outdoor", None),
            (ATTIC[2], None, "unaffected", None),
        ],
    );
    let series = open::attic_series(ATTIC[1])?;
    let id = ATTIC[1].strip_suffix(".csv").unwrap();
    let due = vec![Due::between(logger(id), series[0].0, series[series.len() - 1].0)];
    Open::silent(&ATTIC, job, "`outdoors` stays between 19 and 30 degC through a Finnish winter").raised(due).present()
}
