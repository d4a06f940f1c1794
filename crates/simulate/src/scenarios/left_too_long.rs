//! Equipment that stays days after its goals were met.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::Scenario;

/// Not very wet materials, and equipment left until the eleventh visit.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn left_too_long(seed: u64) -> Result<Scenario, Error> {
    let ask = Ask { visits: 11, wood_pct: (16.0, 28.0), ..Ask::default() };
    Ok(House::new("left-too-long", seed, ask)?.scenario)
}
