//! Each rule of judgement as a small named case: folders in `tests/cases`, explained in the README there.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use std::fs;
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDateTime, TimeZone, Utc};
use grainfall_analysis::evidence::{Evidence, GoalVerdict, ReadingKind};
use grainfall_job::Job;
use grainfall_tests::claims::broken;
use grainfall_tests::{judge, root};

#[test]
fn every_case_is_judged_as_its_rule_says() {
    let mut faults = Vec::new();
    let cases = folders();
    assert!(cases.len() >= 20, "{} cases", cases.len());
    for folder in &cases {
        let name = folder.file_name().unwrap().to_string_lossy();
        let statements = statements(folder);
        assert!(!statements.is_empty(), "{name}: expected.txt states nothing");
        let (job, evidence) = judged(folder, &statements);
        faults.extend(broken(folder, &evidence).into_iter().map(|fault| format!("{name}: {fault}")));
        for (subject, expected) in statements.iter().filter(|(subject, _)| subject != "as of") {
            match said(&job, &evidence, subject, expected) {
                None => faults.push(format!("{name}: `{subject}` is no statement; tests/cases/README.md lists them")),
                Some(said) if said != *expected => {
                    faults.push(format!("{name}: {subject}\n    expected {expected}\n    said     {said}"));
                }
                Some(_) => {}
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn folders() -> Vec<PathBuf> {
    let entries = fs::read_dir(root().join("tests/cases")).unwrap().map(|entry| entry.unwrap().path());
    let mut folders: Vec<PathBuf> = entries.filter(|path| path.is_dir()).collect();
    folders.sort();
    folders
}

/// Statements of a case: what each is about, and what must be said.
fn statements(folder: &Path) -> Vec<(String, String)> {
    fs::read_to_string(folder.join("expected.txt"))
        .unwrap()
        .lines()
        .filter(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .map(|line| {
            let (subject, expected) = line
                .split_once(": ")
                .or(line.strip_suffix(':').map(|subject| (subject, "")))
                .unwrap_or_else(|| panic!("{}: {line}", folder.display()));
            (subject.trim().to_owned(), expected.trim().to_owned())
        })
        .collect()
}

/// The case read and judged without its expectations beside it.
fn judged(folder: &Path, statements: &[(String, String)]) -> (Job, Evidence) {
    let copy = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap();
        if name != "expected.txt" {
            fs::copy(&path, copy.path().join(name)).unwrap();
        }
    }
    let job = grainfall_job::load(copy.path()).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let as_of = statements.iter().find(|(subject, _)| subject == "as of").map(|(_, time)| instant(&job, time));
    let judged = judge(copy.path(), as_of);
    (judged.job, judged.analysis.evidence)
}

fn instant(job: &Job, text: &str) -> DateTime<Utc> {
    let local = NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap();
    job.zone.tz.from_local_datetime(&local).single().unwrap().to_utc()
}

fn wall(job: &Job, time: DateTime<Utc>) -> String {
    time.with_timezone(&job.zone.tz).format("%Y-%m-%d %H:%M").to_string()
}

/// What the program says of a subject, in the words of the README; `None` when there is no such statement.
fn said(job: &Job, evidence: &Evidence, subject: &str, expected: &str) -> Option<String> {
    let verdict = |verdict: GoalVerdict, at: Option<DateTime<Utc>>| match (verdict, at) {
        (GoalVerdict::Met, Some(at)) => format!("met {}", wall(job, at)),
        _ => verdict.words().to_owned(),
    };
    let nothing = || "nothing of that name".to_owned();
    if subject == "job" {
        return Some(evidence.verdict.words().to_owned());
    }
    if subject == "clock" {
        return Some(wall(job, evidence.clock));
    }
    if subject == "days" {
        return Some(evidence.days.len().to_string());
    }
    if subject == "can leave" {
        let units: Vec<String> = evidence.can_leave().into_iter().flat_map(|group| group.units).collect();
        return Some(if units.is_empty() { "none".to_owned() } else { units.join(", ") });
    }
    if let Some(id) = subject.strip_prefix("dry standard ") {
        let point = evidence.points.iter().find(|point| point.id == id);
        return Some(point.and_then(|point| point.dry_standard.as_ref()).map_or_else(nothing, |one| short(one.value)));
    }
    if let Some(id) = subject.strip_prefix("did not run ") {
        let unit = evidence.equipment.iter().find(|unit| unit.unit == id);
        return Some(unit.map_or_else(nothing, |unit| format!("{} h", short(unit.totals.did_not_run_h))));
    }
    if let Some(rest) = subject.strip_prefix("release ") {
        return Some(release(job, evidence, rest, expected));
    }
    if let Some(rest) = subject.strip_prefix("finding ") {
        return Some(finding(job, evidence, rest, expected));
    }
    if let Some(id) = subject.strip_prefix("could go by capacity ") {
        let leave = evidence.earliest_leaves.iter().find(|leave| leave.unit == id);
        return Some(
            leave.map_or_else(nothing, |leave| leave.capacity.map_or_else(|| "none".to_owned(), |at| wall(job, at))),
        );
    }
    if let Some(rest) = subject.strip_prefix("called for ") {
        return Some(called_for(evidence, rest));
    }
    if let Some(id) = subject.strip_prefix("could go ") {
        let leave = evidence.earliest_leaves.iter().find(|leave| leave.unit == id);
        return Some(
            leave.map_or_else(nothing, |leave| leave.goals_met.map_or_else(|| "none".to_owned(), |at| wall(job, at))),
        );
    }
    let (what, id) = subject.split_once(' ')?;
    Some(match what {
        "chamber" => {
            let chamber = evidence.chambers.iter().find(|chamber| chamber.id == id);
            chamber.map_or_else(nothing, |chamber| verdict(chamber.verdict, chamber.met_at))
        }
        "ended" => {
            let chamber = evidence.chambers.iter().find(|chamber| chamber.id == id);
            chamber.map_or_else(nothing, |chamber| chamber.ended_points.join(", "))
        }
        "moved" => {
            let chamber = evidence.chambers.iter().find(|chamber| chamber.id == id);
            chamber.map_or_else(nothing, |chamber| chamber.moved_points.join(", "))
        }
        "bias" => {
            let logger = evidence.loggers.iter().find(|logger| logger.logger == id);
            logger.and_then(|logger| logger.bias.as_ref()).map_or_else(nothing, |bias| {
                format!("{}{}", short(bias.rh_pct), if bias.applied { ", taken off" } else { "" })
            })
        }
        "reading" => reading(job, evidence, id),
        "lacks" => lacks(evidence, id),
        "depression" => depression(evidence, id),
        "point" => {
            let point = evidence.points.iter().find(|point| point.id == id);
            point.map_or_else(nothing, |point| verdict(point.verdict, point.met_at))
        }
        "goal" => {
            let point = evidence.points.iter().find(|point| point.id == id);
            point.and_then(|point| point.goal.as_ref()).map_or_else(|| "none".to_owned(), |goal| short(goal.value))
        }
        "unit" => {
            let unit = evidence.equipment.iter().find(|unit| unit.unit == id);
            let days = unit.into_iter().flat_map(|unit| &unit.stays).flat_map(|stay| &stay.days);
            days.map(|day| day.verdict.words()).collect::<Vec<_>>().join(", ")
        }
        "billed" => {
            let (id, stay) =
                id.split_once(" stay ").map_or((id, None), |(id, number)| (id, number.parse::<usize>().ok()));
            let unit = evidence.equipment.iter().find(|unit| unit.unit == id);
            let billed = unit.and_then(|unit| match stay {
                None => unit.billed.as_ref(),
                Some(number) => unit.stays.get(number.checked_sub(1)?)?.billed.as_ref(),
            });
            billed.map_or_else(nothing, |billed| {
                format!("{}, recorded {}", short(billed.billed_days), billed.recorded_days)
            })
        }
        _ => return None,
    })
}

/// A reading of a point at a time, as it counts, to two decimals.
fn reading(job: &Job, evidence: &Evidence, id: &str) -> String {
    let found = id.split_once(' ').and_then(|(point, time)| {
        let point = evidence.points.iter().find(|one| one.id == point)?;
        let reading = point.readings.iter().find(|reading| wall(job, reading.time) == time)?;
        match reading.kind {
            ReadingKind::Measured { value } => Some(format!("{value:.2}")),
            ReadingKind::Above { value } => Some(format!("above {value:.2}")),
            _ => None,
        }
    });
    found.unwrap_or_else(|| "nothing of that name".to_owned())
}

/// What the simple method calls for in a chamber, beside what stood there.
fn called_for(evidence: &Evidence, rest: &str) -> String {
    let row = evidence.sizing.iter().find(|row| format!("{} {}", row.chamber, row.what.words()) == rest);
    row.map_or_else(
        || "nothing of that name".to_owned(),
        |row| {
            let on_site = row.on_site.map_or_else(|| "not shown".to_owned(), short);
            format!("{} to {}, on site {on_site}", short(row.low), short(row.high))
        },
    )
}

/// What the log of a chamber's day lacks.
fn lacks(evidence: &Evidence, id: &str) -> String {
    let day = evidence.completeness.iter().find(|day| format!("{} {}", day.chamber, day.date) == id);
    day.map_or_else(
        || "nothing of that name".to_owned(),
        |day| {
            let lacking = day.entries.iter().filter(|entry| !entry.present);
            lacking.map(|entry| entry.kind.words()).collect::<Vec<_>>().join(", ")
        },
    )
}

/// A unit's depression of a day beside the load.
fn depression(evidence: &Evidence, id: &str) -> String {
    let day = id.split_once(' ').and_then(|(unit, date)| {
        let air = evidence.unit_air.iter().find(|air| air.unit == unit)?;
        air.daily.iter().find(|day| day.date.to_string() == date)
    });
    day.map_or_else(|| "nothing of that name".to_owned(), |day| day.against_load.words().to_owned())
}

/// A number without zeros at its end.
fn short(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn release(job: &Job, evidence: &Evidence, rest: &str, expected: &str) -> String {
    let id = rest.strip_suffix(" says").unwrap_or(rest);
    let Some(release) = evidence.releases.iter().find(|release| release.chambers.iter().any(|one| one == id)) else {
        return "nothing of that name".to_owned();
    };
    if rest.ends_with(" says") {
        let text = [&release.sentences[..], &release.rests_on[..]].concat().join(" ");
        return if text.contains(expected) { expected.to_owned() } else { text };
    }
    release.from.map_or_else(|| "none".to_owned(), |from| wall(job, from))
}

fn finding(job: &Job, evidence: &Evidence, rest: &str, expected: &str) -> String {
    let (kind, id) = rest.split_once(' ').map_or((rest, None), |(kind, id)| (kind, Some(id)));
    let found = evidence.findings.iter().find(|finding| {
        serde_json::to_value(finding.kind).unwrap().as_str() == Some(kind)
            && id.is_none_or(|id| finding.subject.id() == id)
    });
    match found {
        None => "none".to_owned(),
        Some(_) if expected == "found" => expected.to_owned(),
        Some(finding) => wall(job, finding.from),
    }
}
