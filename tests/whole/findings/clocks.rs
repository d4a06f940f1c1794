//! Clocks that were set anew or are off.

use chrono::TimeDelta;
use grainfall_simulate::scenario::AirSource;
use grainfall_simulate::scenarios;

use crate::house::{House, clean, clean_evidence, logger, step};
use crate::open::{self, HOUSE, NEW_YORK, Open};
use crate::proof::{Due, Truth};
use crate::record::new_york_holes;

/// The outdoor logger's clock is set back by 3 h 3 min in the middle; the first five samples of the unaffected one are of
/// 24 years before, as after a change of battery.
pub fn reset() -> Truth {
    let house = clean();
    let back = TimeDelta::minutes(183);
    let ago = TimeDelta::days(9000);
    let (outdoor, inside) = (house.logger(&AirSource::Outdoor), house.logger(&AirSource::Unaffected));
    let samples = |serial: &str| &house.record().logger(serial).unwrap().samples;
    let set_at = samples(&outdoor.serial).len() / 2;
    let with = house.recorded(|record| {
        for logger in &mut record.loggers {
            if logger.serial == outdoor.serial {
                logger.samples[set_at..].iter_mut().for_each(|sample| sample.stamp -= back);
            } else if logger.serial == inside.serial {
                logger.samples[..5].iter_mut().for_each(|sample| sample.stamp -= ago);
            }
        }
    });
    let set = samples(&outdoor.serial)[set_at].stamp;
    let first = samples(&inside.serial);
    Truth {
        with,
        due: vec![
            Due::between(logger(&outdoor.serial), set - back, set).within(step(outdoor) * 2),
            Due::between(logger(&inside.serial), first[0].stamp - ago, first[4].stamp - ago),
        ],
        without: vec![("clocks that run", clean_evidence())],
    }
}

/// Rows of March and of November follow each other: the months between are cut out.
pub fn reset_open() -> Option<Open> {
    let job = open::job("America/New_York", &[(NEW_YORK, None, "outdoor", None)]);
    let cuts = new_york_holes()?.into_iter().filter(|hole| hole.2 - hole.1 >= TimeDelta::days(30));
    let due: Vec<Due> = cuts.map(|(station, from, to)| Due::between(station, from, to)).collect();
    assert_eq!(due.len(), 3, "each of the stations is cut once");
    Open::silent(&[NEW_YORK], job, "the curve jumps over seven months from one row to the next").raised(due).present()
}

/// Each chamber's logger is ahead or behind by 35 to 150 min, beside the two of its unit.
pub fn offset() -> Truth {
    let house = House::of(scenarios::clock_faults(1).unwrap());
    let off = house.scenario().loggers.iter().filter(|logger| logger.clock_ahead_s != 0);
    let due = |one: &grainfall_simulate::scenario::Logger| {
        let (first, last) = house.samples(&one.serial);
        #[allow(clippy::cast_precision_loss, reason = "offsets are hours")]
        let minutes = one.clock_ahead_s.abs() as f64 / 60.0;
        // It shows while something happens that two loggers see: on every other day.
        Due::between(logger(&one.serial), first, last)
            .begins(first - TimeDelta::hours(3), first + TimeDelta::hours(48))
            .ends(last - TimeDelta::hours(48), last + TimeDelta::hours(27))
            .says(minutes, f64::from(one.interval_min))
    };
    Truth { due: off.map(due).collect(), with: house.judged(), without: vec![("clocks that agree", clean_evidence())] }
}

/// Nine rooms logged by one clock.
pub fn offset_open() -> Option<Open> {
    Open::silent(&[HOUSE], open::one_chamber(), "one row holds all rooms: its stamp is theirs").present()
}
