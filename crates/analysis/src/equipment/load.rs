//! Load in the area a unit serves, over one equipment-day: what the points and air goals of that area show.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{Job, Stay};
use grainfall_words::{Words, say};

use super::air_rise::AirRises;
use crate::evidence::{
    AirGoalEvidence, ChamberEvidence, GoalEvidence, PointEvidence, PointSpan, PointState, ReadingEvidence, ReadingKind,
    SourceRow,
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
        text: String,
        rows: Vec<SourceRow>,
        /// When it was read, where a reading shows it.
        read_at: Option<DateTime<Utc>>,
    },
    /// Closed throughout, since then; read nearest to the period at that time.
    Closed { since: DateTime<Utc>, text: String, rows: Vec<SourceRow>, read_at: Option<DateTime<Utc>> },
    /// Closed by its readings, but the air got wetter since with nothing to explain it.
    Doubted { since: DateTime<Utc>, text: String, rows: Vec<SourceRow> },
    /// Out of the load since then, and how (`had ended`).
    Gone { at: DateTime<Utc>, how: &'static str },
    /// The record cannot tell, and why.
    Unknown { text: String },
}

/// The part of a job that load is looked up in.
pub(crate) struct Area<'a> {
    pub job: &'a Job,
    pub points: &'a [PointEvidence],
    pub chambers: &'a [ChamberEvidence],
    pub air: &'a AirRises<'a>,
}

impl Area<'_> {
    fn words(&self) -> Words {
        self.job.zone.words
    }

    /// What everything that one stay serves shows over `from..to`: its points, else its chambers' points and air goals.
    pub fn shown(&self, stay: &Stay, from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<Shown> {
        let words = self.words();
        let mut shown = Vec::new();
        if !stay.points.is_empty() {
            for point in self.points.iter().filter(|point| !point.reference && stay.points.contains(&point.id)) {
                for one in &point.chambers {
                    let start = one.from.map_or(from, |start| start.max(from));
                    let end = one.to.map_or(to, |end| end.min(to));
                    if start < end {
                        shown.extend(self.in_chamber(&one.chamber, &[point], &[], start, end));
                    }
                }
            }
            return shown;
        }
        for id in &stay.chambers {
            let points: Vec<&PointEvidence> = self
                .points
                .iter()
                .filter(|point| !point.reference && point.within(id, from, to).next().is_some())
                .collect();
            let away: Vec<Shown> =
                self.points.iter().filter(|p| !p.reference).filter_map(|p| moved_away(words, p, id, from)).collect();
            let air_goals = self.chambers.iter().find(|c| c.id == *id).map_or(&[][..], |c| c.air_goals.as_slice());
            shown.extend(self.in_chamber(id, &points, air_goals, from, to));
            // Held air alone does not show that materials are dry; its load still counts.
            if points.is_empty() && away.is_empty() {
                shown.push(Shown::Unknown { text: say!(words, "load.no_point_of_chamber_is", id = id) });
            }
            shown.extend(away);
        }
        if stay.chambers.is_empty() {
            shown.push(Shown::Unknown { text: say!(words, "load.the_record_names_neither_chamber").to_owned() });
        }
        shown
    }

    /// From when a chamber's days count, where no reason is recorded for equipment before it.
    fn drying_from(&self, chamber: &str) -> Option<DateTime<Utc>> {
        let chamber = self.job.chambers.iter().find(|one| one.id == chamber)?;
        chamber.drying_from.filter(|_| chamber.before_drying_reason.is_none())
    }

    fn in_chamber(
        &self,
        chamber: &str,
        points: &[&PointEvidence],
        air_goals: &[AirGoalEvidence],
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> Vec<Shown> {
        let words = self.words();
        let start = self.drying_from(chamber).map_or(from, |drying| drying.max(from));
        let mut shown = Vec::new();
        for point in points {
            shown.extend(point.within(chamber, start, to).map(|(from, to)| self.of_point(point, chamber, from, to)));
        }
        if start < to {
            shown.extend(air_goals.iter().filter_map(|goal| self.of_air_goal(goal, chamber, start, to)));
        }
        if start > from && !shown.iter().any(|one| matches!(one, Shown::Load { .. })) {
            shown.push(Shown::Unknown {
                text: say!(
                    words,
                    "load.chamber_was_not_being_dried",
                    chamber = chamber,
                    start = moment(start, self.job.zone)
                ),
            });
        }
        shown
    }

    fn of_point(&self, point: &PointEvidence, chamber: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> Shown {
        let words = self.words();
        if let Some(ended) = point.ended.as_ref().filter(|ended| ended.at <= from) {
            return Shown::Gone { at: ended.at, how: say!(words, "load.had_ended") };
        }
        let Some(goal) = &point.goal else {
            return Shown::Unknown { text: say!(words, "load.has_no_goal", point = point.id) };
        };
        let zone = self.job.zone;
        let near = |reading: &&ReadingEvidence| {
            reading.decides && from - READING_REACH <= reading.time && reading.time <= to + READING_REACH
        };
        if !point.readings.iter().any(|reading| near(&reading)) {
            return Shown::Unknown { text: self.unread(point, from, to) };
        }
        let states = |state| overlapping(&point.spans, from, to).find(|span| span.state == state);
        if let Some(open) = overlapping(&point.spans, from, to).filter(|span| span.state == PointState::Open).last() {
            return self.load(point, goal, open, (from, to));
        }
        if states(PointState::Unread).is_some() {
            return Shown::Unknown { text: say!(words, "load.was_not_read_yet_or", point = point.id) };
        }
        let Some(closed) = states(PointState::Closed) else {
            return Shown::Unknown { text: say!(words, "load.the_record_of_begins_later", point = point.id) };
        };
        let read = last_before(point.readings.iter().filter(|reading| reading.decides), from);
        if let Some(rise) = self.air.first(chamber, read.map_or(from, |reading| reading.time), to) {
            return Shown::Doubted {
                since: closed.from,
                text: say!(
                    words,
                    "load.its_goals_were_met_but",
                    chamber = chamber,
                    label = rise.label,
                    by_gpp = number(words, rise.by_gpp, 1),
                    at = moment(rise.at, zone)
                ),
                rows: closed.row.iter().cloned().chain([rise.row.clone()]).collect(),
            };
        }
        let text = say!(words, "load.closed_on", point = point.id, from = moment(closed.from, zone));
        // What was closed long before is known to have stayed so by the readings since.
        let far = |reading: &&ReadingEvidence| (from - reading.time).max(reading.time - to).max(TimeDelta::zero());
        // A reading at the report's clock ends no span.
        let to_the_clock = point.spans.last().is_some_and(|last| last.from == closed.from);
        let while_closed =
            |reading: &&ReadingEvidence| closed.from <= reading.time && (reading.time < closed.to || to_the_clock);
        let closing = || point.readings.iter().find(|reading| Some(&reading.row) == closed.row.as_ref());
        let nearest = point.readings.iter().filter(near).filter(while_closed).min_by_key(far).or_else(closing);
        let told_by = nearest.map(|reading| reading.row.clone());
        Shown::Closed {
            since: closed.from,
            text,
            rows: closed.row.iter().cloned().chain(told_by).collect(),
            read_at: nearest.map(|reading| reading.time),
        }
    }

    /// Load, with the reading that shows it: the last one above the goal by which the point was open before the period's
    /// end, else the one that its being open reaches back from.
    fn load(
        &self,
        point: &PointEvidence,
        goal: &GoalEvidence,
        open: &PointSpan,
        (from, to): (DateTime<Utc>, DateTime<Utc>),
    ) -> Shown {
        let words = self.words();
        let zone = self.job.zone;
        let above = || point.readings.iter().filter(|reading| reading.decides && reading.meets == Some(false));
        let within = above().filter(|reading| open.from <= reading.time && reading.time < open.to);
        let Some(reading) =
            last_before(within, to).or_else(|| above().find(|reading| open.row.as_ref() == Some(&reading.row)))
        else {
            return Shown::Unknown { text: say!(words, "load.has_no_reading", point = point.id) };
        };
        let read = read_words(words, &reading.kind, &point.unit);
        let when = moment(reading.time, zone);
        let against = say!(words, "load.goal", value = number(words, goal.value, 2), unit = point.unit);
        let next = point.readings.iter().find(|next| next.decides && next.time > reading.time);
        Shown::Load {
            point: Some(point.id.clone()),
            text: match (reading.time < from, next) {
                (false, _) => {
                    say!(words, "load.read_on", point = point.id, read = read, when = when, against = against)
                }
                (true, Some(next)) => say!(
                    words,
                    "load.read_on_and_not_again",
                    point = point.id,
                    read = read,
                    when = when,
                    against = against,
                    next = moment(next.time, zone)
                ),
                (true, None) => say!(
                    words,
                    "load.read_on_and_not_since",
                    point = point.id,
                    read = read,
                    when = when,
                    against = against
                ),
            },
            rows: vec![reading.row.clone()],
            read_at: Some(reading.time),
        }
    }

    fn unread(&self, point: &PointEvidence, from: DateTime<Utc>, to: DateTime<Utc>) -> String {
        let words = self.words();
        let zone = self.job.zone;
        let tried = point.readings.iter().find_map(|reading| match &reading.kind {
            ReadingKind::NoReading { reason } if from <= reading.time && reading.time < to => {
                Some(say!(words, "load.on", time = moment(reading.time, zone), reason = reason))
            }
            _ => None,
        });
        let tried = tried.unwrap_or_default();
        match point.readings.iter().rev().find(|reading| reading.decides && reading.time < from) {
            Some(last) => {
                say!(
                    words,
                    "load.was_last_read_on_more",
                    point = point.id,
                    last = moment(last.time, zone),
                    tried = tried
                )
            }
            None => say!(words, "load.has_no_reading_within_36", point = point.id, tried = tried),
        }
    }

    fn of_air_goal(
        &self,
        goal: &AirGoalEvidence,
        chamber: &str,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> Option<Shown> {
        let words = self.words();
        let zone = self.job.zone;
        let states = |state| overlapping(&goal.spans, from, to).find(|span| span.state == state);
        if let Some(open) = states(PointState::Open) {
            return Some(Shown::Load {
                point: None,
                text: say!(words, "load.the_air_of_chamber_did", chamber = chamber, text = goal.text),
                rows: open.row.iter().cloned().collect(),
                read_at: None,
            });
        }
        if states(PointState::Unread).is_some() {
            return Some(Shown::Unknown {
                text: say!(words, "load.no_logger_tells_of_in", text = goal.text, chamber = chamber),
            });
        }
        let closed = states(PointState::Closed)?;
        let since = goal.closed_since(closed);
        Some(Shown::Closed {
            since,
            text: say!(words, "load.held_from", text = goal.text, from = moment(since, zone)),
            rows: closed.row.iter().cloned().collect(),
            read_at: None,
        })
    }
}

/// A point that left a chamber for another one before an instant: load there until it left, or until it closed.
fn moved_away(words: Words, point: &PointEvidence, chamber: &str, by: DateTime<Utc>) -> Option<Shown> {
    let left = point.left(chamber).filter(|left| *left <= by)?;
    Some(Shown::Gone { at: load_end(point, left), how: say!(words, "load.had_moved_to_another_chamber") })
}

/// Until when a point that left a chamber at `left` was load there.
pub(crate) fn load_end(point: &PointEvidence, left: DateTime<Utc>) -> DateTime<Utc> {
    match point.spans.iter().rev().find(|span| span.from < left) {
        Some(span) if matches!(span.state, PointState::Closed | PointState::Ended) => span.from,
        _ => left,
    }
}

/// A reading as people read it.
pub(crate) fn read_words(words: Words, kind: &ReadingKind, unit: &str) -> String {
    match kind {
        ReadingKind::Measured { value } => say!(words, "load.value", value = number(words, *value, 2), unit = unit),
        ReadingKind::Above { value } => say!(words, "load.more_than", value = number(words, *value, 2), unit = unit),
        ReadingKind::OverRange => say!(words, "load.over_the_meter_s_range").to_owned(),
        ReadingKind::NoReading { reason } => say!(words, "load.nothing", reason = reason),
    }
}

/// The last of these readings before an instant.
fn last_before<'a>(
    readings: impl DoubleEndedIterator<Item = &'a ReadingEvidence>,
    to: DateTime<Utc>,
) -> Option<&'a ReadingEvidence> {
    readings.rev().find(|reading| reading.time < to)
}

fn overlapping(spans: &[PointSpan], from: DateTime<Utc>, to: DateTime<Utc>) -> impl Iterator<Item = &PointSpan> {
    spans.iter().filter(move |span| span.from < to && from < span.to)
}
