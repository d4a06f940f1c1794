//! Sensors that stick, die or err.

use chrono::TimeDelta;
use grainfall_analysis::evidence::TrackPlace;
use grainfall_simulate::scenario::{AirSource, Bias};
use grainfall_simulate::scenarios;

use crate::house::{House, at_unit, beside, clean_evidence, logger, step};
use crate::open::{self, ATTIC, HOUSE, OFFICE, Open};
use crate::proof::{Due, Truth};

/// Chamber and outdoor loggers that repeat their values for 6 to 14 h.
pub fn frozen() -> Truth {
    let house = House::of(scenarios::faulty_loggers(1).unwrap());
    let stuck = house.scenario().loggers.iter().filter_map(|one| Some((one, one.flaws.frozen?)));
    let due = |(one, (from, to)): (&grainfall_simulate::scenario::Logger, _)| {
        Due::between(logger(&one.serial), from, to).within(step(one) * 2)
    };
    Truth {
        due: stuck.map(due).collect(),
        with: house.judged(),
        without: vec![("sensors that move", clean_evidence())],
    }
}

/// An office by the minute repeats its last digit for minutes on end, and never for hours.
pub fn frozen_open() -> Option<Open> {
    let job = open::job("Europe/Brussels", &[(OFFICE, None, "affected", Some("A"))]);
    Open::silent(&[OFFICE], job, "its curves go on rising and falling through both nights").present()
}

/// The humidity sensor at the inlet of the first unit writes 0 % from day 3 on.
pub fn dead() -> Truth {
    let house = House::of(scenarios::faulty_loggers(1).unwrap());
    let with = house.judged();
    let inlet = house.logger(&AirSource::Inlet("D1".to_owned()));
    let (dead, (_, last)) = (inlet.flaws.dead_from.unwrap(), house.samples(&inlet.serial));
    let due = Due::between(at_unit(&with, TrackPlace::Inlet, "D1"), dead, last).begins(dead, dead + step(inlet));
    Truth { with, due: vec![due], without: vec![("sensors that live", clean_evidence())] }
}

/// Nine months under a roof, 22 to 93 %.
pub fn dead_open() -> Option<Open> {
    Open::silent(&ATTIC, open::attic(), "all three end within their range and moving").present()
}

/// A second logger beside the one of the chamber, 6.5 %RH above it; and one that is within what two sensors differ by.
pub fn bias() -> Truth {
    let twins = |rh_pct: f64| {
        let mut scenario = scenarios::clean(1).unwrap();
        let room = AirSource::Chamber("A".to_owned());
        let twin = beside(&mut scenario, &room);
        let none = Bias::Given { temp_k: 0.0, rh_pct: 0.0 };
        scenario.loggers.iter_mut().filter(|logger| logger.source == room).for_each(|logger| logger.bias = none);
        scenario.loggers[twin].bias = Bias::Given { temp_k: 0.1, rh_pct };
        (House::of(scenario), twin)
    };
    let (house, twin) = twins(6.5);
    let off = &house.scenario().loggers[twin];
    let (first, last) = house.samples(&off.serial);
    // The inlet's logger, which stands in the same air, comes and goes with its unit.
    let due = Due::between(logger(&off.serial), first, last).within(TimeDelta::hours(1)).says(6.5, 1.0);
    Truth {
        with: house.judged(),
        due: vec![due],
        without: vec![("1.5 %RH apart", twins(1.5).0.judged()), ("one logger a chamber", clean_evidence())],
    }
}

/// Rooms with doors between them are uneven, now this way and now that: no sensor of the nine is off by a steady amount.
pub fn bias_open() -> Option<Open> {
    let why = "the rooms' vapour curves cross; the bathroom's rises and falls with showers";
    Open::silent(&[HOUSE], open::one_chamber(), why).present()
}
