//! Rain for days, as mild outdoors as it is damp.

use chrono::{NaiveDate, TimeDelta};

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{Event, Scenario};

/// Outdoor air wetter than the chambers' and of nearly their enthalpy, 16 degC and 88 % at sea level, so that what comes in
/// hardly cools a room. Doors are wedged open at every visit for as long as things are carried; a window is left tilted one
/// afternoon (1 to 4 air changes an hour, from memory of what is said of tilted windows), a door stands wide open on
/// another. Water comes again to two points of each chamber.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn rainy_autumn(seed: u64) -> Result<Scenario, Error> {
    let day = u32::try_from(seed % 20).unwrap_or(0) + 5;
    let loss = NaiveDate::from_ymd_opt(2025, 10, day).unwrap_or_default();
    let when = Some((chrono_tz::America::New_York, loss));
    let mut house = House::new("rainy-autumn", seed, Ask { visits: 9, when, ..Ask::default() })?;
    let weather = &mut house.scenario.weather;
    weather.mean_temp_c = 16.0;
    weather.temp_swing_k = 2.0;
    weather.mean_dew_point_c = 14.0;
    weather.irregular_k = 1.5;
    weather.front_at = None;
    house.scenario.unaffected.mean_rh_pct = 50.0;
    let arrivals: Vec<_> = house.scenario.visits.iter().map(|visit| visit.at).collect();
    for chamber in house.chambers() {
        for arrival in &arrivals {
            let to = *arrival + TimeDelta::minutes(house.rng.whole(10, 40));
            let ach_1_h = house.rng.between(2.0, 6.0);
            house.scenario.events.push(Event::ChamberOpened { chamber: chamber.clone(), from: *arrival, to, ach_1_h });
        }
        let start = house.rng.whole(13 * 60, 20 * 60);
        let length = house.rng.whole(120, 360);
        let (from, to) = (house.at(7, start), house.at(7, start + length));
        let ach_1_h = house.rng.between(1.0, 4.0);
        house.scenario.events.push(Event::ChamberOpened { chamber: chamber.clone(), from, to, ach_1_h });
        house.open(&chamber, 4);
        let own = house.points_of(&chamber);
        house.rewet(&own[0], 6);
        house.rewet(&own[2], 8);
    }
    Ok(house.scenario)
}
