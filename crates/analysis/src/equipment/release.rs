//! The release statement: from when, and on which readings, equipment could leave. Generated from the facts alone.
//!
//! It names each reading it rests on, repeats a recorded reason for an early pull, lists every open point with its last
//! reading, and never implies a goal was met that was not.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{Job, Zone};
use grainfall_words::{Words, say};

use super::load::read_words;
use super::standing::Standing;
use crate::evidence::{
    AirGoalEvidence, ChamberEvidence, DayVerdict, GoalVerdict, PointEvidence, PointState, ReadingEvidence,
    ReleaseStatement, SourceRow, StayEvidence, StayPart, UnitEvidence,
};
use crate::words::{hours, moment, number};

/// One statement per chamber that equipment served, in the job's order.
pub(crate) fn statements(
    job: &Job,
    chambers: &[ChamberEvidence],
    points: &[PointEvidence],
    units: &[UnitEvidence],
    clock: DateTime<Utc>,
) -> Vec<ReleaseStatement> {
    let record = Record { job, chambers, points, clock };
    chambers
        .iter()
        .filter_map(|chamber| {
            let served: Vec<&UnitEvidence> = units
                .iter()
                .filter(|unit| {
                    unit.judged && unit.stays.iter().any(|stay| stay.in_chamber(&chamber.id).next().is_some())
                })
                .collect();
            (!served.is_empty()).then(|| of_chamber(&record, chamber, &served))
        })
        .collect()
}

/// What the statements are made from.
struct Record<'a> {
    job: &'a Job,
    chambers: &'a [ChamberEvidence],
    points: &'a [PointEvidence],
    clock: DateTime<Utc>,
}

fn of_chamber(record: &Record<'_>, chamber: &ChamberEvidence, units: &[&UnitEvidence]) -> ReleaseStatement {
    let Record { chambers, points, .. } = *record;
    let zone = record.job.zone;
    let words = zone.words;
    // Units that at their end serve another chamber too; they are free only when that one is.
    let shared: Vec<(&str, Vec<&ChamberEvidence>)> = units
        .iter()
        .filter_map(|unit| {
            let last = unit.stays.last()?.parts.last()?;
            let others: Vec<&ChamberEvidence> = chambers
                .iter()
                .filter(|other| other.id != chamber.id && last.chambers.contains(&other.id))
                .filter(|_| last.chambers.contains(&chamber.id))
                .collect();
            (!others.is_empty()).then_some((unit.unit.as_str(), others))
        })
        .collect();
    let held: Vec<String> = shared
        .iter()
        .filter(|(_, others)| others.iter().any(|other| other.free_since().is_none()))
        .map(|(unit, _)| (*unit).to_owned())
        .collect();
    let own: Vec<&PointEvidence> =
        points.iter().filter(|p| !p.reference && p.chamber.as_deref() == Some(chamber.id.as_str())).collect();
    let (mut sentences, mut rests_on) = (Vec::new(), Vec::new());
    let mut rows: Vec<SourceRow> = Vec::new();
    match (chamber.verdict, chamber.met_at) {
        (GoalVerdict::Met, Some(at)) => {
            sentences.push(say!(
                words,
                "release.on_from_then_on_the",
                chamber = chamber.name,
                how = if chamber.ended_points.is_empty() {
                    say!(words, "release.met_its_drying_goals")
                } else {
                    say!(words, "release.had_every_point_met_or")
                },
                at = moment(at, zone),
                the_last = last_met(words, chamber, &own, at)
            ));
            if !held.is_empty() {
                sentences.push(say!(words, "release.served_another_chamber_too_whose", held = words.list(&held)));
            }
            for point in own.iter().filter(|point| point.ended.is_none()) {
                if let Some(reading) = meeting_reading(point) {
                    rows.push(reading.row.clone());
                    rests_on.push(basis(point, reading, zone));
                }
            }
            for goal in &chamber.air_goals {
                if let Some(at) = goal.met_at {
                    let row = met_row(goal);
                    rests_on.push(say!(
                        words,
                        "release.air_was_complete_on",
                        text = goal.text,
                        at = moment(at, zone),
                        row = line(words, row.as_ref())
                    ));
                    rows.extend(row);
                }
            }
        }
        (GoalVerdict::NotMet, _) => {
            sentences.push(say!(words, "release.has_not_met_its_drying", chamber = chamber.name))
        }
        _ => sentences.push(match chamber.judged_elsewhere_since {
            Some(since) => say!(
                words,
                "release.from_on_no_point_was",
                since = moment(since, zone),
                chamber = chamber.name,
                why = chamber.why
            ),
            None => say!(words, "release.the_record_cannot_tell_whether", chamber = chamber.name, why = chamber.why),
        }),
    }
    for point in own.iter().filter(|point| point.ended.is_none()) {
        match point.verdict {
            GoalVerdict::NotMet => {
                let row = point.readings.iter().rev().find(|reading| reading.decides).map(|r| &r.row);
                rests_on.push(say!(
                    words,
                    "release.open",
                    point = name(point),
                    why = point.why,
                    row = line(words, row)
                ));
                rows.extend(row.cloned());
            }
            GoalVerdict::NotShown => {
                rests_on.push(say!(words, "release.not_shown", point = name(point), why = point.why))
            }
            GoalVerdict::Met => {}
        }
    }
    for goal in chamber.air_goals.iter().filter(|goal| goal.verdict != GoalVerdict::Met) {
        let row = goal.spans.last().and_then(|span| span.row.as_ref());
        rests_on.push(say!(
            words,
            "release.air_is",
            text = goal.text,
            verdict = goal.verdict.said(words),
            why = goal.why,
            row = line(words, row)
        ));
        rows.extend(row.cloned());
    }
    for point in own.iter().filter(|point| point.ended.is_some()) {
        rests_on.push(say!(words, "release.ended", point = name(point), why = point.why));
    }
    for point in points.iter().filter(|point| chamber.moved_points.contains(&point.id)) {
        if let (Some(left), Some(now)) = (point.left(&chamber.id), &point.chamber) {
            rests_on.push(say!(
                words,
                "release.moved_in_chamber_since_judged",
                point = name(point),
                now = now,
                left = moment(left, zone)
            ));
        }
    }
    sentences.extend(free_by_points(record, chamber, units));
    sentences.extend(departures(record, chamber, units));
    rows.sort();
    rows.dedup();
    ReleaseStatement {
        chambers: vec![chamber.id.clone()],
        units: units.iter().map(|unit| unit.unit.clone()).collect(),
        from: chamber.free_since().filter(|_| held.is_empty()).map(|at| {
            shared.iter().flat_map(|(_, others)| others).filter_map(|other| other.free_since()).fold(at, DateTime::max)
        }),
        sentences,
        rests_on,
        rows,
    }
}

/// The reading on which the point's closed state rests.
fn meeting_reading(point: &PointEvidence) -> Option<&ReadingEvidence> {
    let row = point.met_row.as_ref()?;
    point.readings.iter().find(|reading| reading.row == *row)
}

/// A point with the reading that met its goal.
fn basis(point: &PointEvidence, reading: &ReadingEvidence, zone: Zone) -> String {
    let words = zone.words;
    let goal = point.goal.as_ref().map_or_else(String::new, |goal| number(words, goal.value, 2));
    let meter = reading.meter.as_ref().map_or_else(String::new, |meter| say!(words, "release.meter", meter = meter));
    say!(
        words,
        "release.on_against_a_goal_of",
        point = name(point),
        read = read_words(words, &reading.kind, &reading.unit),
        time = moment(reading.time, zone),
        goal = goal,
        unit = point.unit,
        meter = meter,
        row = line(words, Some(&reading.row))
    )
}

/// What was the last to be met, with its line; empty where a point that ended or moved was the last.
fn last_met(words: Words, chamber: &ChamberEvidence, own: &[&PointEvidence], at: DateTime<Utc>) -> String {
    let point =
        own.iter().find(|point| point.met_at == Some(at)).map(|point| (point.id.clone(), point.met_row.clone()));
    let air = chamber
        .air_goals
        .iter()
        .find(|goal| goal.met_at == Some(at))
        .map(|goal| (format!("“{}”", goal.text), met_row(goal)));
    point.or(air).map_or_else(String::new, |(what, row)| {
        say!(words, "release.the_last", what = what, row = line(words, row.as_ref()))
    })
}

/// The row with which an air goal was last met.
fn met_row(goal: &AirGoalEvidence) -> Option<SourceRow> {
    goal.spans.iter().rev().find(|span| span.state == PointState::Closed)?.row.clone()
}

/// Where something is written, in brackets.
fn line(words: Words, row: Option<&SourceRow>) -> String {
    row.map_or_else(String::new, |row| say!(words, "release.line", file = row.file, row = row.row))
}

fn name(point: &PointEvidence) -> String {
    match &point.location {
        Some(location) => format!("{} ({location})", point.id),
        None => point.id.clone(),
    }
}

/// Units on site that serve chosen points alone, which are closed while the chamber still holds others.
fn free_by_points(record: &Record<'_>, chamber: &ChamberEvidence, units: &[&UnitEvidence]) -> Vec<String> {
    let zone = record.job.zone;
    let standing = Standing { points: record.points, at: record.clock, clock: record.clock };
    let of_unit = |unit: &&UnitEvidence| {
        let stay = unit.staying().filter(|stay| !stay.points.is_empty() && stay.serves_now().contains(&chamber.id))?;
        let free = standing.of_stay(stay, record.chambers)?;
        Some(say!(
            zone.words,
            "release.serves_alone_closed_since",
            unit = unit.unit,
            points = zone.words.list(&stay.points),
            since = moment(free.since, zone)
        ))
    };
    units.iter().filter(|_| chamber.free_since().is_none()).filter_map(of_unit).collect()
}

/// Units that left together: within an hour of the first of them, for the same recorded reason, and free since the same
/// moment.
struct Departure {
    first: DateTime<Utc>,
    last: DateTime<Utc>,
    /// Since when nothing held them, as the record stood when they left.
    free: Option<DateTime<Utc>>,
    reason: Option<String>,
    units: Vec<String>,
}

/// What became of the units: one sentence per group that left together, then those still there.
fn departures(record: &Record<'_>, chamber: &ChamberEvidence, units: &[&UnitEvidence]) -> Vec<String> {
    let zone = record.job.zone;
    let words = zone.words;
    let mut left: Vec<Departure> = Vec::new();
    let mut still = Vec::new();
    let mut unneeded: Vec<(String, usize)> = Vec::new();
    for unit in units {
        let parts: Vec<(&StayEvidence, &StayPart)> =
            unit.stays.iter().flat_map(|stay| stay.in_chamber(&chamber.id).map(move |part| (stay, part))).collect();
        let Some((stay, last)) = parts.last() else { continue };
        if last.removed {
            let standing = Standing { points: record.points, at: last.to, clock: record.clock };
            let free = match stay.points.is_empty() {
                true => standing.of_chamber(&chamber.id, &chamber.air_goals),
                false => standing.of_stay(stay, record.chambers),
            };
            left.push(Departure {
                first: last.to,
                last: last.to,
                free: free.map(|free| free.since),
                reason: last.reason.clone(),
                units: vec![unit.unit.clone()],
            });
        } else {
            still.push(unit.unit.clone());
        }
        let days = unit.stays.iter().flat_map(|stay| &stay.days).filter(|day| {
            day.verdict == DayVerdict::NotNeeded
                && parts.iter().any(|(_, part)| part.from < day.to && day.from < part.to)
        });
        let not_needed = days.count();
        if not_needed > 0 {
            unneeded.push((unit.unit.clone(), not_needed));
        }
    }
    left.sort_by(|a, b| (a.first, &a.units).cmp(&(b.first, &b.units)));
    let mut groups: Vec<Departure> = Vec::new();
    for one in left {
        let together = groups.iter_mut().find(|group| {
            group.reason == one.reason && group.free == one.free && one.first - group.first <= TimeDelta::hours(1)
        });
        match together {
            Some(group) => {
                group.units.extend(one.units);
                group.last = one.last;
            }
            None => groups.push(one),
        }
    }
    let mut sentences: Vec<String> = groups.iter().map(|group| departure(chamber, group, zone)).collect();
    if !still.is_empty() {
        sentences.push(say!(words, "release.still_on_site", still = words.list(&still)));
    }
    if !unneeded.is_empty() {
        let texts: Vec<String> = unneeded
            .iter()
            .map(|(unit, n)| say!(words, "release.unit_days", unit = unit, days = say!(words, "count.day", count = *n)))
            .collect();
        sentences.push(say!(words, "release.equipment_days_not_needed", texts = words.list(&texts)));
    }
    sentences
}

fn departure(chamber: &ChamberEvidence, group: &Departure, zone: Zone) -> String {
    let words = zone.words;
    let when = if group.first == group.last {
        say!(words, "release.on", first = moment(group.first, zone))
    } else {
        say!(
            words,
            "release.on_to",
            first = moment(group.first, zone),
            last = group.last.with_timezone(&zone.tz).format("%H:%M").to_string()
        )
    };
    let against = match group.free {
        Some(free) => {
            let (least, most) =
                (number(words, hours(group.first - free), 1), number(words, hours(group.last - free), 1));
            let hours = if least == most { least } else { say!(words, "release.to", least = least, most = most) };
            let what = if chamber.judged_elsewhere() {
                say!(words, "release.its_points_had_gone")
            } else {
                say!(words, "release.the_goals_were_met")
            };
            say!(words, "release.h_after", hours = hours, what = what)
        }
        None => match chamber.verdict {
            GoalVerdict::Met => say!(words, "release.before_the_goals_were_met"),
            GoalVerdict::NotMet => say!(words, "release.while_goals_were_open"),
            GoalVerdict::NotShown => say!(words, "release.and_the_record_cannot_tell"),
        }
        .to_owned(),
    };
    let reason = match &group.reason {
        Some(reason) => say!(words, "release.recorded_reason", reason = reason),
        None => say!(words, "release.no_reason_is_recorded").to_owned(),
    };
    say!(words, "release.left", units = words.list(&group.units), when = when, against = against, reason = reason)
}
