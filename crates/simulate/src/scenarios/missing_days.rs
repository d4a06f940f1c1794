//! Days on which nobody came, and loggers that fell silent meanwhile.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Scenario};

/// Nobody visits on four or five days in a row, so that some days lie more than 36 h from every reading; the outlet logger of the first unit has a hole of a day.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn missing_days(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("missing-days", seed, Ask { visits: 11, ..Ask::default() })?;
    let first = usize::try_from(house.rng.whole(2, 4)).unwrap_or(2);
    let count = usize::try_from(house.rng.whole(4, 5)).unwrap_or(4);
    house.scenario.visits.drain(first..first + count);
    let gap = (house.at(3, 7 * 60), house.at(4, 10 * 60));
    if let Some(logger) = house.logger(&AirSource::Outlet("D1".to_owned())) {
        logger.flaws.gaps.push(gap);
    }
    Ok(house.scenario)
}
