//! Machines: what they did, and what is written of them.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::Evidence;
use grainfall_simulate::instruments::Condensate;
use grainfall_simulate::scenario::{AirSource, Kind, Pause};
use grainfall_simulate::scenarios;
use std::sync::Arc;

use crate::house::{self, House, clean, clean_evidence, step};
use crate::open::{self, HOUSE, Open};
use crate::proof::{Due, Truth};

/// What a person sees of the two rooms that are called inlet and outlet.
const NO_MACHINE: &str = "two rooms of a house: no curve shows a machine, so none can be seen to run or stop";

/// Every dehumidifier stands still twice though nobody meant it to.
pub fn stopped() -> Truth {
    let house = House::of(scenarios::outage(1).unwrap());
    let longest = house.scenario().loggers.iter().map(step).max().unwrap();
    let near = (longest * 2).max(TimeDelta::minutes(30));
    let stops = house.made.truth.units.iter().filter(|unit| unit.unit.starts_with('D')).flat_map(|unit| {
        let unplanned = unit.stopped.iter().filter(|stop| !stop.recorded_pause);
        unplanned.map(|stop| Due::between(house::unit(&unit.unit), stop.from, stop.to).within(near))
    });
    Truth {
        due: stops.collect(),
        with: house.judged(),
        without: vec![
            ("machines that run", clean_evidence()),
            ("stops that are written down", House::of(scenarios::clock_faults(2).unwrap()).judged()),
        ],
    }
}

pub fn stopped_open() -> Option<Open> {
    Open::silent(&[HOUSE], open::two_rooms_as_a_unit(), NO_MACHINE).present()
}

/// A house in which the first unit's hour meter is read at every visit.
fn metered() -> House {
    let mut scenario = scenarios::clean(1).unwrap();
    scenario.stays.iter_mut().filter(|stay| stay.unit == "D1").for_each(|stay| stay.hour_meter_start_h = Some(1203.0));
    let (placed, removed) = d1_stay(clean());
    for visit in scenario.visits.iter_mut().filter(|visit| placed < visit.at && visit.at < removed) {
        visit.hour_meters.push(("D1".to_owned(), 2));
    }
    House::of(scenario)
}

fn d1_stay(house: &House) -> (DateTime<Utc>, DateTime<Utc>) {
    let stay = house.scenario().stays.iter().find(|stay| stay.unit == "D1").unwrap();
    (stay.placed, stay.removed.unwrap())
}

/// The last two entries of the meter.
fn last_two(house: &House) -> (DateTime<Utc>, DateTime<Utc>) {
    let entries = &house.record().hour_meters;
    let [.., before, last] = &entries[..] else { panic!("{entries:?}") };
    (before.time, last.time)
}

/// The last entry with other hours than were read.
fn miswritten(house: &House, more_h: f64) -> Arc<Evidence> {
    house.recorded(|record| record.hour_meters.last_mut().unwrap().hours += more_h)
}

/// The last entry is 10 h more than the meter showed.
pub fn meter_differs() -> Truth {
    let house = metered();
    let (from, to) = last_two(&house);
    Truth {
        with: miswritten(&house, 10.0),
        due: vec![Due::between(house::unit("D1"), from, to)],
        without: vec![
            ("a meter that runs as the machine does", house.judged()),
            ("an entry half an hour off", miswritten(&house, 0.5)),
        ],
    }
}

pub fn meter_differs_open() -> Option<Open> {
    let entry =
        |time: &str, hours: u32| format!("\n[[hour_meter]]\ntime = \"{time}\"\nunit = \"D1\"\nhours = {hours}\n");
    let entries = entry("2016-01-13 12:00", 100) + &entry("2016-01-14 12:00", 124);
    let why = "where nothing tells whether a machine ran its meter may say anything";
    Open::silent(&[HOUSE], open::two_rooms_as_a_unit() + &entries, why).present()
}

/// The last entry is of another unit's meter: 400 h less.
pub fn meter_backwards() -> Truth {
    let house = metered();
    let (from, to) = last_two(&house);
    Truth {
        with: miswritten(&house, -400.0),
        due: vec![Due::between(house::unit("D1"), from, to)],
        without: vec![("a meter that counts on", house.judged())],
    }
}

pub fn meter_backwards_open() -> Option<Open> {
    let entry =
        |time: &str, hours: u32| format!("\n[[hour_meter]]\ntime = \"{time}\"\nunit = \"D1\"\nhours = {hours}\n");
    // Written in another order than read.
    let entries = entry("2016-01-15 12:00", 150) + &entry("2016-01-13 12:00", 100) + &entry("2016-01-14 12:00", 124);
    let why = "entries that rise with time, in whatever order they are written";
    Open::silent(&[HOUSE], open::two_rooms_as_a_unit() + &entries, why).present()
}

/// A pause of a night is written down in which the machine ran.
pub fn pause_contradicted() -> Truth {
    let house = clean();
    let (placed, _) = d1_stay(house);
    let (from, to) = (placed + TimeDelta::hours(31), placed + TimeDelta::hours(43));
    let running = |time: &DateTime<Utc>| house.made.simulation.running("D1", *time);
    assert!((0..12).map(|hour| from + TimeDelta::hours(hour)).all(|time| running(&time)));
    let with = house.written(|scenario| {
        scenario.pauses.push(Pause { from, to, units: vec!["D1".to_owned()], reason: "quiet at night".to_owned() });
    });
    Truth {
        with,
        due: vec![Due::between(house::unit("D1"), from, to).says(12.0, 0.5)],
        without: vec![("pauses that were kept", House::of(scenarios::clock_faults(2).unwrap()).judged())],
    }
}

pub fn pause_contradicted_open() -> Option<Open> {
    let pause = "\n[[pause]]\nfrom = \"2016-01-13 20:00\"\nto = \"2016-01-14 08:00\"\nreason = \"quiet\"\n";
    Open::silent(&[HOUSE], open::two_rooms_as_a_unit() + pause, NO_MACHINE).present()
}

/// Condensate is written down for three hours before the unit was placed.
pub fn condensate() -> Truth {
    let house = clean();
    let (placed, _) = d1_stay(house);
    let emptied = |time: DateTime<Utc>| {
        house.recorded(|record| record.condensate.push(Condensate { time, unit: "D1".to_owned(), pints: 20.0 }))
    };
    let before = placed - TimeDelta::hours(3);
    Truth {
        with: emptied(before),
        due: vec![Due::at(house::unit("D1"), before)],
        without: vec![("a bucket emptied during the stay", emptied(placed + TimeDelta::hours(24)))],
    }
}

pub fn condensate_open() -> Option<Open> {
    let entry = "\n[[condensate]]\ntime = \"2016-02-10 02:00\"\nunit = \"D1\"\namount = \"12 pint\"\n";
    let why = "emptied and written down two hours after the unit left";
    Open::silent(&[HOUSE], open::two_rooms_as_a_unit() + entry, why).present()
}

/// A house in the cold in which the air at the unit truly stays below 66 degF (18.9 degC) throughout.
pub fn working_range() -> Truth {
    let mut scenario = scenarios::clean(1).unwrap();
    scenario.unaffected.mean_temp_c = 9.0;
    scenario.weather.mean_temp_c = 1.0;
    scenario.weather.mean_dew_point_c = -5.0;
    scenario.weather.front_at = None;
    scenario.chambers.iter_mut().for_each(|chamber| {
        chamber.start_temp_c = 9.0;
        chamber.ua_unaffected_w_k *= 2.0;
    });
    let house = House::of(scenario);
    let mut due = Vec::new();
    for stay in house.scenario().stays.iter().filter(|stay| stay.unit.starts_with('D')) {
        let inlet = AirSource::Inlet(stay.unit.clone());
        let (placed, removed) = (stay.placed, stay.removed.unwrap());
        let temp = |hour: i64| house.made.simulation.air(&inlet, placed + TimeDelta::hours(hour)).temp_c;
        let warmest = (0..(removed - placed).num_hours()).map(temp).fold(f64::NEG_INFINITY, f64::max);
        assert!(warmest < 18.9, "{warmest} degC at {}", stay.unit);
        let logger = house.logger(&inlet);
        let (interval, last) = (step(logger), house.samples(&logger.serial).1.min(removed));
        due.push(
            Due::between(house::unit(&stay.unit), placed, removed)
                .begins(placed - interval, placed + interval)
                .ends(last - interval, last),
        );
    }
    let desiccant = house.written(|scenario| {
        scenario.stays.iter_mut().filter(|stay| stay.unit.starts_with('D')).for_each(|stay| stay.kind = Kind::Heater);
    });
    Truth {
        with: house.judged(),
        due,
        without: vec![("air at 70 to 90 degF", clean_evidence()), ("machines of another kind", desiccant)],
    }
}

/// Room 9 of the Belgian house lay between 14.9 and 19.3 degC all winter.
pub fn working_range_open() -> Option<Open> {
    let series = open::room_series(9)?;
    assert!(series.iter().all(|(_, temp, _)| *temp < 19.5));
    let mut job = open::job("Europe/Brussels", &[(HOUSE, Some("9"), "affected", Some("A"))]);
    job += &open::unit("dehumidifier low-grain", "2016-01-12 00:00", Some("2016-02-10 00:00"));
    let placed: DateTime<Utc> = "2016-01-11T23:00:00Z".parse().unwrap();
    let removed: DateTime<Utc> = "2016-02-09T23:00:00Z".parse().unwrap();
    // Samples lie up to some hours apart.
    let near = TimeDelta::hours(5);
    let due = Due::between(house::unit("D1"), placed, removed).within(near);
    Open::silent(&[HOUSE], job, "the curve never comes near 70 degF (21.1 degC)").raised(vec![due]).present()
}

/// Category 3 water, and air movers from the first day on.
pub fn air_movers() -> Truth {
    let house = clean();
    let movers = house.scenario().stays.iter().filter(|stay| stay.kind == Kind::AirMover);
    let due = movers.map(|stay| Due::between(house::unit(&stay.unit), stay.placed, stay.removed.unwrap())).collect();
    let first = house.scenario().stays.iter().map(|stay| stay.placed).min().unwrap();
    Truth {
        with: house.written(|scenario| scenario.job.category = 3),
        due,
        without: vec![
            ("category 1", clean_evidence()),
            (
                "category 3, ready for drying before they came",
                house.written(|scenario| {
                    scenario.job.category = 3;
                    for chamber in &mut scenario.chambers {
                        chamber.sheet.drying_from = Some(first - TimeDelta::hours(1));
                    }
                }),
            ),
        ],
    }
}

/// Category 3, and a dehumidifier alone: it blows on nothing.
pub fn air_movers_open() -> Option<Open> {
    let job = open::two_rooms_as_a_unit().replacen("[job]\n", "[job]\ncategory = 3\n", 1);
    Open::silent(&[HOUSE], job, "no air mover stood there").present()
}
