//! Dehumidifiers stand still though nobody meant them to.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::Scenario;

/// Every dehumidifier stands still twice, once early and once late.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn outage(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("outage", seed, Ask::default())?;
    for unit in house.dehumidifiers() {
        house.stop(&unit, 2);
        let late = house.last_day() - 2;
        house.stop(&unit, late);
    }
    Ok(house.scenario)
}
