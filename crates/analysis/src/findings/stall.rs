//! Readings of an open point that do not get nearer to its goal.

use chrono::{DateTime, Utc};
use grainfall_words::say;

use super::{Draft, Record};
use crate::evidence::{FindingKind, PointEvidence, PointState, ReadingEvidence, SourceRow, Subject};
use crate::material::rate::theil_sen;
use crate::series::{number_of, rewetted};
use crate::thresholds::{
    READING_ERROR, STALL_DAYS_TO_GOAL, STALL_LOOKED_AT_EVERY, STALL_READINGS, STALL_SLOPE_READINGS, STALL_SPAN,
};
use crate::words::{hours, moment, number};

/// A stretch of readings that stalls.
struct Stall {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
    per_day: f64,
    last: f64,
    rows: Vec<SourceRow>,
}

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for point in record.points.iter().filter(|point| !point.reference) {
        let Some(goal) = point.goal.as_ref().map(|goal| goal.value) else { continue };
        for stall in stalls(point, goal) {
            drafts.push(Draft {
                kind: FindingKind::Stall,
                subject: Subject::Point(point.id.clone()),
                from: stall.from,
                to: Some(stall.to),
                text: say!(
                    words,
                    "stall.text",
                    point = point.id,
                    goal = number(words, goal, 2),
                    unit = point.unit,
                    from = moment(stall.from, zone),
                    to = moment(stall.to, zone),
                    last = number(words, stall.last, 2),
                    per_day = number(words, stall.per_day, 2)
                ),
                threshold: say!(
                    words,
                    "stall.threshold",
                    stall_readings = STALL_READINGS,
                    stall_span = number(words, hours(STALL_SPAN), 0),
                    stall_days_to_goal = number(words, STALL_DAYS_TO_GOAL, 0)
                ),
                rows: stall.rows,
            });
        }
    }
    drafts
}

/// Stalls of one point; windows that overlap are one.
fn stalls(point: &PointEvidence, goal: f64) -> Vec<Stall> {
    let mut out: Vec<Stall> = Vec::new();
    let readings: Vec<(&ReadingEvidence, f64)> =
        point.readings.iter().filter_map(|reading| Some((reading, number_of(reading)?))).collect();
    let mut begun = 0;
    let mut checked: Option<DateTime<Utc>> = None;
    for index in 0..readings.len() {
        let (reading, value) = readings[index];
        let accuracy = reading.stated_accuracy();
        if index > 0 {
            let (before, last) = readings[index - 1];
            if before.meter != reading.meter || rewetted(last, value, accuracy) {
                begun = index;
            }
        }
        // A logged point is looked at every few hours only: neighbouring windows say the same.
        if point.logged && checked.is_some_and(|checked| reading.time - checked < STALL_LOOKED_AT_EVERY) {
            continue;
        }
        checked = Some(reading.time);
        let open = state_at(point, reading.time) == Some(PointState::Open);
        // The shortest window that is long enough and holds enough readings.
        let Some(start) = (begun..=index)
            .rev()
            .find(|start| index + 1 - start >= STALL_READINGS && reading.time - readings[*start].0.time >= STALL_SPAN)
        else {
            continue;
        };
        let window = &readings[start..=index];
        let step = window.len().div_ceil(STALL_SLOPE_READINGS).max(1);
        let points: Vec<(DateTime<Utc>, f64)> =
            window.iter().rev().step_by(step).map(|(reading, value)| (reading.time, *value)).rev().collect();
        let Some(slope) = theil_sen(&points) else { continue };
        let pace = (value - goal) / STALL_DAYS_TO_GOAL;
        // A median slope does not see a fall in the window's first step.
        let fell = window[0].1 - value;
        let days = hours(reading.time - window[0].0.time) / 24.0;
        let level = fell <= (pace * days).max(accuracy).max(READING_ERROR);
        let stalled = open && value > goal && slope.per_day > -pace && level;
        if !stalled {
            continue;
        }
        let rows: Vec<SourceRow> = vec![window[0].0.row.clone(), reading.row.clone()];
        match out.last_mut().filter(|stall| stall.to >= window[0].0.time) {
            Some(stall) => {
                stall.to = reading.time;
                stall.per_day = slope.per_day;
                stall.last = value;
                stall.rows.push(reading.row.clone());
            }
            None => {
                out.push(Stall { from: window[0].0.time, to: reading.time, per_day: slope.per_day, last: value, rows })
            }
        }
    }
    out
}

fn state_at(point: &PointEvidence, time: DateTime<Utc>) -> Option<PointState> {
    let holds = |span: &&crate::evidence::PointSpan| span.from <= time && time < span.to;
    point.spans.iter().find(holds).or(point.spans.last().filter(|span| span.to <= time)).map(|span| span.state)
}

#[cfg(test)]
mod tests {
    use crate::air::testing::job;
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind, point, reading};

    fn stalls(values: &[f64]) -> Vec<String> {
        let mut job = job();
        job.points = vec![point("P1", 12.0)];
        job.readings = (6..)
            .zip(values)
            .map(|(day, value)| reading(&format!("2025-10-{day:02}T09:00:00Z"), "P1", *value))
            .collect();
        let evidence = evidence(&job, vec![], "2025-10-20T00:00:00Z");
        of_kind(&evidence, FindingKind::Stall).iter().map(|one| one.text.clone()).collect()
    }

    #[test]
    fn a_plateau_above_the_goal_is_one_stall() {
        let found = stalls(&[24.0, 18.0, 17.9, 18.0, 17.9, 17.9, 18.0]);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("between 7 Oct 2025 09:00 and 12 Oct 2025 09:00"), "{found:?}");
    }

    #[test]
    fn four_readings_or_a_slow_approach_are_none() {
        assert!(stalls(&[18.0, 18.0, 18.0, 18.0]).is_empty());
        assert!(stalls(&[20.0, 16.5, 14.5, 13.4, 12.8, 12.45, 12.25]).is_empty());
    }

    #[test]
    fn a_met_goal_does_not_stall() {
        assert!(stalls(&[20.0, 11.5, 11.5, 11.5, 11.5, 11.5]).is_empty());
    }
}
