//! What the program finds in logs of houses in which nobody opened, swapped or stopped anything that we know of: each
//! finding was looked at on a chart. Skipped with a message where the logs are not there.

#![allow(clippy::print_stdout, reason = "the findings belong into the output of the test")]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use std::fmt::Write as _;

use grainfall_analysis::evidence::FindingKind;
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

/// Kinds and subjects of what is found, by time; every finding is printed.
fn found(job: &str, logs: &[&str]) -> Option<Vec<(FindingKind, String)>> {
    let folder = tempfile::tempdir().unwrap();
    for log in logs {
        std::fs::copy(open_log(log)?, folder.path().join(log)).unwrap();
    }
    std::fs::write(folder.path().join("job.toml"), job).unwrap();
    let findings = judge(folder.path(), None).analysis.evidence.findings;
    for one in &findings {
        println!("{}: {}", one.kind.words(), one.text);
    }
    Some(findings.into_iter().map(|one| (one.kind, one.subject.id().to_owned())).collect())
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
