//! A large house by a warm sea in July.

use chrono::NaiveDate;

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Bias, Scenario};

/// Two chambers of 1.6 times the usual size in hot, humid air: an opening and an outage in each, a rewetting, a clock that is
/// behind and a logger that reads low.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn humid_summer(seed: u64) -> Result<Scenario, Error> {
    let day = u32::try_from(seed % 20).unwrap_or(0) + 1;
    let loss = NaiveDate::from_ymd_opt(2025, 7, day).unwrap_or_default();
    let when = Some((chrono_tz::America::Chicago, loss));
    let ask = Ask { visits: 9, when, two_chambers: Some(true), ..Ask::default() };
    let mut house = House::new("humid-summer", seed, ask)?;
    house.resize(1.6);
    let weather = &mut house.scenario.weather;
    weather.mean_temp_c = 28.0;
    weather.temp_swing_k = 4.0;
    weather.mean_dew_point_c = 22.0;
    weather.front_at = None;
    house.scenario.unaffected.mean_temp_c = 23.5;
    house.scenario.unaffected.mean_rh_pct = 52.0;
    house.open("A", 3);
    house.open("B", 6);
    house.stop("D1", 5);
    house.stop("D2", 4);
    let own = house.points_of("B");
    house.rewet(&own[0], 7);
    let behind_s = -60 * house.rng.whole(35, 120);
    if let Some(logger) = house.logger(&AirSource::Chamber("B".to_owned())) {
        logger.clock_ahead_s = behind_s;
    }
    let rh_pct = -house.rng.between(5.0, 8.0);
    if let Some(logger) = house.logger(&AirSource::Chamber("A".to_owned())) {
        logger.bias = Bias::Given { temp_k: 0.0, rh_pct: 0.0 };
    }
    house.beside("A", Bias::Given { temp_k: -0.1, rh_pct });
    Ok(house.scenario)
}
