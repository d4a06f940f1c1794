//! A chamber stands open to outdoor air.

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::Scenario;

/// Least difference of outdoor from chamber dew point that the scenario is about, K.
const APART_K: f64 = 9.0;

/// Each chamber stands open for some hours on two days, to outdoor air that is clearly drier or wetter than its own.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn opened_chamber(seed: u64) -> Result<Scenario, Error> {
    let mut house = House::new("opened-chamber", seed, Ask::default())?;
    // A dried chamber has a dew point of some 8 to 10 degC.
    let wet = house.rng.unit() < 0.5;
    let weather = &mut house.scenario.weather;
    weather.mean_temp_c = if wet { 24.0 } else { 4.0 };
    weather.mean_dew_point_c = if wet { 9.0 + APART_K } else { 9.0 - APART_K - 2.0 };
    weather.temp_swing_k = 3.0;
    weather.front_at = None;
    for chamber in house.chambers() {
        house.open(&chamber, 3);
        house.open(&chamber, 5);
    }
    Ok(house.scenario)
}
