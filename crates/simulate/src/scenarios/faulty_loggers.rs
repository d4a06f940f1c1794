//! Loggers that stick, die or fall silent.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Scenario};

/// In each chamber the logger repeats its values for 6 to 14 h, which the one outdoors does too. The humidity sensor at the
/// inlet of the first unit dies on day 3, while its logger goes on; the logger in the unaffected area falls silent on
/// day 4.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn faulty_loggers(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("faulty-loggers", seed, Ask { visits: 8, ..Ask::default() })?;
    let chambers = house.chambers().into_iter().map(AirSource::Chamber);
    for (day, source) in (4..).zip(chambers.chain([AirSource::Outdoor])) {
        let start = house.rng.whole(0, 16 * 60);
        let length = house.rng.whole(6 * 60, 14 * 60);
        let span = (house.at(day, start), house.at(day, start + length));
        if let Some(logger) = house.logger(&source) {
            logger.flaws.frozen = Some(span);
        }
    }
    let dies_min = house.rng.whole(10 * 60, 22 * 60);
    let dies = house.at(3, dies_min);
    if let Some(logger) = house.logger(&AirSource::Inlet("D1".to_owned())) {
        logger.flaws.dead_from = Some(dies);
    }
    let silent_min = house.rng.whole(0, 24 * 60 - 1);
    let silent = house.at(4, silent_min);
    if let Some(logger) = house.logger(&AirSource::Unaffected) {
        logger.to = silent;
    }
    Ok(house.scenario)
}
