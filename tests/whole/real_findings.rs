//! What the program finds in logs of houses in which nobody opened, swapped or stopped anything that we know of: each
//! finding was looked at on a chart. Skipped with a message where the logs are not there.

#![allow(clippy::print_stdout, reason = "the findings belong into the output of the test")]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Finding, FindingKind};
use grainfall_tests::{judge, open_log};

/// A job with each of these loggers (file, channel) in its place and chamber.
fn job(zone: &str, loggers: &[(&str, Option<&str>, &str, Option<&str>)]) -> String {
    let mut job = format!("[job]\ntitle = \"open logs\"\ntime_zone = \"{zone}\"\nelevation = \"10 m\"\n");
    let mut chambers: Vec<&str> = loggers.iter().filter_map(|(.., chamber)| *chamber).collect();
    chambers.sort_unstable();
    chambers.dedup();
    for chamber in chambers {
        write!(job, "\n[[chamber]]\nid = \"{chamber}\"\n").unwrap();
    }
    for (file, channel, place, chamber) in loggers {
        write!(job, "\n[[logger]]\nfile = \"{file}\"\nplace = \"{place}\"\n").unwrap();
        for (key, value) in [("channel", channel), ("chamber", chamber)] {
            if let Some(value) = value {
                writeln!(job, "{key} = \"{value}\"").unwrap();
            }
        }
    }
    job
}

/// Kinds and subjects of what is found, by time.
fn found(job: &str, logs: &[&str]) -> Option<Vec<(FindingKind, String)>> {
    let findings = findings(job, logs)?;
    Some(findings.into_iter().map(|one| (one.kind, one.subject.id().to_owned())).collect())
}

/// What is found, by time; every finding is printed.
fn findings(job: &str, logs: &[&str]) -> Option<Vec<Finding>> {
    let folder = tempfile::tempdir().unwrap();
    for log in logs {
        std::fs::copy(open_log(log)?, folder.path().join(log)).unwrap();
    }
    std::fs::write(folder.path().join("job.toml"), job).unwrap();
    let findings = judge(folder.path(), None).analysis.evidence.findings;
    for one in &findings {
        println!("{}: {}", one.kind.words(), one.text);
    }
    Some(findings)
}

/// TRH-database and Finnish Meteorological Institute open data (CC BY 4.0), nine months by the hour without a gap.
#[test]
fn nothing_is_found_in_the_attic() {
    let logs = [
        "share_attic_drying_point_hourly_utc+2.csv",
        "share_attic_indoor_hourly_utc+2.csv",
        "share_attic_outdoor_hourly_utc+2.csv",
    ];
    let loggers =
        [(logs[0], None, "affected", Some("A")), (logs[1], None, "unaffected", None), (logs[2], None, "outdoor", None)];
    let Some(found) = found(&job("Etc/GMT-2", &loggers), &logs) else { return };
    assert_eq!(found, []);
}

const HOUSE: &str = "share_house_wide_9rooms.csv";

/// UCI `Appliances energy prediction` (CC BY 4.0): 1 500 rows of a house in Belgium drawn at random from six weeks by the
/// ten minutes, so that every logger has hundreds of gaps; nothing else happened that its charts show.
const GAPS_OF: [&str; 10] = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "out"];

fn only_gaps() -> Vec<(FindingKind, String)> {
    GAPS_OF.iter().map(|channel| (FindingKind::LoggerGap, format!("share_house_wide_9rooms/{channel}"))).collect()
}

/// Every room a chamber of its own; channel 6 hangs outdoors, `out` is the nearest airport.
#[test]
fn only_gaps_are_found_in_nine_rooms_each_by_itself() {
    let rooms =
        [("1", "R1"), ("2", "R2"), ("3", "R3"), ("4", "R4"), ("5", "R5"), ("7", "R7"), ("8", "R8"), ("9", "R9")];
    let mut loggers: Vec<_> =
        rooms.iter().map(|(channel, room)| (HOUSE, Some(*channel), "affected", Some(*room))).collect();
    loggers.extend(["6", "out"].map(|channel| (HOUSE, Some(channel), "outdoor", None)));
    let Some(found) = found(&job("Europe/Brussels", &loggers), &[HOUSE]) else { return };
    assert_eq!(found, only_gaps());
}

/// The ground floor as one chamber, the upper floor unaffected.
#[test]
fn only_gaps_are_found_in_nine_rooms_by_floor() {
    let mut loggers: Vec<_> =
        ["1", "3", "4", "5"].map(|channel| (HOUSE, Some(channel), "affected", Some("A"))).to_vec();
    loggers.extend(["2", "7", "8", "9"].map(|channel| (HOUSE, Some(channel), "unaffected", None)));
    loggers.extend(["6", "out"].map(|channel| (HOUSE, Some(channel), "outdoor", None)));
    let Some(found) = found(&job("Europe/Brussels", &loggers), &[HOUSE]) else { return };
    assert_eq!(found, only_gaps());
}

/// All rooms as one chamber: nothing but the gaps, though the rooms differ.
#[test]
fn only_gaps_are_found_in_nine_rooms_as_one() {
    let mut loggers: Vec<_> =
        ["1", "2", "3", "4", "5", "7", "8", "9"].map(|channel| (HOUSE, Some(channel), "affected", Some("A"))).to_vec();
    loggers.extend(["6", "out"].map(|channel| (HOUSE, Some(channel), "outdoor", None)));
    let Some(found) = found(&job("Europe/Brussels", &loggers), &[HOUSE]) else { return };
    assert_eq!(found, only_gaps());
}

/// Environment and Climate Change Canada (Open Government Licence - Canada 2.0): January by the hour, nothing missing.
#[test]
fn nothing_is_found_in_a_month_of_weather() {
    let log = "share_eccc_toronto_hourly_preamble_2013-01.csv";
    let Some(found) = found(&job("America/Toronto", &[(log, None, "outdoor", None)]), &[log]) else { return };
    assert_eq!(found, []);
}

/// NOAA Local Climatological Data (public domain): routine reports and special ones at irregular minutes, three instants of
/// which stand there twice.
#[test]
fn irregular_reports_that_contradict_each_other_are_found() {
    let log = "share_noaa_lcd_atlanta_degF_wetbulb.csv";
    let Some(found) = found(&job("America/New_York", &[(log, None, "outdoor", None)]), &[log]) else { return };
    assert_eq!(found, [(FindingKind::RowsContradict, "72219013874".to_owned())]);
}

/// Three airports of New York in March and November 2013 (CC0, nycflights13): local time over both changes of clocks, with
/// the months between cut out. The holes are those of the file's own column in UTC; the changes of clocks are none, and the
/// cut of seven months is the one step that no log bridges.
#[test]
fn holes_of_three_weather_stations_are_found_and_changes_of_clocks_are_not() {
    let log = "share_nyc_weather_degF_dst_mar_nov_2013.csv";
    let Some(path) = open_log(log) else { return };
    let text = std::fs::read_to_string(path).unwrap();
    let mut holes: Vec<(DateTime<Utc>, DateTime<Utc>)> = Vec::new();
    let mut before: Option<(&str, DateTime<Utc>)> = None;
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (station, time) = (cells[0], cells[14].parse::<DateTime<Utc>>().unwrap());
        if let Some((_, last)) = before.filter(|(known, last)| *known == station && time - *last > TimeDelta::hours(1))
        {
            holes.push((last, time));
        }
        before = Some((station, time));
    }
    holes.sort_unstable();
    let Some(found) = findings(&job("America/New_York", &[(log, None, "outdoor", None)]), &[log]) else { return };
    let spans = |kind| -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
        let mut spans: Vec<_> =
            found.iter().filter(|one| one.kind == kind).map(|one| (one.from, one.to.unwrap_or(one.from))).collect();
        spans.sort_unstable();
        spans
    };
    assert_eq!(spans(FindingKind::LoggerGap), holes);
    let cut: Vec<DateTime<Utc>> =
        holes.iter().filter(|(from, to)| *to - *from > TimeDelta::days(30)).map(|(from, _)| *from).collect();
    assert_eq!(cut.len(), 3);
    assert_eq!(spans(FindingKind::ClockReset).iter().map(|(from, _)| *from).collect::<Vec<_>>(), cut);
    assert_eq!(found.len(), holes.len() + cut.len(), "nothing else");
}

/// The point between insulation and building paper of that attic as a surface beside the indoor air: colder than the dew
/// point of that air all winter (nothing stopped it from getting there but the air barrier), and mould-critical for hours
/// only. The hours are counted again from the files: dew points by Magnus' formula over water (WMO-No. 8 form, from
/// memory), which is off by up to 0.1 K; the critical curve of Hukka and Viitanen (1999), 80 % above 20 degC.
#[test]
fn the_hours_at_the_dew_point_and_above_the_critical_curve_are_those_of_the_attic() {
    let logs = ["share_attic_drying_point_hourly_utc+2.csv", "share_attic_indoor_hourly_utc+2.csv"];
    let loggers = [(logs[0], None, "surface", Some("A")), (logs[1], None, "affected", Some("A"))];
    let Some(found) = findings(&job("Etc/GMT-2", &loggers), &logs) else { return };
    let read = |log: &str| -> BTreeMap<String, (f64, f64)> {
        let text = std::fs::read_to_string(open_log(log).unwrap()).unwrap();
        let rows = text.lines().skip(1).map(|line| line.split(',').collect::<Vec<_>>());
        rows.map(|cells| (cells[0].to_owned(), (cells[1].parse().unwrap(), cells[2].parse().unwrap()))).collect()
    };
    let (surface, room) = (read(logs[0]), read(logs[1]));
    let dew_point = |(temp, rh): (f64, f64)| {
        let log = (rh / 100.0).ln() + 17.62 * temp / (243.12 + temp);
        243.12 * log / (17.62 - log)
    };
    let above: Vec<f64> =
        surface.iter().filter_map(|(time, here)| Some(here.0 - dew_point(*room.get(time)?))).collect();
    let critical = |temp: f64| match temp {
        t if t > 20.0 => 80.0,
        t => (-0.002_67 * t.powi(3) + 0.160 * t.powi(2) - 3.13 * t + 100.0).max(80.0),
    };
    let mouldy = surface.values().filter(|(temp, rh)| *temp > 0.0 && *rh >= critical(*temp)).count();
    let counted = [
        (FindingKind::SurfaceAtDewPoint, above.iter().filter(|k| **k <= 0.0).count()),
        (FindingKind::SurfaceNearDewPoint, above.iter().filter(|k| **k > 0.0 && **k < 3.0).count()),
        (FindingKind::SurfaceAboveCritical, mouldy),
    ];
    for (kind, hours) in counted {
        let text = &found.iter().find(|one| one.kind == kind).unwrap().text;
        let said: f64 = text.split(": ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        #[allow(clippy::cast_precision_loss)]
        let hours = hours as f64;
        // A sample is an hour; a tenth of a kelvin at the threshold moves a few of them.
        assert!((said - hours).abs() <= 0.02 * hours + 1.0, "{text}: {hours}");
    }
    assert_eq!(found.len(), counted.len());
}
