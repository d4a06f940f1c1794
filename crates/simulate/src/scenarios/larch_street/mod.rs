//! `larch-street`: a burst supply line in a small house, dried in two chambers over a week.
//!
//! What is in it to find: one dehumidifier stands still for a night while load is open; the small chamber meets its goals
//! days before its dehumidifier and one air mover leave; the large chamber meets its last goal on the day its equipment
//! leaves, one unit within the pull window; two units are billed for other days than recorded; a logger has a hole; a few
//! rows are repeated or hold words; one point could not be reached once, one was read twice, one was over the meter's range.

mod building;
mod equipment;
mod instruments;
mod visits;

use chrono::{DateTime, Utc};
use chrono_tz::America::Chicago;

use crate::Error;
use crate::clock::local;
use crate::moist::pressure_at_elevation_pa;
use crate::scenario::{DayRule, Event, JobSheet, Scenario, Unaffected, Weather};

/// 620 ft in metres.
const ELEVATION_M: f64 = 620.0 * 0.3048;

/// The scenario.
///
/// # Errors
/// [`Error::Time`] if one of its times were no instant; its tests show that none is.
pub fn larch_street() -> Result<Scenario, Error> {
    Ok(Scenario {
        name: "larch-street".to_owned(),
        seed: 20_251_006,
        step_s: 20,
        from: at("05 18:40")?,
        to: at("13 12:30")?,
        pressure_pa: pressure_at_elevation_pa(ELEVATION_M)?,
        job: job()?,
        weather: Weather {
            mean_temp_c: 15.0,
            temp_swing_k: 5.0,
            mean_dew_point_c: 10.0,
            front_at: Some(at("09 16:00")?),
            front_temp_k: -5.0,
            front_dew_point_k: -6.0,
            irregular_k: 2.0,
        },
        unaffected: Unaffected { mean_temp_c: 21.8, temp_swing_k: 0.7, mean_rh_pct: 47.0, rh_swing_pct: 3.0 },
        chambers: building::chambers(),
        materials: building::materials(),
        points: building::points(),
        stays: equipment::stays()?,
        pauses: Vec::new(),
        events: vec![Event::UnitStopped { unit: "D1".to_owned(), from: at("08 02:10")?, to: at("08 07:30")? }],
        loggers: instruments::loggers()?,
        exports: instruments::exports(),
        meters: instruments::meters(),
        visits: visits::visits()?,
    })
}

fn job() -> Result<JobSheet, Error> {
    Ok(JobSheet {
        number: "J-25-0417".to_owned(),
        title: "Larch Street".to_owned(),
        claim: "invented claim 88-1702".to_owned(),
        zone: Chicago,
        elevation: "620 ft".to_owned(),
        loss_at: at("05 18:40")?,
        category: 1,
        class: 2,
        edition: "ANSI/IICRC S500-2021".to_owned(),
        day_rule: DayRule::Hours24,
        pull_window_min: 240,
        confirm_readings: 1,
    })
}

/// An instant of October 2025 by the wall clock of the house: `"06 11:10"`.
fn at(text: &str) -> Result<DateTime<Utc>, Error> {
    local(Chicago, &format!("2025-10-{text}"))
}
