//! Goals on a chamber's air, held for a time: the state over time from the affected loggers' samples.
//!
//! A goal closes when it has held without interruption for its hold time, reopens like a point (a sample beyond it by
//! more than its uncertainty, or two in a row beyond it), and is unread where no logger tells.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{AirGoal, AirGoalQuantity, Chamber, Comparison};

use crate::evidence::{AirGoalEvidence, AirTrack, GoalVerdict, PointSpan, PointState, SourceRow, TrackPlace};
use crate::rules::READING_REACH;
use crate::words::{hours, number};

/// Every air goal of a chamber with its states over `from..to`.
pub(crate) fn of_chamber(
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
            let each: Vec<Vec<PointSpan>> = affected.iter().map(|track| track_spans(goal, track, from, to)).collect();
            let spans = combine(&each, from, to);
            let state = spans.last().map_or(PointState::Unread, |span| span.state);
            let verdict = match state {
                PointState::Closed => GoalVerdict::Met,
                PointState::Open => GoalVerdict::NotMet,
                PointState::Unread | PointState::Ended => GoalVerdict::NotShown,
            };
            let met_at = spans.last().filter(|span| span.state == PointState::Closed).map(|span| span.from);
            let why = match verdict {
                GoalVerdict::Met => "held for its time and not lost since".to_owned(),
                GoalVerdict::NotMet => "the affected air does not hold it".to_owned(),
                GoalVerdict::NotShown => "no logger in the affected air tells".to_owned(),
            };
            AirGoalEvidence { text: words(goal), verdict, met_at, why, spans }
        })
        .collect()
}

fn words(goal: &AirGoal) -> String {
    let side = match goal.comparison {
        Comparison::AtMost => "at most",
        Comparison::AtLeast => "at least",
    };
    let value = match goal.quantity {
        AirGoalQuantity::GrainsPerPound => format!("GPP {side} {}", number(goal.value, 1)),
        AirGoalQuantity::RelativeHumidity => format!("RH {side} {} %", number(goal.value, 1)),
        AirGoalQuantity::DewPoint => format!(
            "dew point {side} {} degF ({} degC)",
            number(grainfall_psychrometrics::Celsius::new(goal.value).to_fahrenheit(), 1),
            number(goal.value, 1)
        ),
    };
    format!("{value} for {} h", number(hours(goal.hold), 1))
}

/// One sample: whether it meets the goal, and if not, whether it is beyond it by more than its uncertainty.
struct Sample {
    time: DateTime<Utc>,
    meets: bool,
    beyond_uncertainty: bool,
    row: SourceRow,
}

fn track_spans(goal: &AirGoal, track: &AirTrack, from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<PointSpan> {
    let values = match goal.quantity {
        AirGoalQuantity::GrainsPerPound => &track.gpp,
        AirGoalQuantity::RelativeHumidity => &track.rh_pct,
        AirGoalQuantity::DewPoint => &track.dew_point_c,
    };
    let samples: Vec<Sample> = values
        .iter()
        .enumerate()
        .filter_map(|(index, value)| {
            let beyond = match goal.comparison {
                Comparison::AtMost => (*value)? - goal.value,
                Comparison::AtLeast => goal.value - (*value)?,
            };
            // Only GPP carries its uncertainty per sample; the others reopen on two samples in a row.
            let u = match goal.quantity {
                AirGoalQuantity::GrainsPerPound => track.u_gpp[index],
                _ => None,
            };
            Some(Sample {
                time: track.time[index],
                meets: beyond <= 1e-9,
                beyond_uncertainty: u.is_some_and(|u| beyond > u),
                row: track.rows[index].clone(),
            })
        })
        .collect();
    let longest_step = TimeDelta::seconds(i64::from(track.interval_s.unwrap_or(3600))) * 2;
    let mut changes: Vec<(DateTime<Utc>, PointState, Option<SourceRow>)> = Vec::new();
    let mut state = PointState::Unread;
    let mut held_since: Option<DateTime<Utc>> = None;
    let mut beyond_in_a_row = 0;
    let mut last: Option<DateTime<Utc>> = None;
    for sample in &samples {
        let gap = last.is_some_and(|last| sample.time - last > longest_step);
        if gap {
            held_since = None;
            if let Some(last) = last.filter(|last| sample.time - *last > READING_REACH) {
                changes.push((last + READING_REACH, PointState::Unread, None));
                state = PointState::Unread;
            }
        }
        last = Some(sample.time);
        if sample.meets {
            beyond_in_a_row = 0;
            held_since = held_since.or(Some(sample.time));
        } else {
            beyond_in_a_row += 1;
            held_since = None;
        }
        let held = held_since.is_some_and(|since| sample.time - since >= goal.hold);
        let lost = sample.beyond_uncertainty || beyond_in_a_row >= 2;
        let next = match state {
            PointState::Closed if lost => PointState::Open,
            PointState::Closed => PointState::Closed,
            _ if held => PointState::Closed,
            _ => PointState::Open,
        };
        if next != state {
            changes.push((sample.time, next, Some(sample.row.clone())));
            state = next;
        }
    }
    if let Some(last) = last.filter(|last| to - *last > READING_REACH) {
        changes.push((last + READING_REACH, PointState::Unread, None));
    }
    lay_out(&changes, from, to)
}

fn lay_out(
    changes: &[(DateTime<Utc>, PointState, Option<SourceRow>)],
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Vec<PointSpan> {
    let start = std::iter::once((from.min(changes.first().map_or(from, |c| c.0)), PointState::Unread, None));
    let all: Vec<_> = start.chain(changes.iter().cloned()).collect();
    all.iter()
        .enumerate()
        .filter_map(|(index, (at, state, row))| {
            let until = all.get(index + 1).map_or(to, |next| next.0);
            let (begin, end) = ((*at).max(from), until.min(to));
            (begin < end).then(|| PointSpan { from: begin, to: end, state: *state, row: row.clone() })
        })
        .collect()
}

/// Open if any logger says so, unread if any is silent and none says open, closed only if all are.
fn combine(each: &[Vec<PointSpan>], from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<PointSpan> {
    if each.is_empty() {
        return lay_out(&[], from, to);
    }
    let mut edges: Vec<DateTime<Utc>> = each.iter().flatten().map(|span| span.from).collect();
    edges.sort_unstable();
    edges.dedup();
    let mut changes: Vec<(DateTime<Utc>, PointState, Option<SourceRow>)> = Vec::new();
    for edge in edges {
        let now: Vec<&PointSpan> =
            each.iter().filter_map(|spans| spans.iter().find(|span| span.from <= edge && edge < span.to)).collect();
        let deciding = [PointState::Open, PointState::Unread, PointState::Closed]
            .into_iter()
            .find_map(|state| now.iter().find(|span| span.state == state));
        if let Some(span) = deciding
            && changes.last().is_none_or(|last| last.1 != span.state)
        {
            changes.push((edge, span.state, span.row.clone()));
        }
    }
    lay_out(&changes, from, to)
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
            rows: (1..).take(n).map(|row| SourceRow { file: "a.csv".into(), row }).collect(),
        }
    }

    fn brief(values: &[f64], u: f64) -> Vec<(i64, PointState)> {
        let goal = AirGoal {
            quantity: AirGoalQuantity::GrainsPerPound,
            comparison: Comparison::AtMost,
            value: 50.0,
            hold: TimeDelta::hours(2),
        };
        track_spans(&goal, &track(values, u), at(0), at(60 * 12))
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
        let spans = combine(&[], at(0), at(60));
        assert_eq!(spans.len(), 1);
        assert_eq!(spans[0].state, PointState::Unread);
    }
}
