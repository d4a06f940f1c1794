//! Loggers that err by more than their data sheet, and loggers in one another's place.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Bias, Scenario};

/// In each chamber a second logger stands beside the first and differs from it by 5 to 8 %RH, more than two sensors of
/// +-2 %RH can differ by. In every house two pairs of loggers are swapped: outdoors with unaffected, and inlet with outlet
/// of the last unit.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn biased_and_swapped(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("biased-and-swapped", seed, Ask::default())?;
    for chamber in house.chambers() {
        let sign = if house.rng.unit() < 0.5 { -1.0 } else { 1.0 };
        let rh_pct = sign * house.rng.between(5.0, 8.0);
        if let Some(logger) = house.logger(&AirSource::Chamber(chamber.clone())) {
            logger.bias = Bias::Given { temp_k: 0.0, rh_pct: 0.0 };
        }
        house.beside(&chamber, Bias::Given { temp_k: 0.1, rh_pct });
    }
    let unit = house.dehumidifiers().pop().unwrap_or_default();
    let pairs =
        [[AirSource::Outdoor, AirSource::Unaffected], [AirSource::Inlet(unit.clone()), AirSource::Outlet(unit)]];
    for logger in &mut house.scenario.loggers {
        for pair in &pairs {
            if let Some(index) = pair.iter().position(|source| *source == logger.source) {
                logger.stated = pair[1 - index].clone();
            }
        }
    }
    Ok(house.scenario)
}
