//! What several tests share.

#![allow(dead_code, reason = "each test file uses a part of it")]

use chrono::{DateTime, Utc};
use grainfall_simulate::scenario::Scenario;
use grainfall_simulate::truth::{TruePoint, TrueUnit};
use grainfall_simulate::{Made, Truth, clock, scenarios};

/// The sample job's scenario.
pub fn larch() -> Scenario {
    scenarios::larch_street().unwrap()
}

/// The sample job's scenario with a change, taken all the way.
pub fn larch_with(change: impl FnOnce(&mut Scenario)) -> Made {
    let mut scenario = larch();
    change(&mut scenario);
    Made::from_scenario(scenario).unwrap()
}

/// An instant of October 2025 in the sample job's zone.
pub fn at(text: &str) -> DateTime<Utc> {
    clock::local(chrono_tz::America::Chicago, &format!("2025-10-{text}")).unwrap()
}

/// A unit of the truth.
pub fn unit<'a>(truth: &'a Truth, name: &str) -> &'a TrueUnit {
    truth.units.iter().find(|unit| unit.unit == name).unwrap()
}

/// A point of the truth.
pub fn point<'a>(truth: &'a Truth, name: &str) -> &'a TruePoint {
    truth.points.iter().find(|point| point.point == name).unwrap()
}
