//! A chamber's verdict: met when all its points and air goals are.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_job::{Chamber, Zone};

use super::dry_standard::median;
use super::point::excess_gone;
use crate::equipment::load::load_end;
use crate::evidence::{AirGoalEvidence, ChamberEvidence, Day, GoalVerdict, PointEvidence};
use crate::words::{count, list, moment};

/// The evidence of one chamber from its points and air goals.
pub(crate) fn evidence(
    chamber: &Chamber,
    points: &[PointEvidence],
    air_goals: Vec<AirGoalEvidence>,
    days: &[Day],
    zone: Zone,
) -> ChamberEvidence {
    let own: Vec<&PointEvidence> =
        points.iter().filter(|p| !p.reference && p.chamber.as_deref() == Some(chamber.id.as_str())).collect();
    let moved: Vec<(&PointEvidence, DateTime<Utc>)> = points
        .iter()
        .filter(|point| !point.reference)
        .filter_map(|point| Some((point, point.left(&chamber.id)?)))
        .collect();
    let (ended, counted): (Vec<&PointEvidence>, Vec<&PointEvidence>) =
        own.iter().copied().partition(|point| point.ended.is_some());
    let ids = |verdict| -> Vec<String> {
        counted.iter().filter(|point| point.verdict == verdict).map(|point| point.id.clone()).collect()
    };
    let open = ids(GoalVerdict::NotMet);
    let not_shown = ids(GoalVerdict::NotShown);
    let met = ids(GoalVerdict::Met);
    let open_air: Vec<String> = air_texts(&air_goals, GoalVerdict::NotMet);
    let silent_air: Vec<String> = air_texts(&air_goals, GoalVerdict::NotShown);
    let verdict = if !open.is_empty() || !open_air.is_empty() {
        GoalVerdict::NotMet
    } else if counted.is_empty() || !not_shown.is_empty() || !silent_air.is_empty() {
        GoalVerdict::NotShown
    } else {
        GoalVerdict::Met
    };
    let gone_at = moved.iter().map(|(point, left)| load_end(point, *left)).max();
    let met_at: Option<DateTime<Utc>> = (verdict == GoalVerdict::Met)
        .then(|| {
            // A point that ended was load until then.
            let points = counted.iter().filter_map(|point| point.met_at);
            let ends = ended.iter().filter_map(|point| point.ended.as_ref()).map(|ended| ended.at);
            points.chain(air_goals.iter().filter_map(|goal| goal.met_at)).chain(ends).chain(gone_at).max()
        })
        .flatten();
    let air_held = air_goals.iter().all(|goal| goal.verdict == GoalVerdict::Met);
    let none_left = counted.is_empty() && ended.is_empty() && air_held;
    let judged_elsewhere_since = gone_at.filter(|_| none_left);
    let why = match verdict {
        GoalVerdict::Met => met_at.map_or_else(String::new, |at| {
            let goals = goals_counted(counted.len(), air_goals.len());
            let went = [(ended.len(), "ended"), (moved.len(), "moved to another chamber")];
            let went: Vec<String> =
                went.iter().filter(|(n, _)| *n > 0).map(|(n, how)| format!(" and {n} {how}")).collect();
            match counted.len() + air_goals.len() {
                1 if went.is_empty() => format!("its one goal was met on {}", moment(at, zone)),
                _ if went.is_empty() => format!("all {goals} met, the last on {}", moment(at, zone)),
                _ => format!("{goals} met{}, the last on {}", went.concat(), moment(at, zone)),
            }
        }),
        GoalVerdict::NotMet => {
            let still: Vec<String> = open.iter().cloned().chain(open_air.iter().cloned()).collect();
            format!("still open: {}", list(&still))
        }
        GoalVerdict::NotShown if judged_elsewhere_since.is_some() => {
            let now: BTreeSet<&str> = moved.iter().filter_map(|(point, _)| point.chamber.as_deref()).collect();
            format!("its points lie in {} now and are judged there", now.into_iter().collect::<Vec<_>>().join(", "))
        }
        GoalVerdict::NotShown if counted.is_empty() && ended.is_empty() && moved.is_empty() => {
            "no point is on the record".to_owned()
        }
        GoalVerdict::NotShown if counted.is_empty() && !ended.is_empty() => {
            "every point ended, none was met".to_owned()
        }
        GoalVerdict::NotShown => {
            let silent: Vec<String> = not_shown.iter().cloned().chain(silent_air.iter().cloned()).collect();
            format!("the record cannot tell for {}", list(&silent))
        }
    };
    ChamberEvidence {
        id: chamber.id.clone(),
        name: chamber.name.clone(),
        verdict,
        met_at,
        why,
        open_points: open,
        not_shown_points: not_shown,
        ended_points: ended.iter().map(|point| point.id.clone()).collect(),
        moved_points: moved.iter().map(|(point, _)| point.id.clone()).collect(),
        judged_elsewhere_since,
        point_count: u32::try_from(counted.len()).unwrap_or(u32::MAX),
        met_count: u32::try_from(met.len()).unwrap_or(u32::MAX),
        progress: progress(&counted, days),
        air_goals,
        floor_area_m2: chamber.floor_area.map(|area| area.get()),
        volume_m3: chamber.volume.map(|volume| volume.get()),
    }
}

fn air_texts(goals: &[AirGoalEvidence], verdict: GoalVerdict) -> Vec<String> {
    goals.iter().filter(|goal| goal.verdict == verdict).map(|goal| goal.text.clone()).collect()
}

fn goals_counted(points: usize, air: usize) -> String {
    match (points, air) {
        (_, 0) => count(points, "point", "points"),
        (0, _) => count(air, "air goal", "air goals"),
        _ => format!("{} and {}", count(points, "point", "points"), count(air, "air goal", "air goals")),
    }
}

/// Median over points of the share of initial excess gone, for each day on which any point tells.
fn progress(points: &[&PointEvidence], days: &[Day]) -> Vec<(NaiveDate, f64)> {
    let each: Vec<Vec<(NaiveDate, Option<f64>)>> = points.iter().map(|point| excess_gone(point, days)).collect();
    days.iter()
        .enumerate()
        .filter_map(|(index, day)| {
            let mut shares: Vec<f64> = each.iter().filter_map(|point| point[index].1).collect();
            shares.sort_by(f64::total_cmp);
            Some((day.date, median(&shares)?))
        })
        .collect()
}
