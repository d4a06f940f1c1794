//! What is there of a logger's record and what is not.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use grainfall_analysis::evidence::Subject;
use grainfall_simulate::scenario::{AirSource, Flag, Scenario, TextColumn};
use grainfall_simulate::scenarios;

use crate::house::{House, clean, clean_evidence, logger, step};
use crate::open::{self, ATLANTA, ATTIC, NEW_YORK, Open, TORONTO};
use crate::proof::{Due, Truth};

/// The entry of the outdoor logger is taken out of the job.
pub fn unplaced() -> Truth {
    let house = clean();
    let serial = house.logger(&AirSource::Outdoor).serial.clone();
    let with = house.with_files(|files| {
        let job = &mut files.iter_mut().find(|(path, _)| path == "job.toml").unwrap().1;
        let line = format!("serial = \"{serial}\"\n");
        let tables: Vec<&str> = job.split("\n[[").filter(|table| !table.contains(&line)).collect();
        *job = tables.join("\n[[");
    });
    let (first, last) = house.samples(&serial);
    Truth {
        with,
        due: vec![Due::between(logger(&serial), first, last)],
        without: vec![("every logger placed", clean_evidence())],
    }
}

/// Of the attic's three loggers one is placed.
pub fn unplaced_open() -> Option<Open> {
    let job = open::job("Etc/GMT-2", &[(ATTIC[1], None, "unaffected", None)]);
    let due = |log: &str| {
        let series = open::attic_series(log)?;
        let id = log.strip_suffix(".csv").unwrap_or(log);
        Some(Due::between(logger(id), series[0].0, series[series.len() - 1].0))
    };
    let due = vec![due(ATTIC[0])?, due(ATTIC[2])?];
    Open::silent(&ATTIC, job, "two of three logs are named by no entry of the job").raised(due).present()
}

/// A hole of a day in the outlet logger of the first unit.
pub fn gap() -> Truth {
    let house = House::of(scenarios::missing_days(1).unwrap());
    let with = house.judged();
    let holed = house.scenario().loggers.iter().find(|logger| !logger.flaws.gaps.is_empty()).unwrap();
    let (from, to) = holed.flaws.gaps[0];
    let subject = crate::house::at_unit(&with, grainfall_analysis::evidence::TrackPlace::Outlet, "D1");
    Truth {
        due: vec![Due::between(subject, from, to).within(step(holed))],
        with,
        without: vec![("a log without a hole", clean_evidence())],
    }
}

/// Local time over both changes of clocks, with the months between cut out: the holes are those of the file's own column in
/// UTC, and the changes of clocks are none.
pub fn gap_open() -> Option<Open> {
    let job = open::job("America/New_York", &[(NEW_YORK, None, "outdoor", None)]);
    let due = new_york_holes()?.into_iter().map(|(station, from, to)| Due::between(station, from, to)).collect();
    Open::silent(&[NEW_YORK], job, "hours without a row").raised(due).present()
}

/// A time without rows: of what, from when, to when.
pub type Hole = (Subject, DateTime<Utc>, DateTime<Utc>);

/// Steps of more than an hour in the column of UTC, by station.
pub fn new_york_holes() -> Option<Vec<Hole>> {
    let text = std::fs::read_to_string(open::path(NEW_YORK)?).unwrap();
    let mut before: BTreeMap<String, DateTime<Utc>> = BTreeMap::new();
    let mut holes = Vec::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (station, time) = (cells[0].to_owned(), cells[14].parse::<DateTime<Utc>>().unwrap());
        if let Some(last) = before.insert(station.clone(), time)
            && time - last > TimeDelta::hours(1)
        {
            let id = format!("{}/{station}", NEW_YORK.strip_suffix(".csv").unwrap());
            holes.push((logger(&id), last, time));
        }
    }
    Some(holes)
}

/// The logger of the unaffected area falls silent on day 4, while equipment stays.
pub fn silent() -> Truth {
    let house = House::of(scenarios::faulty_loggers(1).unwrap());
    let lost = house.logger(&AirSource::Unaffected);
    let (_, last) = house.samples(&lost.serial);
    let gone = house.scenario().stays.iter().filter_map(|stay| stay.removed).max().unwrap();
    Truth {
        with: house.judged(),
        due: vec![Due::between(logger(&lost.serial), last, gone)],
        without: vec![("loggers that stay as long as the equipment", clean_evidence())],
    }
}

/// The month ends on 31 January at 23:00 local standard time; a unit is written down to 5 February.
pub fn silent_open() -> Option<Open> {
    let mut job = open::job("America/Toronto", &[(TORONTO, None, "outdoor", None)]);
    job += "\n[[chamber]]\nid = \"A\"\n";
    job += &open::unit("dehumidifier low-grain", "2013-01-20 12:00", Some("2013-02-05 12:00"));
    let last = Utc.with_ymd_and_hms(2013, 2, 1, 4, 0, 0).unwrap();
    // The report's clock is the last entry of the job's files.
    let end = Utc.with_ymd_and_hms(2013, 2, 5, 17, 0, 0).unwrap();
    let due = vec![Due::between(logger("share_eccc_toronto_hourly_preamble_2013-01"), last, end)];
    Open::silent(&[TORONTO], job, "nothing after the end of the month").raised(due).present()
}

/// Words instead of humidity at two moments of one logger; and at one moment of one of two loggers in a file.
pub fn refused() -> Truth {
    let start = clean().scenario().loggers[0].from;
    let at = [20, 50].map(|hours| start + TimeDelta::hours(hours) + TimeDelta::minutes(1));
    let flagged = |words: &str| {
        let mut scenario = scenarios::clean(1).unwrap();
        let flag = |at| Flag { at, column: TextColumn::Rh, text: words.to_owned() };
        let of = |scenario: &mut Scenario, source: AirSource, flags: Vec<Flag>| {
            scenario.loggers.iter_mut().find(|logger| logger.source == source).unwrap().flaws.flags = flags;
        };
        of(&mut scenario, AirSource::Outdoor, at.map(flag).to_vec());
        of(&mut scenario, AirSource::Outlet("D1".to_owned()), vec![flag(at[0])]);
        House::of(scenario)
    };
    let house = flagged("see note");
    let sample = |source: &AirSource, at: DateTime<Utc>| {
        let samples = &house.record().logger(&house.logger(source).serial).unwrap().samples;
        samples.iter().find(|sample| sample.time >= at).unwrap().stamp
    };
    let outdoor = logger(&house.logger(&AirSource::Outdoor).serial);
    let [first, last] = at.map(|at| sample(&AirSource::Outdoor, at));
    Truth {
        with: house.judged(),
        due: vec![
            Due::between(outdoor, first, last).says(2.0, 0.0),
            // A row of a file of several loggers: the finding does not say of which.
            Due::at(Subject::Job, sample(&AirSource::Outlet("D1".to_owned()), at[0])).says(1.0, 0.0),
        ],
        without: vec![("a word for no value", flagged("NA").judged()), ("numbers alone", clean_evidence())],
    }
}

/// Rows that sum up days and months, and words for no value: none of them is a sample.
pub fn refused_open() -> Option<Open> {
    let job = open::job("America/New_York", &[(ATLANTA, None, "outdoor", None)]);
    Open::silent(&[ATLANTA], job, "every hourly row has its numbers; those of days and months have none").present()
}

/// A second download of the outdoor logger, one row of which is 3 degF warmer.
pub fn contradicting() -> Truth {
    let house = clean();
    let serial = house.logger(&AirSource::Outdoor).serial.clone();
    let samples = &house.record().logger(&serial).unwrap().samples;
    let at = samples.len() / 2;
    let again = |warmer: f64| {
        house.with_files(|files| {
            let text = files.iter().find(|(path, _)| path == "loggers/outdoor.csv").unwrap().1.clone();
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            let head = lines.len() - samples.len();
            let mut cells: Vec<String> = lines[head + at].split(',').map(str::to_owned).collect();
            cells[1] = format!("{:.1}", cells[1].parse::<f64>().unwrap() + warmer);
            lines[head + at] = cells.join(",");
            // Another download ends at another time.
            lines.truncate(lines.len() - 3);
            files.push(("loggers/outdoor-again.csv".to_owned(), lines.join("\n") + "\n"));
        })
    };
    Truth {
        with: again(3.0),
        due: vec![Due::at(logger(&serial), samples[at].stamp).says(1.0, 0.0)],
        without: vec![("a second download that says the same", again(0.0))],
    }
}

/// Three instants stand twice, by the manifest of the logs: the first and the last of them that differ are found.
pub fn contradicting_open() -> Option<Open> {
    let job = open::job("America/New_York", &[(ATLANTA, None, "outdoor", None)]);
    let twice = atlanta_twice()?;
    let (first, last) = (twice[0], twice[twice.len() - 1]);
    let due = vec![Due::between(logger("72219013874"), first, last)];
    Open::silent(&[ATLANTA], job, "two reports of one minute with other temperatures").raised(due).present()
}

/// Instants of hourly rows that stand twice with other temperature or humidity: local standard time, 5 h behind UTC.
fn atlanta_twice() -> Option<Vec<DateTime<Utc>>> {
    let text = std::fs::read_to_string(open::path(ATLANTA)?).unwrap();
    let mut lines = text.lines();
    let cells = |line: &str| -> Vec<String> { line.split(',').map(|cell| cell.trim_matches('"').to_owned()).collect() };
    let head = cells(lines.next().unwrap());
    let column = |name: &str| head.iter().position(|one| one == name).unwrap();
    let (date, temp) = (column("DATE"), column("HourlyDryBulbTemperature"));
    let others = [temp, column("HourlyDewPointTemperature"), column("HourlyRelativeHumidity")];
    let mut known: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut twice = Vec::new();
    for line in lines {
        let row = cells(line);
        let values: Vec<String> = others.iter().map(|column| row[*column].clone()).collect();
        if values[0].is_empty() {
            continue;
        }
        if let Some(before) = known.insert(row[date].clone(), values.clone())
            && before != values
        {
            let local = chrono::NaiveDateTime::parse_from_str(&row[date], "%Y-%m-%dT%H:%M:%S").unwrap();
            twice.push(local.and_utc() + TimeDelta::hours(5));
        }
    }
    Some(twice)
}
