//! A chamber's verdict: met when all its points and air goals are.

use grainfall_words::{Words, say};
use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_job::{Chamber, Zone};

use super::dry_standard::median;
use super::point::excess_gone;
use crate::equipment::standing::Standing;
use crate::evidence::{AirGoalEvidence, ChamberEvidence, Day, GoalVerdict, PointEvidence};
use crate::words::moment;

/// The evidence of one chamber from its points and air goals.
pub(crate) fn evidence(
    chamber: &Chamber,
    points: &[PointEvidence],
    air_goals: Vec<AirGoalEvidence>,
    days: &[Day],
    clock: DateTime<Utc>,
    zone: Zone,
) -> ChamberEvidence {
    let words = zone.words;
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
    let standing = Standing { points, at: clock, clock };
    let free_since = standing.of_chamber(&chamber.id, &air_goals).map(|free| free.since);
    let met_at = free_since.filter(|_| verdict == GoalVerdict::Met);
    let judged_elsewhere_since = free_since.filter(|_| counted.is_empty() && ended.is_empty());
    let why = match verdict {
        GoalVerdict::Met => met_at.map_or_else(String::new, |at| {
            let goals = goals_counted(words, counted.len(), air_goals.len());
            let went = [
                (ended.len(), say!(words, "chamber_why.ended")),
                (moved.len(), say!(words, "chamber_why.moved_to_another_chamber")),
            ];
            let went: Vec<String> = went
                .iter()
                .filter(|(n, _)| *n > 0)
                .map(|(n, how)| say!(words, "chamber_why.and_ended", n = n, how = how))
                .collect();
            match counted.len() + air_goals.len() {
                1 if went.is_empty() => say!(words, "chamber_why.its_one_goal_was_met", at = moment(at, zone)),
                _ if went.is_empty() => {
                    say!(words, "chamber_why.all_met_the_last_on", goals = goals, at = moment(at, zone))
                }
                _ => say!(
                    words,
                    "chamber_why.met_the_last_on",
                    goals = goals,
                    went = went.concat(),
                    at = moment(at, zone)
                ),
            }
        }),
        GoalVerdict::NotMet => {
            let still: Vec<String> = open.iter().cloned().chain(open_air.iter().cloned()).collect();
            say!(words, "chamber_why.still_open", still = words.list(&still))
        }
        GoalVerdict::NotShown if judged_elsewhere_since.is_some() => {
            let now: BTreeSet<&str> = moved.iter().filter_map(|(point, _)| point.chamber.as_deref()).collect();
            say!(words, "chamber_why.its_points_lie_in_now", chambers = now.into_iter().collect::<Vec<_>>().join(", "))
        }
        GoalVerdict::NotShown if counted.is_empty() && ended.is_empty() && moved.is_empty() => {
            say!(words, "chamber_why.no_point_is_on_the").to_owned()
        }
        GoalVerdict::NotShown if counted.is_empty() && !ended.is_empty() => {
            say!(words, "chamber_why.every_point_ended_none_was").to_owned()
        }
        GoalVerdict::NotShown => {
            let silent: Vec<String> = not_shown.iter().cloned().chain(silent_air.iter().cloned()).collect();
            say!(words, "chamber_why.the_record_cannot_tell_for", silent = words.list(&silent))
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

fn goals_counted(words: Words, points: usize, air: usize) -> String {
    match (points, air) {
        (_, 0) => say!(words, "count.point", count = points),
        (0, _) => say!(words, "count.air_goal", count = air),
        _ => say!(
            words,
            "chamber_why.and",
            points = say!(words, "count.point", count = points),
            air = say!(words, "count.air_goal", count = air)
        ),
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
