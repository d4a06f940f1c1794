//! Readings by hand that do not fit those before.

use chrono::{DateTime, Utc};
use grainfall_simulate::Record;
use grainfall_simulate::instruments::{MaterialReading, ReadValue};
use grainfall_simulate::scenario::{Role, Scale, What};
use grainfall_simulate::scenarios;

use crate::dowel;
use crate::house::{House, clean, clean_evidence, point, wood};
use crate::open::Open;
use crate::proof::{Due, Truth};

/// On the third visit a wooden point is read with another meter, and from the fourth on with its own again.
pub fn meter_changed() -> Truth {
    let mut scenario = scenarios::clean(1).unwrap();
    let id = wood(&mut scenario).id.clone();
    let mut other = scenario.meters.iter().find(|meter| meter.id == "M1").unwrap().clone();
    (other.id, other.serial) = ("M9".to_owned(), "M9-1".to_owned());
    scenario.meters.push(other);
    let planned = scenario.visits[2].readings.iter_mut().find(|one| one.point == id).unwrap();
    planned.what = What::OtherMeter("M9".to_owned());
    let house = House::of(scenario);
    let read = house.read_at(&id);
    Truth {
        with: house.judged(),
        due: vec![Due::at(point(&id), read[2]), Due::at(point(&id), read[3])],
        without: vec![("one meter throughout", clean_evidence())],
    }
}

pub fn meter_changed_open() -> Option<Open> {
    one_probe("one probe from the first sample to the last")
}

/// The reading that is miswritten.
fn chosen_in(record: &mut Record) -> &mut MaterialReading {
    let (id, time) = chosen();
    record.readings.iter_mut().find(|one| one.point == id && one.time == time).unwrap()
}

/// Point and time of the first reading of wood, but for a point's first and last, that lies within a fifth of those before
/// and after it.
fn chosen() -> (String, DateTime<Utc>) {
    let house = clean();
    let wood = house.scenario().points.iter().filter(|one| one.role == Role::Drying && one.scale == Scale::Wood);
    let mut found = wood.flat_map(|one| {
        let read: Vec<(DateTime<Utc>, f64)> = house
            .record()
            .readings
            .iter()
            .filter(|read| read.point == one.id)
            .filter_map(|read| match read.value {
                ReadValue::Measured(value) => Some((read.time, value)),
                _ => None,
            })
            .collect();
        let level = |three: &[(DateTime<Utc>, f64)]| {
            [three[0].1, three[2].1].iter().all(|beside| (beside / three[1].1 - 1.0).abs() < 0.2)
        };
        let at = read.windows(3).find(|three| level(three)).map(|three| three[1].0);
        at.map(|at| (one.id.clone(), at))
    });
    found.next().unwrap()
}

/// A reading of a wooden point is written on the other meter's scale.
pub fn other_scale() -> Truth {
    let (id, time) = chosen();
    let with = clean().recorded(|record| {
        let reading = chosen_in(record);
        (reading.scale, reading.meter) = (Scale::Relative, "M2".to_owned());
    });
    Truth { with, due: vec![Due::at(point(&id), time)], without: vec![("one scale a point", clean_evidence())] }
}

pub fn other_scale_open() -> Option<Open> {
    one_probe("one scale, that of its goal")
}

/// The decimal point of a reading slipped.
pub fn implausible() -> Truth {
    let (id, time) = chosen();
    let times = |factor: f64| {
        clean().recorded(|record| {
            let reading = chosen_in(record);
            let ReadValue::Measured(value) = &mut reading.value else { panic!("{reading:?}") };
            *value *= factor;
        })
    };
    Truth {
        with: times(10.0),
        due: vec![Due::at(point(&id), time)],
        without: vec![("as read", clean_evidence()), ("half as much again", times(1.5))],
    }
}

pub fn implausible_open() -> Option<Open> {
    one_probe("from 59 % to 9 %, no sample eight times its neighbours")
}

/// The July job of the first dowel.
fn one_probe(why: &'static str) -> Option<Open> {
    Open::silent(&dowel::LOGS, dowel::job("BC1", 12.0), why).judged_at(dowel::end().unwrap()).present()
}
