//! Surfaces near the dew point, and humid ones. The simulator has no logger on a surface: the job is written out here.

use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Evidence, Subject};

use crate::house::{self, logger};
use crate::open::{self, ATTIC, Open};
use crate::proof::{Due, Truth};

fn start() -> DateTime<Utc> {
    "2025-06-02T00:00:00Z".parse().unwrap()
}

/// A room at 80 degF and 60 %, whose dew point is 64.88 degF (psychrolib 2.5.0), and a probe on a surface: by the ten
/// minutes, for as many steps each.
fn room_and_surface(steps: &[(usize, f64)]) -> Arc<Evidence> {
    let surface: Vec<f64> = steps.iter().flat_map(|(count, temp)| vec![*temp; *count]).collect();
    let log = |head: &str, row: &dyn Fn(usize) -> String| {
        let mut text = head.to_owned();
        for (at, time) in times().take(surface.len()).enumerate() {
            text += &format!("{},{}\n", time.format("%Y-%m-%d %H:%M"), row(at));
        }
        text
    };
    judged(vec![
        ("room.csv", log("Serial: K1\nTime,Temp (F),RH (%)\n", &|_| "80.0,60.0".to_owned())),
        ("wall.csv", log("Serial: K2\nTime,Surface Temp (F)\n", &|at| format!("{:.1}", surface[at]))),
    ])
}

fn times() -> impl Iterator<Item = DateTime<Utc>> {
    (0..).map(|step| start() + TimeDelta::minutes(10 * step))
}

fn judged(logs: Vec<(&str, String)>) -> Arc<Evidence> {
    let mut job = "[job]\ntime_zone = \"UTC\"\nelevation = \"0 m\"\n\n[[chamber]]\nid = \"A\"\n".to_owned();
    for (serial, place) in [("K1", "affected"), ("K2", "surface")] {
        job += &format!("\n[[logger]]\nserial = \"{serial}\"\nplace = \"{place}\"\nchamber = \"A\"\n");
    }
    let mut files: Vec<(String, String)> = logs.into_iter().map(|(name, text)| (name.to_owned(), text)).collect();
    files.push(("job.toml".to_owned(), job));
    house::judged(&files)
}

/// Six hours clear of the dew point, three below it, six clear.
pub fn at_dew_point() -> Truth {
    let (from, to) = (start() + TimeDelta::hours(6), start() + TimeDelta::minutes(9 * 60 - 10));
    Truth {
        with: room_and_surface(&[(36, 71.0), (18, 64.0), (36, 71.0)]),
        due: vec![Due::between(logger("K2"), from, to).says(3.0, 0.05)],
        without: vec![("a surface 6 degF above", room_and_surface(&[(90, 71.0)]))],
    }
}

/// Six hours clear of it, three a degree above it, six clear; 5.6 degF (3.1 degC) above is clear.
pub fn near_dew_point() -> Truth {
    let (from, to) = (start() + TimeDelta::hours(6), start() + TimeDelta::minutes(9 * 60 - 10));
    Truth {
        with: room_and_surface(&[(36, 71.0), (18, 66.0), (36, 71.0)]),
        due: vec![Due::between(logger("K2"), from, to).says(3.0, 0.05)],
        without: vec![
            ("a surface 5.6 degF above", room_and_surface(&[(90, 70.5)])),
            ("half an hour", room_and_surface(&[(36, 71.0), (3, 66.0), (36, 71.0)])),
        ],
    }
}

/// A surface at 22 degC with 85 % for ten hours and 70 % before and after: above 20 degC the critical humidity is 80 %
/// (Hukka and Viitanen 1999, Wood Science and Technology 33:475-485).
pub fn above_critical() -> Truth {
    let humid = |hours: usize| {
        let rows = times().take(6 * 24).enumerate().map(|(at, time)| {
            let rh = if (36..36 + 6 * hours).contains(&at) { 85.0 } else { 70.0 };
            format!("{},22.0,{rh:.1}\n", time.format("%Y-%m-%d %H:%M"))
        });
        let rows: String = rows.collect();
        judged(vec![("wall.csv", format!("Serial: K2\nTime,Temp (C),RH (%)\n{rows}"))])
    };
    let last = times().nth(6 * 24 - 1).unwrap();
    Truth {
        with: humid(10),
        due: vec![Due::between(logger("K2"), start(), last).says(10.0, 0.2)],
        without: vec![("70 % throughout", humid(0))],
    }
}

/// A probe under a roof beside the air of its house: hours counted again from the files, and the samples at their ends.
fn attic(counted: impl Fn(f64) -> bool, why: &'static str) -> Option<Open> {
    let loggers = [(ATTIC[0], None, "surface", Some("A")), (ATTIC[1], None, "affected", Some("A"))];
    let job = open::job("Etc/GMT-2", &loggers);
    let (surface, room) = (open::attic_series(ATTIC[0])?, open::attic_series(ATTIC[1])?);
    let room: std::collections::BTreeMap<_, _> = room.into_iter().map(|(time, temp, rh)| (time, (temp, rh))).collect();
    let above = |(time, temp, _): &(DateTime<Utc>, f64, f64)| {
        room.get(time).map(|(room_temp, rh)| temp - open::dew_point_c(*room_temp, *rh))
    };
    let hit: Vec<DateTime<Utc>> =
        surface.iter().filter(|sample| above(sample).is_some_and(&counted)).map(|sample| sample.0).collect();
    due(why, job, hit, &surface)
}

#[allow(clippy::cast_precision_loss, reason = "hours of nine months")]
fn due(why: &'static str, job: String, hit: Vec<DateTime<Utc>>, _all: &[(DateTime<Utc>, f64, f64)]) -> Option<Open> {
    let hours = hit.len() as f64;
    // A sample is an hour; a tenth of a kelvin at the threshold moves a few of them.
    let due = Due::between(attic_probe(), hit[0], hit[hit.len() - 1])
        .within(TimeDelta::hours(2))
        .says(hours, 0.02 * hours + 1.0);
    Open::silent(&[ATTIC[0], ATTIC[1]], job, why).raised(vec![due]).present()
}

fn attic_probe() -> Subject {
    logger(ATTIC[0].strip_suffix(".csv").unwrap())
}

pub fn at_dew_point_open() -> Option<Open> {
    attic(|k| k <= 0.0, "in winter the roof is colder than the dew point of the rooms below")
}

pub fn near_dew_point_open() -> Option<Open> {
    attic(|k| k > 0.0 && k < 3.0, "in autumn and spring it is a little warmer than that")
}

/// Above 0 degC and the critical curve of Hukka and Viitanen (1999), 80 % above 20 degC.
pub fn above_critical_open() -> Option<Open> {
    let loggers = [(ATTIC[0], None, "surface", Some("A")), (ATTIC[1], None, "affected", Some("A"))];
    let surface = open::attic_series(ATTIC[0])?;
    let critical = |temp: f64| match temp {
        t if t > 20.0 => 80.0,
        t => (-0.002_67 * t.powi(3) + 0.160 * t.powi(2) - 3.13 * t + 100.0).max(80.0),
    };
    let hours = surface.iter().filter(|(_, temp, rh)| *temp > 0.0 && *rh >= critical(*temp)).count();
    #[allow(clippy::cast_precision_loss)]
    let hours = hours as f64;
    let due = Due::between(attic_probe(), surface[0].0, surface[surface.len() - 1].0).says(hours, 0.02 * hours + 1.0);
    let why = "the probe reads 80 to 90 % for months";
    Open::silent(&[ATTIC[0], ATTIC[1]], open::job("Etc/GMT-2", &loggers), why).raised(vec![due]).present()
}
