//! The verdict on one equipment-day.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::Purpose;

use super::load::{Area, Shown};
use super::presence::Presence;
use crate::evidence::{DayVerdict, SourceRow};
use crate::words::{hours, list, moment, number};

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
    let mut judged: Vec<Judged> = Vec::new();
    for (from, to) in periods {
        let mut now = judge_period(presence, *from, *to, area);
        if (now.verdict == DayVerdict::NotNeeded || now.doubted_by_air)
            && let (Some(closed), Some(removed), Some(before)) = (now.closed_since, presence.removed, judged.last())
            && removed - closed <= area.job.pull_window
            && before.verdict != DayVerdict::NotNeeded
        {
            let zone = area.job.zone;
            now = Judged {
                verdict: before.verdict,
                why: format!(
                    "left on {}, within {} h (the pull window of this job) of the reading that met the last goal on {}: \
                     the period takes the verdict before it",
                    moment(removed, zone),
                    number(hours(area.job.pull_window), 1),
                    moment(closed, zone)
                ),
                rows: now.rows,
                by_pull_window: true,
                load_points: Vec::new(),
                closed_since: now.closed_since,
                doubted_by_air: false,
                read_at: now.closed_since,
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
    if let Some(words) = other_purpose(&parts) {
        return Judged {
            verdict: DayVerdict::NotJudged,
            why: format!("there for {words}: not judged by moisture"),
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
    combine(&shown)
}

/// The purpose in words when no part of the period is for drying.
fn other_purpose(parts: &[(&grainfall_job::Stay, DateTime<Utc>, DateTime<Utc>)]) -> Option<String> {
    let words: Option<Vec<String>> = parts
        .iter()
        .map(|(stay, ..)| match &stay.purpose {
            Purpose::Drying => None,
            Purpose::Other(words) => Some(words.clone()),
        })
        .collect();
    words.filter(|words| !words.is_empty()).map(|mut words| {
        words.dedup();
        list(&words)
    })
}

fn combine(shown: &[Shown]) -> Judged {
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
            Shown::Load { point, words, rows, read_at } => {
                // A unit that moved within its area meets one point in both stays.
                if !loads.contains(words) {
                    if loads.is_empty() {
                        load_read_at = *read_at;
                    }
                    loads.push(words.clone());
                    load_points.extend(point.clone());
                }
                load_rows.extend(rows.iter().cloned());
            }
            Shown::Unknown { words } => {
                if !unknown.contains(words) {
                    unknown.push(words.clone());
                }
            }
            Shown::Doubted { since, words, rows } => {
                // One air stands beside all its points.
                if !doubts.contains(words) {
                    doubts.push(words.clone());
                }
                closed.push((*since, words.clone(), None));
                closed_rows.extend(rows.iter().cloned());
            }
            Shown::Gone { at, how } => gone.push((*at, *how)),
            Shown::Closed { since, words, rows, read_at } => {
                closed.push((*since, words.clone(), *read_at));
                closed_rows.extend(rows.iter().cloned());
            }
        }
    }
    load_points.sort();
    load_points.dedup();
    if let Some(first) = loads.first() {
        let more = match loads.len() {
            1 => String::new(),
            n => format!(", and {} more", n - 1),
        };
        load_rows.sort();
        load_rows.dedup();
        return Judged {
            verdict: DayVerdict::Needed,
            why: format!("load was open: {first}{more}"),
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
            (true, false) => format!("every point it served {}", ways(&gone)),
            (true, true) => "it served no point".to_owned(),
            (false, _) => list(&unknown),
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
    let (since, words, read_at) = last.unwrap_or((DateTime::<Utc>::MIN_UTC, String::new(), None));
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
        true => "was met before".to_owned(),
        false => format!("was met before or its point {}", ways(&gone)),
    };
    Judged {
        verdict: DayVerdict::NotNeeded,
        why: format!("every goal it served {met}; the last: {words}"),
        rows: closed_rows,
        load_points: Vec::new(),
        by_pull_window: false,
        closed_since: Some(since),
        doubted_by_air: false,
        read_at,
    }
}

/// How points went, each way once.
fn ways(gone: &[(DateTime<Utc>, &str)]) -> String {
    let mut ways: Vec<&str> = gone.iter().map(|(_, how)| *how).collect();
    ways.sort_unstable();
    ways.dedup();
    ways.join(" or ")
}
