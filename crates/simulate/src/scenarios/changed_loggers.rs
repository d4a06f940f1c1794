//! Loggers that are changed, swapped or lost on the way, high up in dry air.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Bias, Scenario};

/// The first chamber's logger is lost on day 4, while a second one beside it goes on; the humidity sensor at the inlet of the
/// first unit dies on day 5; outdoor and unaffected loggers hang in each other's place. One chamber or two.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn changed_loggers(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("changed-loggers", seed, Ask { visits: 8, ..Ask::default() })?;
    let weather = &mut house.scenario.weather;
    weather.mean_temp_c = 9.0;
    weather.mean_dew_point_c = -7.0;
    // Under a clear sky; a night and a day outdoors are far apart.
    weather.temp_swing_k = 7.0;
    house.beside("A", Bias::Drawn);
    let lost_min = house.rng.whole(0, 24 * 60 - 1);
    let lost = house.at(4, lost_min);
    if let Some(logger) = house.logger(&AirSource::Chamber("A".to_owned())) {
        logger.to = lost;
    }
    let dies_min = house.rng.whole(0, 24 * 60 - 1);
    let dies = house.at(5, dies_min);
    if let Some(logger) = house.logger(&AirSource::Inlet("D1".to_owned())) {
        logger.flaws.dead_from = Some(dies);
    }
    let pair = [AirSource::Outdoor, AirSource::Unaffected];
    for logger in &mut house.scenario.loggers {
        if let Some(index) = pair.iter().position(|source| *source == logger.source) {
            logger.stated = pair[1 - index].clone();
        }
    }
    Ok(house.scenario)
}
