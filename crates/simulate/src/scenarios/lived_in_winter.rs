//! A house in dry cold that people go on living in, next door to the drying.

use chrono::NaiveDate;

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{Bias, Scenario};

/// Frost high up; a humidifier, cooking and wet clothes let the humidity of the rooms beside the chambers swing by 10 % points
/// either way, and more of their air than usual gets into the chambers, through which people walk. Outdoor air is dry: an
/// opening dries a chamber for a while, and it gets wetter again. An outage, two rewettings, and a second logger beside the
/// first in chamber A.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn lived_in_winter(seed: u64) -> Result<Scenario, Error> {
    let day = u32::try_from(seed % 20).unwrap_or(0) + 1;
    let loss = NaiveDate::from_ymd_opt(2025, 2, day).unwrap_or_default();
    let when = Some((chrono_tz::America::Denver, loss));
    let mut house = House::new("lived-in-winter", seed, Ask { visits: 9, when, ..Ask::default() })?;
    let weather = &mut house.scenario.weather;
    weather.mean_temp_c = -3.0;
    weather.temp_swing_k = 6.0;
    weather.mean_dew_point_c = -11.0;
    weather.front_at = None;
    house.scenario.unaffected.mean_rh_pct = 40.0;
    house.scenario.unaffected.rh_swing_pct = 10.0;
    for index in 0..house.scenario.chambers.len() {
        let ach_1_h = house.rng.between(0.5, 1.0);
        house.scenario.chambers[index].ach_unaffected_1_h = ach_1_h;
    }
    for chamber in house.chambers() {
        house.open(&chamber, 3);
        house.open(&chamber, 6);
        let own = house.points_of(&chamber);
        house.rewet(&own[0], 5);
        house.rewet(&own[1], 8);
    }
    house.stop("D1", 4);
    house.beside("A", Bias::Drawn);
    Ok(house.scenario)
}
