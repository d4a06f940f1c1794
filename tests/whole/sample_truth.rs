//! The sample job against what is truly so: the generator's truth, written by rules of its own in `grainfall-simulate`.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{DayVerdict, Evidence, GoalVerdict, RunState};
use grainfall_tests::{judge, root};
use serde_json::Value;

fn sample() -> (Evidence, Value) {
    let judged = judge(&root().join("sample-data/larch-street"), None);
    let truth = std::fs::read_to_string(root().join("sample-data/larch-street.truth.json")).unwrap();
    (judged.analysis.evidence, serde_json::from_str(&truth).unwrap())
}

fn list<'a>(value: &'a Value, key: &str) -> &'a Vec<Value> {
    value[key].as_array().unwrap()
}

fn time(value: &Value) -> DateTime<Utc> {
    value.as_str().unwrap().parse().unwrap()
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap()
}

#[test]
fn every_equipment_day_has_the_verdict_due_to_it() {
    let (evidence, truth) = sample();
    let mut compared = 0;
    for unit in list(&truth, "units") {
        let found = evidence.equipment.iter().find(|one| one.unit == text(unit, "unit")).unwrap();
        let days: Vec<_> = found.stays.iter().flat_map(|stay| &stay.days).collect();
        let due = list(unit, "periods");
        assert_eq!(days.len(), due.len(), "{}", found.unit);
        for (day, due) in days.iter().zip(due) {
            let verdict = match day.verdict {
                DayVerdict::Needed => "needed",
                DayVerdict::NotNeeded => "not_needed",
                DayVerdict::NotShown => "not_shown",
                DayVerdict::NotJudged => "not_judged",
            };
            assert_eq!(verdict, text(due, "verdict"), "{} day {}: {}", found.unit, day.number, day.why);
            assert_eq!(day.from, time(&due["from"]), "{} day {}", found.unit, day.number);
            assert_eq!(day.to, time(&due["to"]), "{} day {}", found.unit, day.number);
            compared += 1;
        }
    }
    assert!(compared > 60, "{compared} equipment-days compared");
}

#[test]
fn goals_are_met_at_the_reading_due_and_within_one_reading_interval_of_the_true_crossing() {
    let (evidence, truth) = sample();
    for point in list(&truth, "points").iter().filter(|point| text(point, "role") == "drying") {
        let found = evidence.points.iter().find(|one| one.id == text(point, "point")).unwrap();
        let goal = point["goal"]["value"].as_f64().unwrap();
        assert!((found.goal.as_ref().unwrap().value - goal).abs() < 1e-9, "{}", found.id);
        assert_eq!(found.verdict.words().replace(' ', "_"), text(point, "verdict"), "{}", found.id);
        let met = found.met_at.unwrap();
        assert_eq!(met, time(&point["meeting"]["time"]), "{}", found.id);
        // Readings are a day apart, early and late visits up to 26 h.
        let crossed = time(list(point, "crossings").last().unwrap().get("time").unwrap());
        assert!((met - crossed).abs() <= TimeDelta::hours(26), "{}: {met} against {crossed}", found.id);
    }
    for chamber in list(&truth, "chambers") {
        let found = evidence.chambers.iter().find(|one| one.id == text(chamber, "chamber")).unwrap();
        assert_eq!(found.verdict, GoalVerdict::Met);
        assert_eq!(found.met_at.unwrap(), time(&chamber["met_at"]), "{}", found.id);
    }
}

#[test]
fn the_stop_in_the_night_is_found_within_two_sample_intervals() {
    let (evidence, truth) = sample();
    let mut stops = 0;
    for unit in list(&truth, "units") {
        let Some(found) = evidence.unit_air.iter().find(|air| air.unit == text(unit, "unit")) else { continue };
        let stopped: Vec<_> = found.runs.iter().filter(|run| run.state == RunState::Stopped).collect();
        let due = list(unit, "stopped");
        assert_eq!(stopped.len(), due.len(), "{}: {stopped:?}", found.unit);
        for (run, due) in stopped.iter().zip(due) {
            let near = TimeDelta::minutes(30);
            assert!((run.from - time(&due["from"])).abs() <= near, "{}: {}", found.unit, run.from);
            assert!((run.to - time(&due["to"])).abs() <= near, "{}: {}", found.unit, run.to);
            stops += 1;
        }
    }
    assert_eq!(stops, 1);
}

#[test]
fn water_removed_is_within_its_uncertainty_of_the_true_amount() {
    let (evidence, truth) = sample();
    let mut compared = 0;
    for unit in list(&truth, "units") {
        let Some(found) = evidence.unit_air.iter().find(|air| air.unit == text(unit, "unit")) else { continue };
        let (kg, u) = (found.water_kg.unwrap(), found.u_water_kg.unwrap());
        let by_day: BTreeMap<String, f64> = serde_json::from_value(unit["removed_kg_by_day"].clone()).unwrap();
        let truth_kg: f64 = by_day.values().sum();
        assert!((kg - truth_kg).abs() <= u, "{}: {kg} against {truth_kg}, U {u}", found.unit);
        if found.unit == "D1" {
            // D1 worked in wet air: there the bound is narrow enough to say something. D2's small depression is not.
            assert!(u < 0.6 * truth_kg, "{}: {kg} against {truth_kg}, U {u}", found.unit);
        }
        compared += 1;
    }
    assert_eq!(compared, 2);
}

/// The same record judged as it stood on each evening gives each earlier equipment-day the verdict it has in the end.
#[test]
fn a_later_reading_never_changes_an_earlier_equipment_day() {
    let folder = root().join("sample-data/larch-street");
    let whole = judge(&folder, None).analysis.evidence;
    for day in &whole.days[1..] {
        let then = judge(&folder, Some(day.to.min(whole.clock))).analysis.evidence;
        for unit in &then.equipment {
            let last = whole.equipment.iter().find(|one| one.unit == unit.unit).unwrap();
            let all: Vec<_> = last.stays.iter().flat_map(|stay| &stay.days).collect();
            for (now, later) in unit.stays.iter().flat_map(|stay| &stay.days).zip(all) {
                // A period still running then was cut at that clock; only finished ones are final.
                if now.to == later.to {
                    assert_eq!(now.verdict, later.verdict, "{} day {} as of {}", unit.unit, now.number, day.date);
                }
            }
        }
    }
}

#[test]
fn every_finding_names_rows_that_are_there() {
    let (evidence, _) = sample();
    let folder = root().join("sample-data/larch-street");
    assert!(evidence.findings.len() >= 4);
    for row in evidence.findings.iter().flat_map(|finding| &finding.rows) {
        let text = std::fs::read_to_string(folder.join(&row.file)).unwrap();
        assert!(text.lines().count() as u64 >= row.row && row.row >= 1, "{} line {}", row.file, row.row);
    }
}
