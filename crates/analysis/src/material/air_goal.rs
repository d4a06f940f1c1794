//! Goals on a chamber's air, held for a time: the state over time from the affected loggers' samples.
//!
//! A goal closes when it has held without interruption for its hold time, and reopens like a point: by a sample beyond it
//! by more than its uncertainty, or by two in a row beyond it. It is open from a sample beyond it on; before one, and
//! before it has held, it is unread.
//!
//! Silence shows nothing: an open goal is unread once the last sample no longer speaks, a closed one once its loggers are
//! silent. What was closed goes on with the first sample after that; what was open must be shown again.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{AirGoal, AirGoalQuantity, Chamber, Comparison, Zone};
use grainfall_words::{Words, say};

use super::spans::{Change, between};
use crate::evidence::{
    AirGoalEvidence, AirGoalOf, AirTrack, GoalSide, GoalVerdict, PointSpan, PointState, SourceRow, TrackPlace,
};
use crate::rules::{LOGGER_SILENT, READING_REACH};
use crate::words::{hours, moment, number};

/// Expanded uncertainty (k = 2) of a sample of a track, in the unit of the quantity; `None` where it is not known.
pub(crate) type UncertaintyOf<'a> = dyn Fn(AirGoalOf, &AirTrack, usize) -> Option<f64> + 'a;

/// Every air goal of a chamber with its states over `from..to`.
pub(crate) fn of_chamber(
    chamber: &Chamber,
    tracks: &[AirTrack],
    u: &UncertaintyOf<'_>,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
    zone: Zone,
) -> Vec<AirGoalEvidence> {
    let words = zone.words;
    let affected: Vec<&AirTrack> = tracks
        .iter()
        .filter(|track| track.place == TrackPlace::Affected && track.chamber.as_deref() == Some(chamber.id.as_str()))
        .collect();
    chamber
        .air_goals
        .iter()
        .map(|goal| {
            let course = course(goal, &affected, u, from, to);
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
                GoalVerdict::NotShown => match course.last_sample {
                    Some(time) if to - time > LOGGER_SILENT => {
                        say!(words, "air_goal.no_logger_tells_since", time = moment(time, zone))
                    }
                    Some(_) => say!(words, "air_goal.it_has_not_held_yet").to_owned(),
                    None => say!(words, "air_goal.no_logger_in_the_affected").to_owned(),
                },
            };
            AirGoalEvidence {
                text: text(words, goal),
                quantity: of(goal.quantity),
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

fn of(quantity: AirGoalQuantity) -> AirGoalOf {
    match quantity {
        AirGoalQuantity::GrainsPerPound => AirGoalOf::Gpp,
        AirGoalQuantity::RelativeHumidity => AirGoalOf::Rh,
        AirGoalQuantity::DewPoint => AirGoalOf::DewPoint,
    }
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
    /// What was last said, a sample at the end itself included; unread where the loggers are silent by then.
    last: PointState,
    /// When it last closed.
    closed_at: Option<DateTime<Utc>>,
    last_sample: Option<DateTime<Utc>>,
}

/// What a logger last said.
#[derive(Clone, Copy)]
struct Vote {
    time: DateTime<Utc>,
    /// A sample speaks until then, for two of its logger's intervals; a logger that was taken away or replaced falls silent.
    until: DateTime<Utc>,
    meets: bool,
    beyond_in_a_row: u32,
}

/// A state as it stands, with the sample it rests on.
#[derive(Clone)]
struct Standing {
    state: PointState,
    row: Option<SourceRow>,
}

fn course(
    goal: &AirGoal,
    tracks: &[&AirTrack],
    u: &UncertaintyOf<'_>,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Course {
    let speaks: Vec<TimeDelta> =
        tracks.iter().map(|track| TimeDelta::seconds(i64::from(track.interval_s.unwrap_or(3600))) * 2).collect();
    let mut samples: Vec<Sample> =
        tracks.iter().enumerate().flat_map(|(index, track)| track_samples(goal, index, track, u)).collect();
    samples.sort_by_key(|sample| (sample.time, sample.track));
    let mut votes: Vec<Option<Vote>> = vec![None; tracks.len()];
    let mut changes: Vec<Change> = Vec::new();
    let mut standing = Standing { state: PointState::Unread, row: None };
    let mut held_since: Option<DateTime<Utc>> = None;
    let mut closed_at = None;
    for sample in samples.iter().filter(|sample| sample.time <= to) {
        let heard = last_heard(&votes);
        if let Some((time, until)) = heard
            && sample.time > until
        {
            held_since = None;
            if let Some(silent_from) = silence(standing.state, time, until).filter(|from| *from < sample.time) {
                changes.push((silent_from, PointState::Unread, None));
                let goes_on = standing.state == PointState::Closed && sample.time - time <= READING_REACH;
                if goes_on && !sample.beyond_uncertainty {
                    changes.push((sample.time, PointState::Closed, standing.row.clone()));
                } else {
                    standing = Standing { state: PointState::Unread, row: None };
                }
            }
        }
        let before = votes[sample.track].map_or(0, |vote| vote.beyond_in_a_row);
        let beyond_in_a_row = if sample.meets { 0 } else { before + 1 };
        let until = sample.time + speaks[sample.track];
        votes[sample.track] = Some(Vote { time: sample.time, until, meets: sample.meets, beyond_in_a_row });
        let all_meet = votes.iter().flatten().filter(|vote| sample.time <= vote.until).all(|vote| vote.meets);
        held_since = if all_meet { held_since.or(Some(sample.time)) } else { None };
        let held = held_since.is_some_and(|since| sample.time - since >= goal.hold);
        let lost = sample.beyond_uncertainty || beyond_in_a_row >= 2;
        let next = match standing.state {
            PointState::Closed if lost => PointState::Open,
            PointState::Closed => PointState::Closed,
            _ if held => PointState::Closed,
            _ if !sample.meets => PointState::Open,
            // It meets the goal and has not held yet: what was open stays open, what was not shown is not.
            state => state,
        };
        if next != standing.state {
            if next == PointState::Closed {
                closed_at = Some(sample.time);
            }
            standing = Standing { state: next, row: Some(sample.row.clone()) };
            changes.push((sample.time, next, standing.row.clone()));
        }
    }
    let heard = last_heard(&votes);
    if let Some((time, until)) = heard
        && let Some(silent_from) = silence(standing.state, time, until).filter(|from| *from < to)
    {
        changes.push((silent_from, PointState::Unread, None));
    }
    let last_sample = heard.map(|(time, _)| time);
    let last =
        if last_sample.is_some_and(|time| to - time <= LOGGER_SILENT) { standing.state } else { PointState::Unread };
    Course { spans: between(&changes, from, to), last, closed_at, last_sample }
}

/// The last sample of any logger, and until when any of them speaks.
fn last_heard(votes: &[Option<Vote>]) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
    let time = votes.iter().flatten().map(|vote| vote.time).max()?;
    Some((time, votes.iter().flatten().map(|vote| vote.until).max()?))
}

/// From when a state is unread unless another sample comes: silence is no load, and a met goal stands until its loggers are
/// silent.
fn silence(state: PointState, last: DateTime<Utc>, speaks_until: DateTime<Utc>) -> Option<DateTime<Utc>> {
    match state {
        PointState::Open => Some(speaks_until),
        PointState::Closed => Some(speaks_until.max(last + LOGGER_SILENT)),
        PointState::Unread | PointState::Ended => None,
    }
}

fn track_samples(goal: &AirGoal, index: usize, track: &AirTrack, u: &UncertaintyOf<'_>) -> Vec<Sample> {
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
            let meets = beyond <= 1e-9;
            Some(Sample {
                time: track.time[at],
                track: index,
                meets,
                beyond_uncertainty: !meets && u(of(goal.quantity), track, at).is_some_and(|u| beyond > u),
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

    fn course(goal: &AirGoal, tracks: &[&AirTrack], from: DateTime<Utc>, to: DateTime<Utc>) -> Course {
        super::course(goal, tracks, &|_, track, at| track.u_gpp[at], from, to)
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
        assert_eq!(brief(&values, 4.0), [(0, PointState::Unread), (2, PointState::Closed)]);
        let twice = [49.0, 49.0, 49.0, 51.0, 51.0, 49.0];
        assert_eq!(brief(&twice, 4.0)[1..3], [(2, PointState::Closed), (4, PointState::Open)]);
    }

    #[test]
    fn a_sample_beyond_uncertainty_reopens() {
        let values = [49.0, 49.0, 49.0, 56.0, 56.0, 56.0, 56.0, 56.0, 56.0, 56.0, 56.0];
        let due = [(0, PointState::Unread), (2, PointState::Closed), (3, PointState::Open)];
        assert_eq!(brief(&values, 4.0), due);
    }

    /// Hourly samples speak for two hours; loggers are silent after twelve.
    #[test]
    fn silence_is_neither_load_nor_proof() {
        let goal = gpp_goal();
        let over = |values: &[f64], hours: i64| -> Vec<(i64, PointState)> {
            let spans = course(&goal, &[&track(values, 4.0)], at(0), at(60 * hours)).spans;
            spans.iter().map(|span| (span.from.timestamp() / 3600, span.state)).collect()
        };
        assert_eq!(over(&[60.0, 60.0], 24), [(0, PointState::Open), (3, PointState::Unread)]);
        let met = over(&[60.0, 49.0, 49.0, 49.0], 24);
        assert_eq!(met, [(0, PointState::Open), (3, PointState::Closed), (15, PointState::Unread)]);
    }

    /// Twenty hours without a sample: what had been met goes on, what was open must be shown again.
    #[test]
    fn after_a_silence_a_met_goal_goes_on_and_an_open_one_does_not() {
        let goal = gpp_goal();
        let with_gap = |before: &[f64], after: &[f64]| -> Vec<(i64, PointState)> {
            let mut one = track(&[before, after].concat(), 4.0);
            for time in &mut one.time[before.len()..] {
                *time += TimeDelta::hours(20);
            }
            let to = one.time[one.time.len() - 1];
            let spans = course(&goal, &[&one], at(0), to).spans;
            spans.iter().map(|span| (span.from.timestamp() / 3600, span.state)).collect()
        };
        use PointState::{Closed, Open, Unread};
        let met = with_gap(&[49.0, 49.0, 49.0], &[49.0, 49.0]);
        assert_eq!(met, [(0, Unread), (2, Closed), (14, Unread), (23, Closed)]);
        let lost = with_gap(&[49.0, 49.0, 49.0], &[60.0, 60.0]);
        assert_eq!(lost, [(0, Unread), (2, Closed), (14, Unread), (23, Open)]);
        let open = with_gap(&[60.0, 60.0], &[49.0, 49.0, 49.0, 49.0]);
        assert_eq!(open, [(0, Open), (3, Unread), (24, Closed)]);
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
        assert_eq!(course(&gpp_goal(), &[&wet, &dry], at(0), at(60 * 12)).last, PointState::Open, "said 8 h before");
        assert_eq!(course(&gpp_goal(), &[&wet, &dry], at(0), at(60 * 17)).last, PointState::Unread, "silent");
    }

    #[test]
    fn the_sample_at_the_clock_counts() {
        let course = course(&gpp_goal(), &[&track(&[49.0, 49.0, 49.0], 4.0)], at(0), at(120));
        assert_eq!(course.last, PointState::Closed);
    }
}
