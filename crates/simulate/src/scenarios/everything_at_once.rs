//! Everything at once.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Bias, Ended, Pause, Scenario};

/// Two chambers with an outage and a recorded pause, an opened chamber, a rewetting, a wrong clock, a biased logger, a
/// missed visit and a point that was taken out.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn everything_at_once(seed: u64) -> Result<Scenario, Error> {
    let ask = Ask { visits: 10, two_chambers: Some(true), ..Ask::default() };
    let mut house = House::new("everything-at-once", seed, ask)?;
    house.scenario.weather.mean_temp_c = 3.0;
    house.scenario.weather.mean_dew_point_c = -4.0;
    house.stop("D1", 2);
    house.stop("D2", 6);
    house.open("A", 4);
    house.open("B", 5);
    house.rewet("P2", 7);
    house.rewet("P4", 3);
    let pause = (house.at(8, 18 * 60), house.at(9, 6 * 60));
    house.scenario.pauses.push(Pause {
        from: pause.0,
        to: pause.1,
        units: Vec::new(),
        reason: "noise at night, at the wish of the occupant".to_owned(),
    });
    let ahead_s = 60 * house.rng.whole(40, 120);
    if let Some(logger) = house.logger(&AirSource::Chamber("A".to_owned())) {
        logger.clock_ahead_s = ahead_s;
    }
    let rh_pct = house.rng.between(5.0, 8.0);
    if let Some(logger) = house.logger(&AirSource::Chamber("B".to_owned())) {
        logger.bias = Bias::Given { temp_k: 0.0, rh_pct: 0.0 };
    }
    house.beside("B", Bias::Given { temp_k: 0.0, rh_pct });
    house.scenario.visits.remove(5);
    let ended_at = house.at(4, 15 * 60);
    if let Some(point) = house.scenario.points.iter_mut().find(|point| point.id == "P3") {
        point.ended = Some(Ended { at: ended_at, reason: "board cut out and taken away".to_owned() });
    }
    // What is gone cannot be read.
    for visit in house.scenario.visits.iter_mut().filter(|visit| visit.at > ended_at) {
        visit.readings.retain(|reading| reading.point != "P3");
    }
    Ok(house.scenario)
}
