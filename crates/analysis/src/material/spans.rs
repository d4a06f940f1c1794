//! A point's state over time, from its deciding readings: open, closed, unread, ended.
//!
//! No interpolation: a state changes at a reading. A later reading never changes an earlier day.
//!
//! Before the first change nothing is known but this: a reading above the goal says that the point was wet before it, 36 h
//! back at most. A reading that meets the goal says nothing of the time before it.

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
    /// When the reference points were first read that the goal is drawn from: nothing is met before, and load is shown for
    /// 36 h before it at most. `None` for a goal that was known all along.
    pub drawn_at: Option<DateTime<Utc>>,
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
    let mut first_above: Option<(DateTime<Utc>, SourceRow)> = None;
    let mut reopened_at = Vec::new();
    let mut met_by = None;
    let mut state = PointState::Unread;
    let mut meeting_in_a_row = 0;
    let mut above_in_a_row = 0;
    for (index, (reading, accuracy)) in input.readings.iter().enumerate() {
        let row = SourceRow::from(&reading.row);
        let above_by = above_goal_by(&reading.value, input.goal);
        if above_by.is_some() {
            above_in_a_row += 1;
            meeting_in_a_row = 0;
            first_above.get_or_insert_with(|| (reading.time, row.clone()));
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
            (_, Some(_)) => PointState::Open,
            (_, None) if meeting_in_a_row >= input.confirm => {
                met_by = Some(index);
                PointState::Closed
            }
            // It meets the goal and is still to be confirmed: what was open stays open, what was not shown is not.
            (state, None) => state,
        };
        if next != state {
            changes.push((reading.time, next, Some(row)));
        }
        state = next;
    }
    if let Some((time, row)) = first_above {
        reach_back(&mut changes, time - READING_REACH, row);
    }
    let ended = input.ended_at.is_some_and(|end| end <= input.to);
    let last = if ended { PointState::Ended } else { state };
    States { spans: lay_out(input, changes), reopened_at, met_by, last }
}

/// Opens the point from `reach` to its first change, by the row of the first reading above the goal.
fn reach_back(changes: &mut Vec<Change>, reach: DateTime<Utc>, row: SourceRow) {
    match changes.first_mut() {
        Some((at, PointState::Open, _)) => *at = reach.min(*at),
        Some((at, ..)) if reach < *at => changes.insert(0, (reach, PointState::Open, Some(row))),
        _ => {}
    }
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
    if let Some(end) = input.ended_at {
        changes.retain(|(at, ..)| *at < end);
        changes.push((end, PointState::Ended, None));
    }
    let spans = between(&changes, input.from, input.to);
    match input.drawn_at {
        Some(at) => spans.into_iter().flat_map(|span| before_goal_was_drawn(span, at)).fold(Vec::new(), joined),
        None => spans,
    }
}

/// A span cut at the reading of the reference points: before it nothing is closed, and nothing open that is 36 h away.
fn before_goal_was_drawn(span: PointSpan, drawn_at: DateTime<Utc>) -> Vec<PointSpan> {
    let cuts = [span.from, drawn_at - READING_REACH, drawn_at, span.to].map(|cut| cut.clamp(span.from, span.to));
    let parts = cuts.windows(2).filter(|pair| pair[0] < pair[1]);
    parts
        .map(|pair| {
            let shown = match span.state {
                PointState::Ended | PointState::Unread => true,
                PointState::Open => drawn_at - READING_REACH <= pair[0],
                PointState::Closed => drawn_at <= pair[0],
            };
            let (state, row) = if shown { (span.state, span.row.clone()) } else { (PointState::Unread, None) };
            PointSpan { from: pair[0], to: pair[1], state, row }
        })
        .collect()
}

/// Spans with one more, which goes on with the last where both are in one state by one row.
fn joined(mut spans: Vec<PointSpan>, next: PointSpan) -> Vec<PointSpan> {
    match spans.last_mut() {
        Some(last) if (last.state, &last.row) == (next.state, &next.row) => last.to = next.to,
        _ => spans.push(next),
    }
    spans
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
        drawn(readings, confirm, accuracy, ended, None)
    }

    fn drawn(
        readings: &[(i64, ReadingValue)],
        confirm: u32,
        accuracy: f64,
        ended: Option<i64>,
        drawn_at: Option<i64>,
    ) -> States {
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
            drawn_at: drawn_at.map(at),
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
    fn a_first_reading_that_meets_the_goal_says_nothing_of_the_time_before_it() {
        assert_eq!(brief(&run(&[(30, Measured(11.0))], 1, 0.5, None)), [(0, 30, Unread), (30, 240, Closed)]);
    }

    #[test]
    fn a_reading_above_reaches_back_past_one_that_meets_and_says_nothing() {
        // 80 h less 36 h is 44 h; from 60 h on the first reading tells.
        let states = run(&[(60, Measured(11.0)), (80, Measured(20.0))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 44, Unread), (44, 60, Open), (60, 80, Closed), (80, 240, Open)]);
        // 100 h less 36 h is after the first reading.
        let states = run(&[(60, Measured(11.0)), (100, Measured(20.0))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 60, Unread), (60, 100, Closed), (100, 240, Open)]);
    }

    #[test]
    fn a_goal_is_not_met_before_its_reference_points_were_read() {
        let readings = [(10, Measured(20.0)), (34, Measured(11.0))];
        // Read at 60 h: open from 24 h on by the reading of 10 h, met at 34 h, which shows at 60 h.
        let states = drawn(&readings, 1, 0.5, None, Some(60));
        assert_eq!(brief(&states), [(0, 24, Unread), (24, 34, Open), (34, 60, Unread), (60, 240, Closed)]);
        // Read before the point was: nothing changes.
        assert_eq!(brief(&drawn(&readings, 1, 0.5, None, Some(8))), [(0, 34, Open), (34, 240, Closed)]);
    }

    #[test]
    fn without_readings_nothing_is_known() {
        assert_eq!(brief(&run(&[], 1, 0.5, None)), [(0, 240, Unread)]);
    }

    #[test]
    fn two_readings_confirm_when_asked() {
        let states = run(&[(10, Measured(11.0)), (34, Measured(11.5))], 2, 0.5, None);
        assert_eq!(brief(&states), [(0, 34, Unread), (34, 240, Closed)]);
        let states = run(&[(10, Measured(20.0)), (34, Measured(11.5)), (58, Measured(11.0))], 2, 0.5, None);
        assert_eq!(brief(&states), [(0, 58, Open), (58, 240, Closed)], "open until both met it");
    }

    #[test]
    fn a_rise_beyond_the_meter_reopens_at_once() {
        let states = run(&[(10, Measured(11.0)), (34, Measured(12.6))], 1, 0.5, None);
        assert_eq!(brief(&states), [(0, 10, Open), (10, 34, Closed), (34, 240, Open)]);
        assert_eq!(states.reopened_at, [at(34)]);
        assert_eq!(states.met_by, None);
    }

    #[test]
    fn a_rise_within_the_meter_needs_two_in_a_row() {
        let once = run(&[(10, Measured(11.0)), (54, Measured(12.4)), (78, Measured(11.9))], 1, 0.5, None);
        assert_eq!(brief(&once), [(0, 10, Unread), (10, 240, Closed)]);
        let twice = run(&[(10, Measured(11.0)), (54, Measured(12.4)), (78, Measured(12.1))], 1, 0.5, None);
        assert_eq!(brief(&twice), [(0, 10, Unread), (10, 78, Closed), (78, 240, Open)]);
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
