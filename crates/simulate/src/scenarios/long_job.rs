//! A month on site: 30 days, 40 points, 25 units. How a long record reads, and how long it takes.

use chrono::TimeDelta;

use crate::Error;
use crate::generate::{Size, scenario};
use crate::scenario::{Event, Scenario};

/// A house where the numbers below fall into no clock change.
const SEED: u64 = 7;

/// A large generated job in which two dehumidifiers stand still and one chamber stands open.
///
/// # Errors
/// None but those of the moist-air equations.
pub fn long_job() -> Result<Scenario, Error> {
    let mut job = scenario(Size { days: 30, points: 40, units: 25, interval_min: 15 }, SEED)?;
    job.name = "long-job".to_owned();
    job.job.title = "Invented job: a month on site".to_owned();
    let at = |hours: i64| job.from + TimeDelta::hours(hours);
    job.events = vec![
        Event::UnitStopped { unit: "D1".to_owned(), from: at(60), to: at(66) },
        Event::UnitStopped { unit: "D3".to_owned(), from: at(200), to: at(209) },
        Event::ChamberOpened { chamber: "C2".to_owned(), from: at(130), to: at(134), ach_1_h: 6.0 },
    ];
    Ok(job)
}
