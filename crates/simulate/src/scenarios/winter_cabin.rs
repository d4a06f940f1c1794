//! A small house in a hard winter, with cheap loggers.

use chrono::NaiveDate;

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Scenario};

/// One chamber of 0.7 times the usual size in frost, loggers of three times the usual noise: two openings, an outage, a
/// rewetting, a clock that is ahead, a logger that sticks and one that falls silent.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn winter_cabin(seed: u64) -> Result<Scenario, Error> {
    let day = u32::try_from(seed % 20).unwrap_or(0) + 1;
    let loss = NaiveDate::from_ymd_opt(2025, 1, day).unwrap_or_default();
    let when = Some((chrono_tz::Europe::Berlin, loss));
    let ask = Ask { visits: 9, when, two_chambers: Some(false), ..Ask::default() };
    let mut house = House::new("winter-cabin", seed, ask)?;
    house.resize(0.7);
    let weather = &mut house.scenario.weather;
    weather.mean_temp_c = -6.0;
    weather.mean_dew_point_c = -10.0;
    weather.temp_swing_k = 2.5;
    weather.front_at = None;
    house.scenario.unaffected.mean_rh_pct = 36.0;
    house.open("A", 3);
    house.open("A", 6);
    house.stop("D1", 5);
    let own = house.points_of("A");
    house.rewet(&own[1], 7);
    for logger in &mut house.scenario.loggers {
        logger.flaws.noise_times = Some(3.0);
    }
    let ahead_s = 60 * house.rng.whole(35, 120);
    if let Some(logger) = house.logger(&AirSource::Chamber("A".to_owned())) {
        logger.clock_ahead_s = ahead_s;
    }
    let start = house.rng.whole(0, 14 * 60);
    let length = house.rng.whole(8 * 60, 14 * 60);
    let stuck = (house.at(4, start), house.at(4, start + length));
    let silent_min = house.rng.whole(0, 24 * 60 - 1);
    let silent = house.at(7, silent_min);
    if let Some(logger) = house.logger(&AirSource::Unaffected) {
        logger.flaws.frozen = Some(stuck);
        logger.to = silent;
    }
    Ok(house.scenario)
}
