//! Goals on a chamber's air, held for a time: the state over time from the affected loggers' samples.
//!
//! A goal closes when it has held without interruption for its hold time, reopens like a point (a sample beyond it by
//! more than its uncertainty, or two in a row beyond it), and is unread where no logger tells.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{AirGoal, AirGoalQuantity, Chamber, Comparison};
use grainfall_words::{Words, say};

use super::spans::{Change, between};
use crate::evidence::{
    AirGoalEvidence, AirGoalOf, AirTrack, GoalSide, GoalVerdict, PointSpan, PointState, SourceRow, TrackPlace,
};
use crate::rules::READING_REACH;
use crate::words::{hours, number};

/// Every air goal of a chamber with its states over `from..to`.
pub(crate) fn of_chamber(
    words: Words,
    chamber: &Chamber,
    tracks: &[AirTrack],
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Vec<AirGoalEvidence> {
    let affected: Vec<&AirTrack> = tracks
        .iter()
        .filter(|track| track.place == TrackPlace::Affected && track.chamber.as_deref() == Some(chamber.id.as_str()))
        .collect();
    chamber
        .air_goals
        .iter()
        .map(|goal| {
            let course = course(goal, &affected, from, to);
            let (spans, state) = (course.spans, course.last);
            let verdict = match state {
                PointState::Closed => GoalVerdict::Met,
                PointState::Open => GoalVerdict::NotMet,
                PointState::Unread | PointState::Ended => GoalVerdict::NotShown,
            };
            let met_at = course.closed_at.filter(|_| state == PointState::Closed);
            let why = match verdict {
                GoalVerdict::Met => say!(words, "air_goal.held_for_its_time_and").to_owned(),
                GoalVerdict::NotMet => say!(words, "air_goal.the_affected_air_does_not").to_owned(),
                GoalVerdict::NotShown => say!(words, "air_goal.no_logger_in_the_affected").to_owned(),
            };
            AirGoalEvidence {
                text: text(words, goal),
                quantity: match goal.quantity {
                    AirGoalQuantity::GrainsPerPound => AirGoalOf::Gpp,
                    AirGoalQuantity::RelativeHumidity => AirGoalOf::Rh,
                    AirGoalQuantity::DewPoint => AirGoalOf::DewPoint,
                },
                side: side(goal.comparison),
                limit: goal.value,
                hold_h: hours(goal.hold),
                verdict,
                met_at,
                why,
                spans,
            }
        })
        .collect()
}

fn side(comparison: Comparison) -> GoalSide {
    match comparison {
        Comparison::AtMost => GoalSide::AtMost,
        Comparison::AtLeast => GoalSide::AtLeast,
    }
}

fn text(words: Words, goal: &AirGoal) -> String {
    let side = side(goal.comparison).said(words);
    let value = match goal.quantity {
        AirGoalQuantity::GrainsPerPound => {
            say!(words, "air_goal.gpp", side = side, value = number(words, goal.value, 1))
        }
        AirGoalQuantity::RelativeHumidity => {
            say!(words, "air_goal.rh", side = side, value = number(words, goal.value, 1))
        }
        AirGoalQuantity::DewPoint => say!(
            words,
            "air_goal.dew_point_degf_degc",
            side = side,
            value_f = number(words, grainfall_psychrometrics::Celsius::new(goal.value).to_fahrenheit(), 1),
            value = number(words, goal.value, 1)
        ),
    };
    say!(words, "air_goal.for_h", value = value, hours = number(words, hours(goal.hold), 1))
}

/// One sample of one logger: whether it meets the goal, and if not, whether it is beyond it by more than its uncertainty.
struct Sample {
    time: DateTime<Utc>,
    track: usize,
    meets: bool,
    beyond_uncertainty: bool,
    row: SourceRow,
}

/// What the samples of all affected loggers say of one goal.
struct Course {
    spans: Vec<PointSpan>,
    /// State at the end, a sample at that very instant included.
    last: PointState,
    /// When it last closed.
    closed_at: Option<DateTime<Utc>>,
}

/// What a logger last said.
#[derive(Clone, Copy)]
struct Vote {
    time: DateTime<Utc>,
    meets: bool,
    beyond_in_a_row: u32,
}

fn course(goal: &AirGoal, tracks: &[&AirTrack], from: DateTime<Utc>, to: DateTime<Utc>) -> Course {
    // A sample speaks for two of its logger's intervals; a logger that was taken away or replaced falls silent then.
    let steps: Vec<TimeDelta> =
        tracks.iter().map(|track| TimeDelta::seconds(i64::from(track.interval_s.unwrap_or(3600))) * 2).collect();
    let mut samples: Vec<Sample> =
        tracks.iter().enumerate().flat_map(|(index, track)| track_samples(goal, index, track)).collect();
    samples.sort_by_key(|sample| (sample.time, sample.track));
    let mut votes: Vec<Option<Vote>> = vec![None; tracks.len()];
    let mut changes: Vec<Change> = Vec::new();
    let mut state = PointState::Unread;
    let mut held_since: Option<DateTime<Utc>> = None;
    let mut closed_at = None;
    let mut last: Option<(DateTime<Utc>, usize)> = None;
    for sample in samples.iter().filter(|sample| sample.time <= to) {
        if let Some((time, track)) = last {
            let silent = sample.time - time;
            if silent > steps[track] && silent > steps[sample.track] {
                held_since = None;
            }
            if silent > READING_REACH {
                changes.push((time + READING_REACH, PointState::Unread, None));
                state = PointState::Unread;
            }
        }
        last = Some((sample.time, sample.track));
        let before = votes[sample.track].map_or(0, |vote| vote.beyond_in_a_row);
        let beyond_in_a_row = if sample.meets { 0 } else { before + 1 };
        votes[sample.track] = Some(Vote { time: sample.time, meets: sample.meets, beyond_in_a_row });
        let all_meet = votes
            .iter()
            .zip(&steps)
            .filter_map(|(vote, step)| vote.filter(|vote| sample.time - vote.time <= *step))
            .all(|vote| vote.meets);
        held_since = if all_meet { held_since.or(Some(sample.time)) } else { None };
        let held = held_since.is_some_and(|since| sample.time - since >= goal.hold);
        let lost = sample.beyond_uncertainty || beyond_in_a_row >= 2;
        let next = match state {
            PointState::Closed if lost => PointState::Open,
            PointState::Closed => PointState::Closed,
            _ if held => PointState::Closed,
            _ => PointState::Open,
        };
        if next != state {
            if next == PointState::Closed {
                closed_at = Some(sample.time);
            }
            changes.push((sample.time, next, Some(sample.row.clone())));
            state = next;
        }
    }
    if let Some((time, _)) = last.filter(|(time, _)| to - *time > READING_REACH) {
        changes.push((time + READING_REACH, PointState::Unread, None));
        state = PointState::Unread;
    }
    Course { spans: between(&changes, from, to), last: state, closed_at }
}

fn track_samples(goal: &AirGoal, index: usize, track: &AirTrack) -> Vec<Sample> {
    let values = match goal.quantity {
        AirGoalQuantity::GrainsPerPound => &track.gpp,
        AirGoalQuantity::RelativeHumidity => &track.rh_pct,
        AirGoalQuantity::DewPoint => &track.dew_point_c,
    };
    values
        .iter()
        .enumerate()
        .filter_map(|(at, value)| {
            let beyond = match goal.comparison {
                Comparison::AtMost => (*value)? - goal.value,
                Comparison::AtLeast => goal.value - (*value)?,
            };
            // Only GPP carries its uncertainty per sample; the others reopen on two samples in a row.
            let u = match goal.quantity {
                AirGoalQuantity::GrainsPerPound => track.u_gpp[at],
                _ => None,
            };
            Some(Sample {
                time: track.time[at],
                track: index,
                meets: beyond <= 1e-9,
                beyond_uncertainty: u.is_some_and(|u| beyond > u),
                row: track.rows[at].clone(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(minute: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(minute * 60, 0).unwrap()
    }

    fn track(values: &[f64], u: f64) -> AirTrack {
        let n = values.len();
        AirTrack {
            logger: 0,
            label: "affected".into(),
            place: TrackPlace::Affected,
            chamber: Some("A".into()),
            unit: None,
            interval_s: Some(3600),
            time: (0..n).map(|i| at(60 * i64::try_from(i).unwrap())).collect(),
            air_temp_c: vec![None; n],
            rh_pct: vec![None; n],
            gpp: values.iter().copied().map(Some).collect(),
            dew_point_c: vec![None; n],
            vapour_pressure_pa: vec![None; n],
            wet_bulb_c: vec![None; n],
            enthalpy_kj_kg: vec![None; n],
            surface_temp_c: vec![None; n],
            u_gpp: vec![Some(u); n],
            u_gpp_from_pressure: vec![Some(0.0); n],
            rows: (1..).take(n).map(|row| SourceRow { file: "a.csv".into(), row }).collect(),
        }
    }

    fn gpp_goal() -> AirGoal {
        AirGoal {
            quantity: AirGoalQuantity::GrainsPerPound,
            comparison: Comparison::AtMost,
            value: 50.0,
            hold: TimeDelta::hours(2),
        }
    }

    fn brief(values: &[f64], u: f64) -> Vec<(i64, PointState)> {
        let goal = gpp_goal();
        course(&goal, &[&track(values, u)], at(0), at(60 * 12))
            .spans
            .iter()
            .map(|span| (span.from.timestamp() / 3600, span.state))
            .collect()
    }

    #[test]
    fn closes_after_its_hold_time() {
        assert_eq!(brief(&[60.0, 50.0, 49.0, 48.0, 47.0], 4.0), [(0, PointState::Open), (3, PointState::Closed)]);
    }

    #[test]
    fn one_sample_within_uncertainty_does_not_reopen() {
        let values = [49.0, 49.0, 49.0, 51.0, 49.0];
        assert_eq!(brief(&values, 4.0), [(0, PointState::Open), (2, PointState::Closed)]);
    }

    #[test]
    fn a_sample_beyond_uncertainty_reopens() {
        let values = [49.0, 49.0, 49.0, 56.0];
        assert_eq!(brief(&values, 4.0), [(0, PointState::Open), (2, PointState::Closed), (3, PointState::Open)]);
    }

    #[test]
    fn no_logger_no_state() {
        let goal = gpp_goal();
        let course = course(&goal, &[], at(0), at(60));
        assert_eq!((course.spans.len(), course.last), (1, PointState::Unread));
    }

    #[test]
    fn a_logger_that_replaces_another_goes_on_with_its_state() {
        let first = track(&[60.0, 49.0, 49.0], 4.0);
        let mut second = track(&[49.0, 48.0, 48.0], 4.0);
        second.time = second.time.iter().map(|time| *time + TimeDelta::hours(3)).collect();
        let course = course(&gpp_goal(), &[&first, &second], at(0), at(60 * 12));
        assert_eq!(course.closed_at, Some(at(60 * 3)), "held since 1:00 over both");
        assert_eq!(course.last, PointState::Closed);
    }

    #[test]
    fn two_loggers_must_both_hold_it() {
        let wet = track(&[60.0, 60.0, 60.0, 60.0, 60.0], 4.0);
        let dry = track(&[49.0, 49.0, 49.0, 49.0, 49.0], 4.0);
        assert_eq!(course(&gpp_goal(), &[&wet, &dry], at(0), at(60 * 12)).last, PointState::Open);
    }

    #[test]
    fn the_sample_at_the_clock_counts() {
        let course = course(&gpp_goal(), &[&track(&[49.0, 49.0, 49.0], 4.0)], at(0), at(120));
        assert_eq!(course.last, PointState::Closed);
    }
}
