//! Clocks that are wrong, and a change to or from daylight-saving time in the middle of the job.

use chrono::NaiveDate;

use super::house::{Ask, House};
use crate::Error;
use crate::scenario::{AirSource, Pause, Scenario, StampClock};

/// The clocks of New York change on day 4 (IANA zone data: 9 March and 2 November 2025). Half of the loggers follow the
/// wall, half never change; the chambers' loggers are ahead or behind by 35 to 150 min. Clocks can be told apart only where
/// something happens that two loggers see: every other day the power is off for some hours, which the job records.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn clock_faults(seed: u64) -> Result<Scenario, Error> {
    let day = if seed.is_multiple_of(2) { (3, 5) } else { (10, 29) };
    let loss = NaiveDate::from_ymd_opt(2025, day.0, day.1).unwrap_or_default();
    let when = Some((chrono_tz::America::New_York, loss));
    let mut house = House::new("clock-faults", seed, Ask { when, ..Ask::default() })?;
    for chamber in house.chambers() {
        let sign = if house.rng.unit() < 0.5 { -1 } else { 1 };
        let ahead_s = sign * 60 * house.rng.whole(35, 150);
        if let Some(logger) = house.logger(&AirSource::Chamber(chamber)) {
            logger.clock = StampClock::Fixed;
            logger.clock_ahead_s = ahead_s;
        }
    }
    for day in [2, 4, 6] {
        let start = house.rng.whole(13 * 60, 16 * 60);
        let length = house.rng.whole(120, 200);
        let (from, to) = (house.at(day, start), house.at(day, start + length));
        let reason = "power off for the electrician".to_owned();
        house.scenario.pauses.push(Pause { from, to, units: Vec::new(), reason });
    }
    if let Some(outdoor) = house.logger(&AirSource::Outdoor) {
        outdoor.clock = StampClock::Fixed;
    }
    Ok(house.scenario)
}
