//! Everything that is found in logs of houses in which nobody opened, swapped or stopped anything that we know of: each
//! finding was looked at on a chart. What is listed here is all there may be.

use std::collections::BTreeSet;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::FindingKind;

use crate::dowel;
use crate::open::{self, ATLANTA, ATTIC, HOUSE, NEW_YORK, Open, TORONTO};

/// Kinds and subjects of what is found, by time; every finding is printed.
fn found(open: &Open) -> Vec<(FindingKind, String)> {
    println!("{}:", open.why);
    let evidence = open.evidence();
    for one in &evidence.findings {
        println!("  {}: {}", one.kind.words(), one.text);
    }
    if evidence.findings.is_empty() {
        println!("  nothing");
    }
    evidence.findings.iter().map(|one| (one.kind, one.subject.id().to_owned())).collect()
}

#[test]
fn nothing_is_found_in_the_attic() {
    let Some(open) = Open::silent(&ATTIC, open::attic(), "attic, house and weather").present() else { return };
    assert_eq!(found(&open), []);
}

/// Condensation under the roof in winter, nearly so in autumn and spring, and the humidity that mould grows at.
#[test]
fn only_humidity_is_found_under_the_roof() {
    let loggers = [(ATTIC[0], None, "surface", Some("A")), (ATTIC[1], None, "affected", Some("A"))];
    let open = Open::silent(&ATTIC[..2], open::job("Etc/GMT-2", &loggers), "the roof as a surface");
    let Some(open) = open.present() else { return };
    let kinds: BTreeSet<FindingKind> = found(&open).into_iter().map(|one| one.0).collect();
    let humid = [FindingKind::SurfaceAtDewPoint, FindingKind::SurfaceNearDewPoint, FindingKind::SurfaceAboveCritical];
    assert_eq!(kinds, BTreeSet::from(humid));
    assert_eq!(found(&open).len(), 3);
}

/// Rows of the house were drawn at random, so that every logger has hundreds of gaps; nothing else happened that its charts
/// show.
const GAPS_OF: [&str; 10] = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "out"];

fn only_gaps(job: String, why: &'static str) {
    let Some(open) = Open::silent(&[HOUSE], job, why).present() else { return };
    let due = GAPS_OF.map(|channel| (FindingKind::LoggerGap, format!("share_house_wide_9rooms/{channel}")));
    assert_eq!(found(&open), due);
}

#[test]
fn only_gaps_are_found_in_nine_rooms_each_by_itself() {
    let rooms =
        [("1", "R1"), ("2", "R2"), ("3", "R3"), ("4", "R4"), ("5", "R5"), ("7", "R7"), ("8", "R8"), ("9", "R9")];
    let mut loggers: Vec<_> =
        rooms.iter().map(|(channel, room)| (HOUSE, Some(*channel), "affected", Some(*room))).collect();
    loggers.extend(["6", "out"].map(|channel| (HOUSE, Some(channel), "outdoor", None)));
    only_gaps(open::job("Europe/Brussels", &loggers), "every room a chamber");
}

#[test]
fn only_gaps_are_found_in_nine_rooms_by_floor() {
    only_gaps(open::by_floor(), "the ground floor as a chamber, the upper floor unaffected");
}

/// Nothing but the gaps, though the rooms differ.
#[test]
fn only_gaps_are_found_in_nine_rooms_as_one() {
    only_gaps(open::one_chamber(), "all rooms as one chamber");
}

#[test]
fn nothing_is_found_in_a_month_of_weather() {
    let job = open::job("America/Toronto", &[(TORONTO, None, "outdoor", None)]);
    let Some(open) = Open::silent(&[TORONTO], job, "a month of weather").present() else { return };
    assert_eq!(found(&open), []);
}

/// Routine reports and special ones at irregular minutes, three instants of which stand there twice.
#[test]
fn only_contradictions_are_found_in_irregular_reports() {
    let job = open::job("America/New_York", &[(ATLANTA, None, "outdoor", None)]);
    let Some(open) = Open::silent(&[ATLANTA], job, "irregular reports").present() else { return };
    assert_eq!(found(&open), [(FindingKind::RowsContradict, "72219013874".to_owned())]);
}

/// The changes of clocks are no holes.
#[test]
fn only_holes_and_the_cut_are_found_at_three_weather_stations() {
    let job = open::job("America/New_York", &[(NEW_YORK, None, "outdoor", None)]);
    let Some(open) = Open::silent(&[NEW_YORK], job, "three stations over both changes of clocks").present() else {
        return;
    };
    let kinds: BTreeSet<FindingKind> = found(&open).into_iter().map(|one| one.0).collect();
    assert_eq!(kinds, BTreeSet::from([FindingKind::LoggerGap, FindingKind::ClockReset]));
}

/// Four days of a dowel that lay outdoors, without rain: what is found of its readings is the loss of its goal in a night;
/// no rewetting, as it takes up as much every night; no stall, and nothing that needs equipment or a dry standard. In the
/// first night the air of the day before holds wood above the goal, and later it does not.
#[test]
fn only_the_loss_of_its_goal_is_found_of_a_dowel() {
    let start: DateTime<Utc> = "2014-07-24T12:00:00Z".parse().unwrap();
    let after = |hours: i64| {
        let clock = start + TimeDelta::hours(hours);
        Open::silent(&dowel::LOGS, dowel::job("BC1", 12.0), "a dowel outdoors").judged_at(clock).present()
    };
    let Some(whole) = after(84) else { return };
    let of_point = |open: &Open| -> Vec<FindingKind> {
        found(open).into_iter().filter(|one| one.1 == "W1").map(|one| one.0).collect()
    };
    let kinds: BTreeSet<FindingKind> = of_point(&whole).into_iter().collect();
    assert_eq!(kinds, BTreeSet::from([FindingKind::Reopened]));
    let out_of_reach = |hours| of_point(&after(hours).unwrap()).contains(&FindingKind::GoalBelowEquilibrium);
    assert!(out_of_reach(12) && !out_of_reach(60));
}
