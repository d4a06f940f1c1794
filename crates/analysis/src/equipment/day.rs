//! The verdict on one equipment-day.

use chrono::{DateTime, Utc};
use grainfall_job::Purpose;

use super::load::{Area, Shown};
use super::presence::Presence;
use crate::evidence::{DayVerdict, SourceRow};
use crate::words::{list, moment};

/// A verdict with its reason and the rows it rests on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Judged {
    pub verdict: DayVerdict,
    pub why: String,
    pub rows: Vec<SourceRow>,
    pub load_points: Vec<String>,
    /// When the last point of the area closed, if all were closed throughout.
    pub closed_since: Option<DateTime<Utc>>,
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
        if now.verdict == DayVerdict::NotNeeded
            && let (Some(closed), Some(removed), Some(before)) = (now.closed_since, presence.removed, judged.last())
            && removed <= *to
            && removed - closed <= area.job.pull_window
            && before.verdict != DayVerdict::NotNeeded
        {
            let tz = area.job.zone.tz;
            now = Judged {
                verdict: before.verdict,
                why: format!(
                    "left on {}, within the pull window after the reading that met the last goal on {}: \
                     the period takes the verdict before it",
                    moment(removed, tz),
                    moment(closed, tz)
                ),
                rows: now.rows,
                load_points: Vec::new(),
                closed_since: now.closed_since,
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
            // A stay that touches the period only between two stays (a move) has no part in it.
            (from < to || presence.stays.len() == 1).then_some((*stay, from, to))
        })
        .collect();
    if let Some(words) = other_purpose(&parts) {
        return Judged {
            verdict: DayVerdict::NotJudged,
            why: format!("there for {words}: not judged by moisture"),
            rows: Vec::new(),
            load_points: Vec::new(),
            closed_since: None,
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
    let mut unknown = Vec::new();
    let mut closed = Vec::new();
    let mut closed_rows = Vec::new();
    for one in shown {
        match one {
            Shown::Load { point, words, rows } => {
                loads.push(words.clone());
                load_points.extend(point.clone());
                load_rows.extend(rows.iter().cloned());
            }
            Shown::Unknown { words } => unknown.push(words.clone()),
            Shown::Closed { since, words, rows } => {
                closed.push((*since, words.clone()));
                closed_rows.extend(rows.iter().cloned());
            }
        }
    }
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
            closed_since: None,
        };
    }
    closed_rows.sort();
    closed_rows.dedup();
    if !unknown.is_empty() || closed.is_empty() {
        let reason = if unknown.is_empty() { "every point it served had ended".to_owned() } else { list(&unknown) };
        return Judged {
            verdict: DayVerdict::NotShown,
            why: reason,
            rows: closed_rows,
            load_points: Vec::new(),
            closed_since: None,
        };
    }
    let last = closed.iter().max_by_key(|(since, _)| *since).map(|(since, words)| (*since, words.clone()));
    let (since, words) = last.unwrap_or((DateTime::<Utc>::MIN_UTC, String::new()));
    Judged {
        verdict: DayVerdict::NotNeeded,
        why: format!("every goal it served was met before; the last: {words}"),
        rows: closed_rows,
        load_points: Vec::new(),
        closed_since: Some(since),
    }
}
