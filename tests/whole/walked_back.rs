//! Every number of a verdict or finding of the sample job, walked back to the line of the file it was taken from: the lines
//! are read here as plain text, by nothing of the program.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::America::Chicago;
use grainfall_analysis::evidence::{DayVerdict, Evidence, Finding, FindingKind, ReadingKind, SourceRow, Subject};
use grainfall_tests::{judge, root};

const FOLDER: &str = "sample-data/larch-street";

/// The lines of every file of the job, read once.
struct Files(BTreeMap<String, Vec<String>>);

impl Files {
    /// A line by its number; empty beyond the end.
    fn line(&mut self, row: &SourceRow) -> String {
        let lines = self.0.entry(row.file.clone()).or_insert_with(|| {
            let text = std::fs::read_to_string(root().join(FOLDER).join(&row.file)).unwrap();
            text.lines().map(str::to_owned).collect()
        });
        lines.get(usize::try_from(row.row).unwrap() - 1).cloned().unwrap_or_default()
    }
}

fn sample() -> (Evidence, Files) {
    (judge(&root().join(FOLDER), None).analysis.evidence, Files(BTreeMap::new()))
}

/// A line of readings.csv: time, point and value as written.
fn reading(line: &str) -> (DateTime<Utc>, String, String) {
    let cells: Vec<&str> = line.split(',').collect();
    (local(cells[0], "%Y-%m-%d %H:%M"), cells[1].to_owned(), cells[2].to_owned())
}

fn local(text: &str, format: &str) -> DateTime<Utc> {
    Chicago.from_local_datetime(&NaiveDateTime::parse_from_str(text, format).unwrap()).unwrap().to_utc()
}

/// The time on a line of a logger's file: the shapes of the sample's exports.
fn stamp(file: &str, line: &str) -> DateTime<Utc> {
    match file {
        "loggers/bathroom.tsv" => line.split('\t').next().unwrap().parse().unwrap(),
        "loggers/d1-channels.csv" => local(line.split(';').next().unwrap(), "%Y-%m-%dT%H:%M:%S"),
        _ => local(line.split(',').next().unwrap(), "%m/%d/%Y %I:%M %p"),
    }
}

#[test]
fn every_reading_stands_on_its_line() {
    let (evidence, mut files) = sample();
    let mut walked = 0;
    for point in &evidence.points {
        for one in point.readings.iter().filter(|one| one.row.file == "readings.csv") {
            let (time, id, value) = reading(&files.line(&one.row));
            assert_eq!((time, id.as_str()), (one.time, point.id.as_str()));
            match one.kind {
                ReadingKind::Measured { value: read } => assert!((value.parse::<f64>().unwrap() - read).abs() < 1e-12),
                ReadingKind::Above { value: read } => assert_eq!(value, format!(">{read}")),
                ReadingKind::OverRange | ReadingKind::NoReading { .. } => assert!(value.parse::<f64>().is_err()),
            }
            walked += 1;
        }
        if let (Some(row), Some(met_at), Some(goal)) = (&point.met_row, point.met_at, &point.goal) {
            let (time, id, value) = reading(&files.line(row));
            assert_eq!((time, id.as_str()), (met_at, point.id.as_str()));
            assert!(value.parse::<f64>().unwrap() <= goal.value, "{}: {value}", point.id);
        }
    }
    assert!(walked > 50, "{walked}");
}

/// `needed` by a point names that point's reading, above its goal; `not needed` names for each point a reading that met it
/// before the period.
#[test]
fn every_verdict_rests_on_lines_that_bear_it_out() {
    let (evidence, mut files) = sample();
    let goal = |id: &str| evidence.points.iter().find(|point| point.id == id).unwrap().goal.as_ref().unwrap().value;
    let mut walked = BTreeMap::<DayVerdict, usize>::new();
    for day in evidence.equipment.iter().flat_map(|unit| &unit.stays).flat_map(|stay| &stay.days) {
        let rows: Vec<_> = day.rows.iter().map(|row| reading(&files.line(row))).collect();
        let number = |value: &str| value.trim_start_matches('>').parse::<f64>().unwrap();
        match day.verdict {
            DayVerdict::Needed if !day.by_pull_window => {
                let ids: Vec<&str> = rows.iter().map(|(_, id, _)| id.as_str()).collect();
                let mut load: Vec<&str> = day.load_points.iter().map(String::as_str).collect();
                load.sort_unstable();
                let mut sorted = ids.clone();
                sorted.sort_unstable();
                assert_eq!(sorted, load, "{}", day.why);
                assert!(rows.iter().all(|(_, id, value)| number(value) > goal(id)), "{}", day.why);
                let quoted = |(_, id, value): &(_, String, String)| {
                    let value =
                        value.strip_prefix('>').map_or_else(|| value.clone(), |bound| format!("more than {bound}"));
                    day.why.contains(&format!("{id} read {value} "))
                };
                assert!(rows.iter().any(quoted), "{}", day.why);
            }
            DayVerdict::NotNeeded => {
                assert!(rows.iter().all(|(time, id, value)| *time <= day.from && number(value) <= goal(id)));
                let last = rows.iter().max_by_key(|(time, ..)| *time).unwrap();
                assert!(day.why.contains(&format!("{} closed", last.1)), "{}", day.why);
            }
            _ => continue,
        }
        *walked.entry(day.verdict).or_default() += 1;
    }
    assert!(walked[&DayVerdict::Needed] > 50 && walked[&DayVerdict::NotNeeded] >= 4, "{walked:?}");
}

/// The lines a finding names are about what it is about, and of its time.
#[test]
fn every_finding_is_found_again_in_the_lines_it_names() {
    let (evidence, mut files) = sample();
    assert!(evidence.findings.len() >= 4);
    for one in &evidence.findings {
        assert!(!one.rows.is_empty(), "{}", one.text);
        for row in &one.rows {
            let line = files.line(row);
            assert!(about(&evidence, one, row, &line), "{}\n{} line {}: {line}", one.text, row.file, row.row);
        }
    }
}

fn about(evidence: &Evidence, one: &Finding, row: &SourceRow, line: &str) -> bool {
    let end = one.to.unwrap_or(one.from);
    // A stop lies between the samples around it.
    let near = TimeDelta::minutes(15);
    let in_time = |time: DateTime<Utc>| one.from - near <= time && time <= end + near;
    let unit = |id: &str| evidence.unit_air.iter().find(|air| air.unit == id);
    match (&one.subject, row.file.as_str()) {
        (Subject::Logger(id), file) => {
            let logger = evidence.loggers.iter().find(|facts| facts.logger == *id).unwrap();
            logger.files.iter().any(|known| known == file) && in_time(stamp(file, line))
        }
        // What is written of a unit in job.toml.
        (Subject::Unit(_), "job.toml") => line.contains("billed_days") || line.starts_with("[[equipment]]"),
        // Every reading that closed a point it served, before it was no longer called for.
        (Subject::Unit(_), "readings.csv") if one.kind == FindingKind::EquipmentAfterGoals => {
            reading(line).0 <= one.from
        }
        (Subject::Unit(id), file) => {
            let labels = unit(id).map(|air| [air.inlet.clone(), air.outlet.iter().cloned().collect()].concat());
            let of_unit = |facts: &&grainfall_analysis::evidence::LoggerFacts| {
                labels.as_ref().is_some_and(|labels| labels.contains(&facts.label))
            };
            evidence.loggers.iter().filter(of_unit).any(|facts| facts.files.iter().any(|known| known == file))
                && in_time(stamp(file, line))
        }
        (Subject::Point(id), "readings.csv") => reading(line).1 == *id && in_time(reading(line).0),
        (Subject::Job | Subject::Chamber(_) | Subject::Point(_), _) => true,
    }
}

/// The least and greatest temperature of a day stand between the lines that the day names.
#[test]
fn daily_extremes_stand_on_lines_of_that_day() {
    let (evidence, mut files) = sample();
    let mut walked = 0;
    for day in evidence.daily_air.iter().filter(|day| day.label == "outdoor" || day.label == "unaffected") {
        let (Some((first, last)), Some(temp)) = (&day.rows, day.air_temp_c) else { continue };
        let mut celsius = |row: u64| {
            let line = files.line(&SourceRow { file: first.file.clone(), row });
            line.split(',').nth(1)?.parse::<f64>().ok().map(|fahrenheit| (fahrenheit - 32.0) / 1.8)
        };
        let of_day: Vec<f64> = (first.row..=last.row).filter_map(&mut celsius).collect();
        // The samples on either side stand for the first and last minutes of the day.
        let sides: Vec<f64> = [first.row - 1, last.row + 1].into_iter().filter_map(&mut celsius).collect();
        let stands = |value: f64| of_day.iter().chain(&sides).any(|one| (one - value).abs() < 1e-9);
        assert!(stands(temp.min) && stands(temp.max), "{day:?}");
        assert!(of_day.iter().all(|one| (temp.min - 1e-9..=temp.max + 1e-9).contains(one)), "{day:?}");
        walked += 1;
    }
    assert!(walked >= 14, "{walked}");
}
