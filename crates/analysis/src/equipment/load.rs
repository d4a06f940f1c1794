//! Load in the area a unit serves, over one equipment-day: what the points and air goals of that area show.

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Stay};

use crate::evidence::{
    AirGoalEvidence, ChamberEvidence, PointEvidence, PointSpan, PointState, ReadingEvidence, ReadingKind, SourceRow,
};
use crate::rules::READING_REACH;
use crate::words::{moment, number};

/// What one point or air goal shows over a period.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shown {
    /// Open for some of it, and read near enough to say so.
    Load {
        /// The point's id; `None` for an air goal.
        point: Option<String>,
        /// The reading in words.
        words: String,
        rows: Vec<SourceRow>,
    },
    /// Closed throughout, since then.
    Closed { since: DateTime<Utc>, words: String, rows: Vec<SourceRow> },
    /// The record cannot tell, and why.
    Unknown { words: String },
}

/// The part of a job that load is looked up in.
pub(crate) struct Area<'a> {
    pub job: &'a Job,
    pub points: &'a [PointEvidence],
    pub chambers: &'a [ChamberEvidence],
}

impl Area<'_> {
    /// What everything that one stay serves shows over `from..to`.
    ///
    /// Empty only when all its points had ended before.
    pub fn shown(&self, stay: &Stay, from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<Shown> {
        let mut shown = Vec::new();
        for chamber_id in &stay.chambers {
            let chamber = self.job.chambers.iter().find(|chamber| chamber.id == *chamber_id);
            let drying_from = chamber
                .filter(|chamber| chamber.before_drying_reason.is_none())
                .and_then(|chamber| chamber.drying_from)
                .unwrap_or(from);
            if to <= drying_from && from < drying_from {
                let tz = self.job.zone.tz;
                shown.push(Shown::Unknown {
                    words: format!(
                        "chamber {chamber_id} is not being dried before {} and no reason is recorded",
                        moment(drying_from, tz)
                    ),
                });
                continue;
            }
            let start = from.max(drying_from);
            let served: Vec<&PointEvidence> = self
                .points
                .iter()
                .filter(|point| !point.reference && point.chamber.as_deref() == Some(chamber_id.as_str()))
                .filter(|point| stay.points.is_empty() || stay.points.contains(&point.id))
                .collect();
            let of_points: Vec<Shown> = served.iter().filter_map(|point| self.of_point(point, start, to)).collect();
            if start > from && !of_points.iter().any(|one| matches!(one, Shown::Load { .. })) {
                shown.push(Shown::Unknown {
                    words: format!(
                        "chamber {chamber_id} was not being dried before {} and no reason is recorded",
                        moment(start, self.job.zone.tz)
                    ),
                });
            }
            shown.extend(of_points);
            let air_goals: &[AirGoalEvidence] = match self.chambers.iter().find(|c| c.id == *chamber_id) {
                Some(chamber) if stay.points.is_empty() => &chamber.air_goals,
                _ => &[],
            };
            shown.extend(air_goals.iter().filter_map(|goal| self.of_air_goal(goal, chamber_id, start, to)));
            if served.is_empty() && air_goals.is_empty() {
                shown.push(Shown::Unknown { words: format!("no point of chamber {chamber_id} is on the record") });
            }
        }
        if stay.chambers.is_empty() {
            shown.push(Shown::Unknown { words: "the record names no chamber it served".to_owned() });
        }
        shown
    }

    /// `None` when the point had ended before.
    fn of_point(&self, point: &PointEvidence, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<Shown> {
        if point.ended.as_ref().is_some_and(|ended| ended.at <= from) {
            return None;
        }
        let Some(goal) = &point.goal else {
            return Some(Shown::Unknown { words: format!("{} has no goal", point.id) });
        };
        let tz = self.job.zone.tz;
        let near = |reading: &&ReadingEvidence| {
            reading.decides && from - READING_REACH <= reading.time && reading.time <= to + READING_REACH
        };
        let readings: Vec<&ReadingEvidence> = point.readings.iter().filter(near).collect();
        let states = |state| overlapping(&point.spans, from, to).find(|span| span.state == state);
        if readings.is_empty() {
            let words = match point.readings.iter().rev().find(|reading| reading.decides && reading.time < from) {
                Some(last) => format!("{} was last read on {}, more than 36 h before", point.id, moment(last.time, tz)),
                None => format!("{} has no reading within 36 h", point.id),
            };
            return Some(Shown::Unknown { words });
        }
        if states(PointState::Open).is_some() {
            // The last reading up to the period's end that is above the goal, else the nearest one after it.
            let above = |reading: &&&ReadingEvidence| reading.meets == Some(false);
            let reading = readings
                .iter()
                .rev()
                .filter(above)
                .find(|reading| reading.time < to)
                .or_else(|| readings.iter().find(above))
                .or_else(|| readings.iter().rev().find(|reading| reading.time < to))
                .or_else(|| readings.first())?;
            let against = format!("goal {} {}", number(goal.value, 2), point.unit);
            let read = read_words(&reading.kind, &point.unit);
            return Some(Shown::Load {
                point: Some(point.id.clone()),
                words: format!("{} read {read} on {} ({against})", point.id, moment(reading.time, tz)),
                rows: vec![reading.row.clone()],
            });
        }
        if states(PointState::Unread).is_some() {
            return Some(Shown::Unknown { words: format!("{} was not read yet", point.id) });
        }
        let closed = states(PointState::Closed)?;
        Some(Shown::Closed {
            since: closed.from,
            words: format!("{} closed on {}", point.id, moment(closed.from, tz)),
            rows: closed.row.iter().cloned().collect(),
        })
    }

    fn of_air_goal(
        &self,
        goal: &AirGoalEvidence,
        chamber: &str,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> Option<Shown> {
        let tz = self.job.zone.tz;
        let states = |state| overlapping(&goal.spans, from, to).find(|span| span.state == state);
        if let Some(open) = states(PointState::Open) {
            return Some(Shown::Load {
                point: None,
                words: format!("the air of chamber {chamber} did not hold `{}`", goal.text),
                rows: open.row.iter().cloned().collect(),
            });
        }
        if states(PointState::Unread).is_some() {
            return Some(Shown::Unknown { words: format!("no logger tells of `{}` in chamber {chamber}", goal.text) });
        }
        let closed = states(PointState::Closed)?;
        Some(Shown::Closed {
            since: closed.from,
            words: format!("`{}` held from {}", goal.text, moment(closed.from, tz)),
            rows: closed.row.iter().cloned().collect(),
        })
    }
}

/// A reading as people read it.
pub(crate) fn read_words(kind: &ReadingKind, unit: &str) -> String {
    match kind {
        ReadingKind::Measured { value } => format!("{} {unit}", number(*value, 2)),
        ReadingKind::Above { value } => format!("more than {} {unit}", number(*value, 2)),
        ReadingKind::OverRange => "over the meter's range".to_owned(),
        ReadingKind::NoReading { reason } => format!("nothing ({reason})"),
    }
}

fn overlapping(spans: &[PointSpan], from: DateTime<Utc>, to: DateTime<Utc>) -> impl Iterator<Item = &PointSpan> {
    spans.iter().filter(move |span| span.from < to && from < span.to)
}
