//! Nothing goes wrong.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::Scenario;

/// A house that dries undisturbed.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn clean(seed: u64) -> Result<Scenario, Error> {
    Ok(House::new("clean", seed, Ask::default())?.scenario)
}
