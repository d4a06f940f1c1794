//! The verdict on one equipment-day.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::Purpose;
use grainfall_words::{Words, say};

use super::load::{Area, Shown};
use super::presence::Presence;
use crate::evidence::{DayVerdict, SourceRow};
use crate::words::{hours, moment, number, purpose};

/// A verdict with its reason and the rows it rests on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Judged {
    pub verdict: DayVerdict,
    pub why: String,
    pub rows: Vec<SourceRow>,
    pub load_points: Vec<String>,
    /// Whether it is the verdict before it, by the pull window.
    pub by_pull_window: bool,
    /// When the last point of the area closed, if all were closed throughout by their readings.
    pub closed_since: Option<DateTime<Utc>>,
    /// Whether all were, and the air leaves it open to doubt.
    pub doubted_by_air: bool,
    /// When the reading was taken that decides; `None` where none does.
    pub read_at: Option<DateTime<Utc>>,
}

/// Judges the periods of one presence, in order.
pub(crate) fn judge(
    presence: &Presence<'_>,
    periods: &[(DateTime<Utc>, DateTime<Utc>)],
    area: &Area<'_>,
) -> Vec<Judged> {
    let words = area.job.zone.words;
    let mut judged: Vec<Judged> = Vec::new();
    for (from, to) in periods {
        let mut now = judge_period(presence, *from, *to, area);
        if (now.verdict == DayVerdict::NotNeeded || now.doubted_by_air)
            && let (Some(closed), Some(removed), Some(before)) = (now.closed_since, presence.removed, judged.last())
            && removed - closed <= area.job.pull_window
            && before.verdict != DayVerdict::NotNeeded
        {
            let zone = area.job.zone;
            let showed = judged.iter().rev().find(|one| !one.by_pull_window).unwrap_or(before);
            now = Judged {
                verdict: before.verdict,
                why: say!(
                    words,
                    "day_why.left_on_within_h_the",
                    removed = moment(removed, zone),
                    hours = number(words, hours(area.job.pull_window), 1),
                    closed = moment(closed, zone),
                    before = showed.why
                ),
                // What it rests on is what showed that verdict, not the readings that met the goals since.
                rows: before.rows.clone(),
                by_pull_window: true,
                load_points: Vec::new(),
                closed_since: now.closed_since,
                doubted_by_air: false,
                // No reading decides it: that the unit left does.
                read_at: None,
            };
        }
        judged.push(now);
    }
    judged
}

fn judge_period(presence: &Presence<'_>, from: DateTime<Utc>, to: DateTime<Utc>, area: &Area<'_>) -> Judged {
    let parts: Vec<_> = presence
        .stays
        .iter()
        .filter_map(|stay| {
            let end = stay.removed.unwrap_or(presence.until).min(presence.until);
            let (from, to) = (from.max(stay.placed), to.min(end));
            // Placed at the clock: what counts is the instant.
            let from =
                if from == to && presence.placed == presence.until { from - TimeDelta::microseconds(1) } else { from };
            // A stay that touches the period only between two stays (a move) has no part in it.
            (from < to).then_some((*stay, from, to))
        })
        .collect();
    let words = area.job.zone.words;
    if let Some(purpose) = other_purpose(words, &parts) {
        return Judged {
            verdict: DayVerdict::NotJudged,
            why: say!(words, "day_why.there_for_not_judged_by", purpose = purpose),
            rows: Vec::new(),
            load_points: Vec::new(),
            by_pull_window: false,
            closed_since: None,
            doubted_by_air: false,
            read_at: None,
        };
    }
    let shown: Vec<Shown> = parts
        .iter()
        .filter(|(stay, ..)| stay.purpose == Purpose::Drying)
        .flat_map(|(stay, from, to)| area.shown(stay, *from, *to))
        .collect();
    combine(words, &shown)
}

/// The purpose in words when no part of the period is for drying.
fn other_purpose(words: Words, parts: &[(&grainfall_job::Stay, DateTime<Utc>, DateTime<Utc>)]) -> Option<String> {
    let other: Option<Vec<String>> = parts
        .iter()
        .map(|(stay, ..)| match &stay.purpose {
            Purpose::Drying => None,
            other => Some(purpose(words, other)),
        })
        .collect();
    other.filter(|other| !other.is_empty()).map(|mut other| {
        other.dedup();
        words.list(&other)
    })
}

fn combine(words: Words, shown: &[Shown]) -> Judged {
    let mut loads = Vec::new();
    let mut load_points = Vec::new();
    let mut load_rows = Vec::new();
    let mut load_read_at = None;
    let mut unknown = Vec::new();
    let mut closed = Vec::new();
    let mut closed_rows = Vec::new();
    let mut gone: Vec<(DateTime<Utc>, &str)> = Vec::new();
    let mut doubts: Vec<String> = Vec::new();
    for one in shown {
        match one {
            Shown::Load { point, text, rows, read_at } => {
                // A unit that moved within its area meets one point in both stays.
                if !loads.contains(text) {
                    if loads.is_empty() {
                        load_read_at = *read_at;
                    }
                    loads.push(text.clone());
                    load_points.extend(point.clone());
                }
                load_rows.extend(rows.iter().cloned());
            }
            Shown::Unknown { text } => {
                if !unknown.contains(text) {
                    unknown.push(text.clone());
                }
            }
            Shown::Doubted { since, text, rows } => {
                // One air stands beside all its points.
                if !doubts.contains(text) {
                    doubts.push(text.clone());
                }
                closed.push((*since, text.clone(), None));
                closed_rows.extend(rows.iter().cloned());
            }
            Shown::Gone { at, how } => gone.push((*at, *how)),
            Shown::Closed { since, text, rows, read_at } => {
                closed.push((*since, text.clone(), *read_at));
                closed_rows.extend(rows.iter().cloned());
            }
        }
    }
    load_points.sort();
    load_points.dedup();
    if let Some(first) = loads.first() {
        let more = match loads.len() {
            1 => String::new(),
            n => say!(words, "day_why.and_more", n = n - 1),
        };
        load_rows.sort();
        load_rows.dedup();
        return Judged {
            verdict: DayVerdict::Needed,
            why: say!(words, "day_why.load_was_open", first = first, more = more),
            rows: load_rows,
            load_points,
            by_pull_window: false,
            closed_since: None,
            doubted_by_air: false,
            read_at: load_read_at,
        };
    }
    closed_rows.sort();
    closed_rows.dedup();
    if !unknown.is_empty() || closed.is_empty() {
        let reason = match (unknown.is_empty(), gone.is_empty()) {
            (true, false) => say!(words, "day_why.every_point_it_served", gone = ways(words, &gone)),
            (true, true) => say!(words, "day_why.it_served_no_point").to_owned(),
            (false, _) => words.list(&unknown),
        };
        return Judged {
            verdict: DayVerdict::NotShown,
            why: reason,
            rows: closed_rows,
            load_points: Vec::new(),
            by_pull_window: false,
            closed_since: None,
            doubted_by_air: false,
            read_at: None,
        };
    }
    let last = closed.into_iter().max_by_key(|(since, ..)| *since);
    let (since, text, read_at) = last.unwrap_or((DateTime::<Utc>::MIN_UTC, String::new(), None));
    // A point that went was load until then.
    let since = gone.iter().map(|(at, _)| *at).max().map_or(since, |gone| gone.max(since));
    if let Some(first) = doubts.first() {
        return Judged {
            verdict: DayVerdict::NotShown,
            why: first.clone(),
            rows: closed_rows,
            load_points: Vec::new(),
            by_pull_window: false,
            closed_since: Some(since),
            doubted_by_air: true,
            read_at: None,
        };
    }
    let met = match gone.is_empty() {
        true => say!(words, "day_why.was_met_before").to_owned(),
        false => say!(words, "day_why.was_met_before_or_its", gone = ways(words, &gone)),
    };
    Judged {
        verdict: DayVerdict::NotNeeded,
        why: say!(words, "day_why.every_goal_it_served_the", met = met, last = text),
        rows: closed_rows,
        load_points: Vec::new(),
        by_pull_window: false,
        closed_since: Some(since),
        doubted_by_air: false,
        read_at,
    }
}

/// How points went, each way once.
fn ways(words: Words, gone: &[(DateTime<Utc>, &str)]) -> String {
    let mut ways: Vec<&str> = gone.iter().map(|(_, how)| *how).collect();
    ways.sort_unstable();
    ways.dedup();
    ways.join(say!(words, "day_why.or"))
}
