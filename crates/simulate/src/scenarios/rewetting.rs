//! Water comes again.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::Scenario;

/// One point of each chamber gets wet again on the third evening, another on the fifth.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn rewetting(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("rewetting", seed, Ask { visits: 8, ..Ask::default() })?;
    for chamber in house.chambers() {
        let ids = house.points_of(&chamber);
        house.rewet(&ids[0], 3);
        house.rewet(&ids[1], 5);
    }
    Ok(house.scenario)
}
