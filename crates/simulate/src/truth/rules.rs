//! From readings to goals and to open and closed points.
//!
//! How the rules are read here:
//! - only readings by the point's own meter on its own scale count;
//! - of several readings in one visit the highest counts, at its own time; a lower bound stands above every number;
//! - a written goal goes first, then the material's; else wood must come within 4 points of its dry standard and not
//!   above 16 % MC unless the dry standard is, and a relative scale to at most 1.10 times its dry standard (common
//!   practice, no source);
//! - the dry standard of reference points is the median of the readings of the first visit that has any;
//! - a point is open until the reading that meets its goal, the last of `confirm_readings` in a row; a reading above goal
//!   by more than the meter's accuracy, or the second in a row above it, reopens the point at that reading;
//! - before the first reading that decides a point is unknown, but for the 36 h before its first reading above goal (never
//!   before the loss), in which it is open: what meets a goal says nothing of the time before it.

use chrono::{DateTime, TimeDelta, Utc};
use serde::Serialize;

use super::rounded;
use crate::instruments::{MaterialReading, ReadValue, Record};
use crate::scenario::{Goal, Meter, Point, Scale, Scenario};

/// How far a first reading reaches back, and how far a period may lie from a point's reading.
pub const REACH: TimeDelta = TimeDelta::hours(36);
/// Wood must come within this many points of its dry standard; common practice, no source.
pub const WOOD_WITHIN_PCT: f64 = 4.0;
/// And not stay above this, % MC; common practice, no source.
pub const WOOD_NOT_ABOVE_PCT: f64 = 16.0;
/// Relative scales: at most this many times the dry standard; common practice, no source.
pub const RELATIVE_FACTOR: f64 = 1.10;

/// Verdict on a goal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GoalVerdict {
    /// Met.
    Met,
    /// Not met.
    NotMet,
    /// The record cannot tell.
    NotShown,
}

/// A goal as it is due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueGoal {
    /// At most this, in the scale's unit.
    pub value: f64,
    /// `written`, `material` or `common_practice`.
    pub from: &'static str,
}

/// A reading that counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    /// When.
    pub time: DateTime<Utc>,
    /// The value, or the bound it lies above.
    pub value: f64,
    /// Whether it is only a lower bound.
    pub lower_bound: bool,
}

impl Counted {
    /// Whether it is at or below a goal.
    #[must_use]
    pub fn meets(&self, goal: f64) -> bool {
        !self.lower_bound && self.value <= goal + EQUAL
    }

    /// Whether it is above a goal by more than an accuracy.
    #[must_use]
    pub fn clearly_above(&self, goal: f64, accuracy: f64) -> bool {
        self.lower_bound || self.value > goal + accuracy + EQUAL
    }
}

/// Values this close are one value: readings are multiples of a display's step, goals sums and products of them.
const EQUAL: f64 = 1e-9;

/// The reading that meets a goal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Meeting {
    /// When.
    pub time: DateTime<Utc>,
    /// What it reads.
    pub value: f64,
}

/// State of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Its goal is not met.
    Open,
    /// Its goal is met.
    Closed,
    /// No reading tells.
    Unknown,
}

/// A span in one state, `from <= t < to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct StateSpan {
    /// Start.
    pub from: DateTime<Utc>,
    /// End: the next span's start, or the clock.
    pub to: DateTime<Utc>,
    /// The state.
    pub state: State,
}

/// A point's course by its readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Spans from the loss to the clock, without holes.
    pub spans: Vec<StateSpan>,
    /// The meeting reading in force at the clock.
    pub meeting: Option<Meeting>,
    /// Readings that reopened it.
    pub reopened: Vec<DateTime<Utc>>,
}

impl Course {
    /// Whether the point is in a state at some instant of `from <= t < to`.
    #[must_use]
    pub fn has(&self, state: State, from: DateTime<Utc>, to: DateTime<Utc>) -> bool {
        self.spans.iter().any(|span| span.state == state && span.from < to && from < span.to)
    }

    /// Since when the point was in a state that it was in just before `to`, the last time it was.
    #[must_use]
    pub fn since(&self, state: State, to: DateTime<Utc>) -> Option<DateTime<Utc>> {
        self.spans.iter().rev().find(|span| span.state == state && span.from < to).map(|span| span.from)
    }

    /// The state at the end.
    #[must_use]
    pub fn last(&self) -> State {
        self.spans.last().map_or(State::Unknown, |span| span.state)
    }
}

/// Readings of a point that count, by time: its own meter, one per visit.
#[must_use]
pub fn counted(point: &Point, record: &Record) -> Vec<Counted> {
    let mut counted: Vec<(usize, Counted)> = Vec::new();
    for reading in record.readings.iter().filter(|reading| reading.point == point.id) {
        let Some(next) = value_of(point, reading) else { continue };
        match counted.last_mut() {
            Some((visit, last)) if *visit == reading.visit => {
                if (next.lower_bound, next.value) > (last.lower_bound, last.value) {
                    *last = next;
                }
            }
            _ => counted.push((reading.visit, next)),
        }
    }
    counted.into_iter().map(|(_, reading)| reading).collect()
}

fn value_of(point: &Point, reading: &MaterialReading) -> Option<Counted> {
    if reading.meter != point.meter || reading.scale != point.scale {
        return None;
    }
    let (value, lower_bound) = match reading.value {
        ReadValue::Measured(value) => (value, false),
        ReadValue::Above(limit) => (limit, true),
        ReadValue::NoReading(_) => return None,
    };
    Some(Counted { time: reading.time, value, lower_bound })
}

/// A point's dry standard.
#[must_use]
pub fn dry_standard(scenario: &Scenario, record: &Record, point: &Point) -> Option<f64> {
    match &point.goal {
        Goal::DryStandard(value) => Some(*value),
        Goal::References(ids) => reference_median(scenario, record, point, ids),
        Goal::None | Goal::Written(_) => None,
    }
}

/// Median of the reference points at the first visit that has a reading of any of them by the point's meter.
fn reference_median(scenario: &Scenario, record: &Record, point: &Point, ids: &[String]) -> Option<f64> {
    let mut first_visit = usize::MAX;
    let mut values: Vec<f64> = Vec::new();
    for id in ids {
        let reference = scenario.point(id)?;
        if reference.meter != point.meter || reference.scale != point.scale {
            continue;
        }
        let Some(reading) = counted(reference, record).into_iter().find(|reading| !reading.lower_bound) else {
            continue;
        };
        let visit = record.readings.iter().find(|known| known.time == reading.time && known.point == *id)?.visit;
        if visit < first_visit {
            first_visit = visit;
            values.clear();
        }
        if visit == first_visit {
            values.push(reading.value);
        }
    }
    values.sort_by(f64::total_cmp);
    match values.len() {
        0 => None,
        count if count % 2 == 1 => Some(values[count / 2]),
        count => Some(0.5 * (values[count / 2 - 1] + values[count / 2])),
    }
}

/// The goal due for a point.
#[must_use]
pub fn due_goal(scenario: &Scenario, record: &Record, point: &Point) -> Option<DueGoal> {
    if let Goal::Written(value) = point.goal {
        return Some(DueGoal { value, from: "written" });
    }
    let material = scenario.materials.iter().find(|material| material.kind == point.kind);
    if let Some(value) = material.and_then(|material| material.goal) {
        return Some(DueGoal { value, from: "material" });
    }
    let standard = dry_standard(scenario, record, point)?;
    let value = match point.scale {
        Scale::Wood => (standard + WOOD_WITHIN_PCT).min(WOOD_NOT_ABOVE_PCT.max(standard)),
        Scale::Relative => standard * RELATIVE_FACTOR,
    };
    Some(DueGoal { value: rounded(value, 6), from: "common_practice" })
}

/// The course of a point from the loss to the clock.
#[must_use]
pub fn course(scenario: &Scenario, meter: &Meter, goal: Option<f64>, readings: &[Counted]) -> Course {
    let (start, clock) = (scenario.job.loss_at, scenario.to);
    let unknown = Course {
        spans: vec![StateSpan { from: start, to: clock, state: State::Unknown }],
        meeting: None,
        reopened: Vec::new(),
    };
    let Some(goal) = goal else { return unknown };
    let confirm = scenario.job.confirm_readings.max(1);
    let mut changes = vec![(start, State::Unknown)];
    let mut state = State::Unknown;
    let mut meeting = None;
    let mut reopened = Vec::new();
    // Readings in a row on the side that would change the state.
    let mut in_a_row = 0;
    for reading in readings {
        let meets = reading.meets(goal);
        if state != State::Unknown && meets == (state == State::Closed) {
            in_a_row = 0;
            continue;
        }
        in_a_row += 1;
        let turns = match state {
            State::Closed => in_a_row >= 2 || reading.clearly_above(goal, meter.accuracy),
            State::Open | State::Unknown => !meets || in_a_row >= confirm,
        };
        if !turns {
            continue;
        }
        if state == State::Closed {
            reopened.push(reading.time);
        }
        state = if meets { State::Closed } else { State::Open };
        meeting = meets.then_some(Meeting { time: reading.time, value: reading.value });
        in_a_row = 0;
        changes.push((reading.time, state));
    }
    if let (Some(above), Some(first)) = (readings.iter().find(|reading| !reading.meets(goal)), changes.get(1).copied())
    {
        let reach = (above.time - REACH).max(start);
        if reach < first.0 {
            changes.insert(1, (reach, State::Open));
        }
    }
    // Spans that go on in one state, or last no time, are none.
    changes.dedup_by(|next, before| next.1 == before.1);
    if changes.get(1).is_some_and(|second| second.0 == start) {
        changes.remove(0);
    }
    let ends = changes.iter().skip(1).map(|(time, _)| *time).chain([clock]).collect::<Vec<_>>();
    let spans = changes.iter().zip(ends).map(|((from, state), to)| StateSpan { from: *from, to, state: *state });
    Course { spans: spans.collect(), meeting, reopened }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenarios::larch_street;

    /// Readings some hours after the loss: `(hours, value)`; a negative value stands for a lower bound.
    fn course_of(confirm: u32, readings: &[(i64, f64)]) -> (Vec<(i64, State)>, Option<f64>, Vec<i64>) {
        let mut scenario = larch_street().unwrap();
        scenario.job.confirm_readings = confirm;
        let loss = scenario.job.loss_at;
        let counted: Vec<Counted> = readings
            .iter()
            .map(|(hours, value)| Counted {
                time: loss + TimeDelta::hours(*hours),
                value: value.abs(),
                lower_bound: *value < 0.0,
            })
            .collect();
        // Meter M1 has an accuracy of 1.0; the goal is 12.
        let course = course(&scenario, scenario.meter("M1").unwrap(), Some(12.0), &counted);
        assert!(course.spans.windows(2).all(|pair| pair[0].to == pair[1].from));
        assert_eq!((course.spans[0].from, course.spans[course.spans.len() - 1].to), (loss, scenario.to));
        let hours = |time: DateTime<Utc>| (time - loss).num_hours();
        (
            course.spans.iter().map(|span| (hours(span.from), span.state)).collect(),
            course.meeting.map(|meeting| meeting.value),
            course.reopened.into_iter().map(hours).collect(),
        )
    }

    use State::{Closed, Open, Unknown};

    #[test]
    fn a_point_is_open_until_the_reading_that_meets_its_goal() {
        let (spans, meeting, reopened) = course_of(1, &[(15, 20.0), (39, 14.0), (63, 12.0), (87, 11.0)]);
        assert_eq!((spans, meeting, reopened), (vec![(0, Open), (63, Closed)], Some(12.0), vec![]));
    }

    #[test]
    fn the_first_reading_reaches_back_36_hours_and_no_further() {
        assert_eq!(course_of(1, &[(50, 20.0)]).0, [(0, Unknown), (14, Open)]);
        assert_eq!(course_of(1, &[(50, 11.0)]).0, [(0, Unknown), (50, Closed)]);
        assert_eq!(course_of(2, &[(50, 11.0)]).0, [(0, Unknown)]);
        assert_eq!(course_of(1, &[(50, 11.0), (80, 20.0)]).0, [(0, Unknown), (44, Open), (50, Closed), (80, Open)]);
        assert_eq!(course_of(1, &[]).0, [(0, Unknown)]);
    }

    #[test]
    fn readings_in_a_row_confirm_and_one_above_starts_again() {
        let (spans, meeting, _) = course_of(2, &[(10, 20.0), (34, 12.0), (58, 12.1), (82, 11.5), (106, 11.4)]);
        assert_eq!((spans, meeting), (vec![(0, Open), (106, Closed)], Some(11.4)));
    }

    #[test]
    fn a_closed_point_is_reopened_by_one_clear_reading_or_two_in_a_row() {
        // 13.0 is above the goal by the accuracy and not by more. The first reading lies more than 36 h before the next.
        let dry = |then: &[(i64, f64)]| course_of(1, &[&[(10, 12.0)], then].concat());
        let (spans, meeting, reopened) = dry(&[(54, 13.0), (78, 12.0), (102, 12.5)]);
        assert_eq!((spans, meeting, reopened), (vec![(0, Unknown), (10, Closed)], Some(12.0), vec![]));
        let (spans, meeting, reopened) = dry(&[(54, 13.1), (78, 11.9)]);
        let due = vec![(0, Unknown), (10, Closed), (54, Open), (78, Closed)];
        assert_eq!((spans, meeting, reopened), (due, Some(11.9), vec![54]));
        let (spans, _, reopened) = dry(&[(54, 12.1), (78, 12.2), (102, 12.3)]);
        assert_eq!((spans, reopened), (vec![(0, Unknown), (10, Closed), (78, Open)], vec![78]));
        let (spans, _, reopened) = dry(&[(54, -10.0)]);
        assert_eq!((spans, reopened), (vec![(0, Unknown), (10, Closed), (54, Open)], vec![54]));
    }

    #[test]
    fn common_practice_goals_follow_the_dry_standard() {
        let mut scenario = larch_street().unwrap();
        let record = Record { loggers: vec![], readings: vec![], air: vec![], condensate: vec![], hour_meters: vec![] };
        let mut goal = |index: usize, standard| {
            scenario.points[index].goal = Goal::DryStandard(standard);
            due_goal(&scenario, &record, &scenario.points[index]).unwrap().value
        };
        // Wood: 4 points above 9 is 13; above 14 it is 16, not 18; a dry standard of 17 is itself above 16.
        for (standard, expected) in [(9.0, 13.0), (14.0, 16.0), (17.0, 17.0)] {
            assert!((goal(0, standard) - expected).abs() < 1e-9, "{standard}");
        }
        // Relative: 1.10 times 14.
        assert!((goal(3, 14.0) - 15.4).abs() < 1e-9);
    }
}
