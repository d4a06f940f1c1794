//! A point's state over time, from its deciding readings: open, closed, unread, ended.
//!
//! No interpolation: a state changes at a reading. A later reading never changes an earlier day.

use chrono::{DateTime, Utc};
use grainfall_job::ReadingValue;

use super::readings::PointReading;
use crate::evidence::{PointSpan, PointState, SourceRow};
use crate::rules::READING_REACH;

/// What the states are made from.
pub(crate) struct StateInput<'a> {
    /// Deciding readings, by time, each with its meter's accuracy, +- in the scale's unit; 0 when not stated.
    pub readings: &'a [(&'a PointReading, f64)],
    /// The goal in the scale's unit.
    pub goal: f64,
    /// Before this the goal was not known and nothing can be told; `None` when it was known all along.
    pub known_from: Option<DateTime<Utc>>,
    /// Readings in a row that must meet the goal, at least 1.
    pub confirm: u32,
    /// Start of the states.
    pub from: DateTime<Utc>,
    /// End of the states (the clock).
    pub to: DateTime<Utc>,
    /// The point's end.
    pub ended_at: Option<DateTime<Utc>>,
}

/// States without holes over `from..to`, and the times at which a met goal was lost again.
pub(crate) struct States {
    pub spans: Vec<PointSpan>,
    pub reopened_at: Vec<DateTime<Utc>>,
    /// The reading that met the goal, while it stands.
    pub met_by: Option<usize>,
    /// The state at the end, a reading at that very instant included.
    pub last: PointState,
}

/// Walks the readings in time order.
pub(crate) fn states(input: &StateInput<'_>) -> States {
    let mut changes: Vec<Change> = Vec::new();
    let mut reopened_at = Vec::new();
    let mut met_by = None;
    let mut state = PointState::Unread;
    let mut meeting_in_a_row = 0;
    let mut above_in_a_row = 0;
    for (index, (reading, accuracy)) in input.readings.iter().enumerate() {
        let row = Some(SourceRow::from(&reading.row));
        let above_by = above_goal_by(&reading.value, input.goal);
        if above_by.is_some() {
            above_in_a_row += 1;
            meeting_in_a_row = 0;
        } else {
            meeting_in_a_row += 1;
            above_in_a_row = 0;
        }
        let next = match (state, above_by) {
            (PointState::Closed, Some(above)) if above > *accuracy || above_in_a_row >= 2 => {
                reopened_at.push(reading.time);
                met_by = None;
                PointState::Open
            }
            (PointState::Closed, _) => PointState::Closed,
            (_, None) if meeting_in_a_row >= input.confirm => {
                met_by = Some(index);
                PointState::Closed
            }
            _ => PointState::Open,
        };
        if index == 0 {
            changes.push((reading.time - READING_REACH, next, row));
        } else if next != state {
            changes.push((reading.time, next, row));
        }
        state = next;
    }
    let ended = input.ended_at.is_some_and(|end| end <= input.to);
    let last = if ended { PointState::Ended } else { state };
    States { spans: lay_out(input, changes), reopened_at, met_by, last }
}

/// By how much a reading is above the goal; `None` when it meets it. A lower bound is above any goal.
fn above_goal_by(value: &ReadingValue, goal: f64) -> Option<f64> {
    match value {
        ReadingValue::Measured(value) => {
            let above = value - goal;
            (above > 1e-9).then_some(above)
        }
        ReadingValue::Above(_) | ReadingValue::OverRange => Some(f64::INFINITY),
        // Readings without a number never decide.
        ReadingValue::NoReading(_) => None,
    }
}

fn lay_out(input: &StateInput<'_>, mut changes: Vec<Change>) -> Vec<PointSpan> {
    if let Some(known) = input.known_from {
        // What was read before counts from then on; until then nobody could tell.
        let state_then = changes.iter().rev().find(|(at, ..)| *at <= known).cloned();
        changes.retain(|(at, ..)| *at > known);
        if let Some((_, state, row)) = state_then {
            changes.insert(0, (known, state, row));
        }
    }
    if let Some(end) = input.ended_at {
        changes.retain(|(at, ..)| *at < end);
        changes.push((end, PointState::Ended, None));
    }
    between(&changes, input.from, input.to)
}

/// A change of state: when, to which, and the row it rests on.
pub(super) type Change = (DateTime<Utc>, PointState, Option<SourceRow>);

/// The states over `from..to` without holes, from their changes in order; unread before the first.
pub(super) fn between(changes: &[Change], from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<PointSpan> {
    let start = std::iter::once((from.min(changes.first().map_or(from, |c| c.0)), PointState::Unread, None));
    let all: Vec<Change> = start.chain(changes.iter().cloned()).collect();
    all.iter()
        .enumerate()
        .filter_map(|(index, (at, state, row))| {
            let until = all.get(index + 1).map_or(to, |next| next.0);
            let (begin, end) = ((*at).max(from), until.min(to));
            (begin < end).then(|| PointSpan { from: begin, to: end, state: *state, row: row.clone() })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use grainfall_job::Scale;
    use grainfall_record::RowRef;

    fn at(hour: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(hour * 3600, 0).unwrap()
    }

    fn run(readings: &[(i64, ReadingValue)], confirm: u32, accuracy: f64, ended: Option<i64>) -> States {
        let list: Vec<PointReading> = readings
            .iter()
            .map(|(hour, value)| PointReading {
                time: at(*hour),
                value: value.clone(),
                scale: Scale::WoodMc,
                meter: None,
                surface_temp_c: None,
                by: None,
                note: None,
                row: RowRef::new("readings.csv", u64::try_from(*hour).unwrap()),
                logged: false,
                correction: crate::material::correction::Correction::None,
            })
            .collect();
        states(&StateInput {
            readings: &list.iter().map(|reading| (reading, accuracy)).collect::<Vec<_>>(),
            goal: 12.0,
            known_from: None,
            confirm,
            from: at(0),
            to: at(240),
            ended_at: ended.map(at),
        })
    }

    fn brief(states: &States) -> Vec<(i64, i64, PointState)> {
        states.spans.iter().map(|s| (s.from.timestamp() / 3600, s.to.timestamp() / 3600, s.state)).collect()
    }

    use PointState::{Closed, Ended, Open, Unread};
    use ReadingValue::{Above, Measured};

    #[test]
    fn open_until_the_reading_that_meets_the_goal() {
        let states = run(&[(10, Measured(20.0)), (34, Measured(15.0)), (58, Measured(12.0))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 58, Open), (58, 240, Closed)]);
        assert_eq!(states.met_by, Some(2));
    }

    #[test]
    fn the_first_reading_reaches_back_36_hours_and_no_more() {
        let states = run(&[(100, Measured(20.0))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 64, Unread), (64, 240, Open)]);
    }

    #[test]
    fn without_readings_nothing_is_known() {
        assert_eq!(brief(&run(&[], 1, 0.5, None)), [(0, 240, Unread)]);
    }

    #[test]
    fn two_readings_confirm_when_asked() {
        let states = run(&[(10, Measured(11.0)), (34, Measured(11.5))], 2, 0.5, None);
        assert_eq!(brief(&states), [(0, 34, Open), (34, 240, Closed)]);
    }

    #[test]
    fn a_rise_beyond_the_meter_reopens_at_once() {
        let states = run(&[(10, Measured(11.0)), (34, Measured(12.6))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 34, Closed), (34, 240, Open)]);
        assert_eq!(states.reopened_at, [at(34)]);
        assert_eq!(states.met_by, None);
    }

    #[test]
    fn a_rise_within_the_meter_needs_two_in_a_row() {
        let once = run(&[(10, Measured(11.0)), (34, Measured(12.4)), (58, Measured(11.9))], 1, 0.5, None);
        assert_eq!(brief(&once), [(0, 240, Closed)]);
        let twice = run(&[(10, Measured(11.0)), (34, Measured(12.4)), (58, Measured(12.1))], 1, 0.5, None);
        assert_eq!(brief(&twice), [(0, 58, Closed), (58, 240, Open)]);
    }

    #[test]
    fn a_lower_bound_is_above_goal() {
        assert_eq!(brief(&run(&[(10, Above(5.0))], 1, 0.5, None)), [(0, 240, Open)]);
    }

    #[test]
    fn a_reading_at_the_clock_itself_counts() {
        let states = run(&[(10, Measured(20.0)), (240, Measured(11.0))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 240, Open)]);
        assert_eq!((states.last, states.met_by), (Closed, Some(1)));
    }

    #[test]
    fn an_ended_point_leaves_the_record() {
        let states = run(&[(10, Measured(20.0)), (90, Measured(8.0))], 1, 0.5, Some(60));
        assert_eq!(brief(&states), [(0, 60, Open), (60, 240, Ended)]);
    }
}
