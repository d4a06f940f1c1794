//! When a dehumidifier ran, from the air it gave off.
//!
//! A running machine gives off warmer air than it takes in; when it stops, its outlet falls to the state of the air
//! around it. So the rise of temperature across the unit decides first. Its own running level is found in the record:
//! the median of the samples above half the peak. The unit starts where the rise reaches half that level and stops
//! where it falls below 0.35 of it; both thresholds keep clear of what the sensors and a room's uneven air can fake.
//!
//! Where the rise never gets clear of that, the depression decides: above half its own level the unit ran. Below it
//! the unit is stopped only where outlet and inlet are the same within their uncertainty; otherwise the record cannot
//! tell, because a machine in dry air takes out little water too.
//!
//! A change lies halfway between the last sample of one state and the first of the next. A logger cools down slowly,
//! so a stop may show some minutes late. Stretches shorter than two intervals are not called: a machine that thaws its
//! coil for one sample has not stopped. A gap of at most two intervals with the same state on both sides is bridged.

use chrono::{DateTime, Utc};

use super::cover::Cell;
use super::instant::{instant, micros_of, overlap};
use crate::evidence::{RunSpan, RunState, SourceRow};
use crate::thresholds::{
    RUN_LEAST_RISE_K, RUN_PAUSE_MARGIN, RUN_PEAK_SAMPLES, RUN_PEAK_SHARE, RUN_SHORTEST_INTERVALS, RUN_START_SHARE,
    RUN_STOP_SHARE,
};

/// What is known of a unit at one outlet sample.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RunSample {
    /// The time it stands for.
    pub(crate) cell: Cell,
    /// Outlet minus inlet temperature, K.
    pub(crate) rise_k: Option<f64>,
    /// Its expanded uncertainty, K.
    pub(crate) u_rise_k: f64,
    /// Inlet minus outlet, GPP, with its expanded uncertainty.
    pub(crate) depression: Option<(f64, f64)>,
    /// Line of the outlet sample.
    pub(crate) row: SourceRow,
}

/// Running states of a unit over its stays (microseconds, in order, not overlapping), without holes.
///
/// `samples` are in time order; `interval` is the outlet's usual interval, microseconds; `pauses` are the recorded
/// pauses of this unit.
pub(crate) fn run_spans(
    samples: &[RunSample],
    interval: i64,
    stays: &[(i64, i64)],
    pauses: &[(i64, i64)],
) -> Vec<RunSpan> {
    let called = classify(samples);
    let mut out = Vec::new();
    for stay in stays {
        let mut spans = stay_spans(samples, &called, interval, *stay);
        merge_short(&mut spans, interval * RUN_SHORTEST_INTERVALS);
        let spans = with_pauses(&spans, pauses);
        out.extend(spans.iter().map(|span| RunSpan {
            from: instant(span.from),
            to: instant(span.to),
            state: span.state,
            rows: rows_of(samples, span),
        }));
    }
    out
}

/// The state at an instant; `NotShown` outside all spans.
pub(crate) fn state_at(spans: &[RunSpan], time: DateTime<Utc>) -> RunState {
    let after = spans.partition_point(|span| span.from <= time);
    match after.checked_sub(1).map(|k| &spans[k]) {
        Some(span) if time < span.to || (time == span.to && after == spans.len()) => span.state,
        _ => RunState::NotShown,
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    from: i64,
    to: i64,
    state: RunState,
}

/// Start and stop thresholds from the unit's own level.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Thresholds {
    start: f64,
    stop: f64,
}

/// The thresholds for a signal; `None` when its peak does not reach `floor`.
fn thresholds(values: &[f64], floor: f64) -> Option<Thresholds> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let rank = ((sorted.len() as f64 * RUN_PEAK_SHARE) as usize).max(RUN_PEAK_SAMPLES);
    let peak = sorted[sorted.len().checked_sub(rank)?];
    if peak <= floor {
        return None;
    }
    let upper = &sorted[sorted.partition_point(|v| *v < peak * RUN_START_SHARE)..];
    let level = upper[upper.len() / 2];
    let start = (level * RUN_START_SHARE).max(floor);
    let stop = (level * RUN_STOP_SHARE).max(floor * RUN_STOP_SHARE / RUN_START_SHARE);
    Some(Thresholds { start, stop })
}

/// State of each sample.
fn classify(samples: &[RunSample]) -> Vec<RunState> {
    let rises: Vec<f64> = samples.iter().filter_map(|s| s.rise_k).collect();
    let sensor_floor = samples.iter().filter(|s| s.rise_k.is_some()).map(|s| s.u_rise_k).fold(0.0, f64::max);
    if let Some(levels) = thresholds(&rises, sensor_floor.max(RUN_LEAST_RISE_K)) {
        // A unit whose outlet is no longer warm but still drier by more than the uncertainty is running.
        let still_dries = |s: &RunSample| s.depression.is_some_and(|(depression, u)| depression > u);
        let below = |s: &RunSample| if still_dries(s) { RunState::Running } else { RunState::Stopped };
        return with_hysteresis(samples, levels, |s| s.rise_k, below);
    }
    let depressions: Vec<f64> = samples.iter().filter_map(|s| s.depression.map(|(d, _)| d)).collect();
    let floor = samples.iter().filter_map(|s| s.depression.map(|(_, u)| u)).fold(0.0, f64::max);
    let levels = thresholds(&depressions, floor).unwrap_or(Thresholds { start: f64::INFINITY, stop: f64::INFINITY });
    with_hysteresis(
        samples,
        levels,
        |s| s.depression.map(|(d, _)| d),
        |s| if collapsed(s) { RunState::Stopped } else { RunState::NotShown },
    )
}

/// Whether outlet and inlet are the same within their uncertainty.
fn collapsed(sample: &RunSample) -> bool {
    sample.rise_k.is_some_and(|rise| rise.abs() <= sample.u_rise_k)
        && sample.depression.is_some_and(|(depression, u)| depression.abs() <= u)
}

fn with_hysteresis(
    samples: &[RunSample],
    levels: Thresholds,
    signal: impl Fn(&RunSample) -> Option<f64>,
    below: impl Fn(&RunSample) -> RunState,
) -> Vec<RunState> {
    let mut running = false;
    let mut end = None;
    samples
        .iter()
        .map(|sample| {
            // After a gap nothing is remembered.
            if end.is_some_and(|end| end < sample.cell.from) {
                running = false;
            }
            end = Some(sample.cell.to);
            let Some(value) = signal(sample) else { return RunState::NotShown };
            running = value >= if running { levels.stop } else { levels.start };
            if running { RunState::Running } else { below(sample) }
        })
        .collect()
}

/// The stretches of one stay; where no sample stands for the time, `NotShown`.
fn stay_spans(samples: &[RunSample], called: &[RunState], interval: i64, stay: (i64, i64)) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    let mut at = stay.0;
    for (sample, state) in samples.iter().zip(called) {
        if overlap(sample.cell.span(), stay) == 0 {
            continue;
        }
        let (from, to) = (sample.cell.from.max(at), sample.cell.to.min(stay.1));
        if from >= to {
            continue;
        }
        if from > at {
            hole(&mut out, at, from, *state, interval);
        }
        extend(&mut out, Stretch { from: at.max(from), to, state: *state });
        at = to;
    }
    if at < stay.1 {
        extend(&mut out, Stretch { from: at, to: stay.1, state: RunState::NotShown });
    }
    out
}

/// Fills a hole: bridged when it is at most one interval (a gap of two between samples) and the states agree.
fn hole(out: &mut Vec<Stretch>, from: i64, to: i64, after: RunState, interval: i64) {
    let before = out.last().map(|stretch| stretch.state);
    let state = if to - from <= interval && before == Some(after) { after } else { RunState::NotShown };
    extend(out, Stretch { from, to, state });
}

/// Appends a stretch, joined to the one before where the state is the same.
fn extend(out: &mut Vec<Stretch>, stretch: Stretch) {
    match out.last_mut() {
        Some(last) if last.state == stretch.state && last.to == stretch.from => last.to = stretch.to,
        _ => out.push(stretch),
    }
}

/// Gives stretches of running or stopped that are too short the state of what surrounds them, shortest first.
fn merge_short(spans: &mut Vec<Stretch>, shortest: i64) {
    let is_called = |state: RunState| matches!(state, RunState::Running | RunState::Stopped);
    loop {
        let candidate = (0..spans.len())
            .filter(|k| is_called(spans[*k].state) && spans[*k].to - spans[*k].from < shortest && spans.len() > 1)
            .min_by_key(|k| (spans[*k].to - spans[*k].from, spans[*k].from));
        let Some(k) = candidate else { return };
        let neighbour = |n: Option<usize>| n.and_then(|n| spans.get(n)).map(|s| s.state).filter(|s| is_called(*s));
        let state = neighbour(k.checked_sub(1)).or_else(|| neighbour(Some(k + 1))).unwrap_or(RunState::NotShown);
        spans[k].state = state;
        let mut joined = Vec::with_capacity(spans.len());
        for stretch in spans.drain(..) {
            extend(&mut joined, stretch);
        }
        *spans = joined;
    }
}

/// Marks what stood still, or is not shown, within recorded pauses. A stop that overlaps a pause and goes on for at
/// most the margin beyond its end, or began at most the margin before it, is part of it. What ran stays running.
fn with_pauses(spans: &[Stretch], pauses: &[(i64, i64)]) -> Vec<Stretch> {
    let mut out = Vec::new();
    for span in spans {
        if span.state == RunState::Running {
            extend(&mut out, *span);
            continue;
        }
        let mut paused: Vec<(i64, i64)> = pauses
            .iter()
            .filter(|pause| overlap((span.from, span.to), **pause) > 0)
            .map(|pause| {
                let margin = if span.state == RunState::Stopped { micros_of(RUN_PAUSE_MARGIN) } else { 0 };
                let from = if pause.0 - span.from <= margin { span.from } else { pause.0 };
                let to = if span.to - pause.1 <= margin { span.to } else { pause.1 };
                (from.max(span.from), to.min(span.to))
            })
            .collect();
        paused.sort_unstable();
        let mut at = span.from;
        for (from, to) in paused {
            if at < from {
                extend(&mut out, Stretch { from: at, to: from, state: span.state });
            }
            if at.max(from) < to {
                extend(&mut out, Stretch { from: at.max(from), to, state: RunState::Paused });
                at = to;
            }
        }
        if at < span.to {
            extend(&mut out, Stretch { from: at, to: span.to, state: span.state });
        }
    }
    out
}

/// First and last outlet row of a stretch; of one without samples, the rows before and after it.
fn rows_of(samples: &[RunSample], span: &Stretch) -> Vec<SourceRow> {
    let first = samples.partition_point(|sample| sample.cell.to <= span.from);
    let last = samples.partition_point(|sample| sample.cell.from < span.to);
    let picked = if first < last {
        [Some(first), last.checked_sub(1)]
    } else {
        [first.checked_sub(1), Some(first).filter(|k| *k < samples.len())]
    };
    let mut rows: Vec<SourceRow> = picked.into_iter().flatten().map(|k| samples[k].row.clone()).collect();
    rows.dedup();
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    const MINUTE: i64 = 60_000_000;
    const STEP: i64 = 5 * MINUTE;

    /// Samples every five minutes with these rises, K, and this uncertainty of each, K.
    fn samples(rises: &[f64], u_rise_k: f64) -> Vec<RunSample> {
        rises
            .iter()
            .enumerate()
            .map(|(index, rise)| {
                let time = STEP * i64::try_from(index).unwrap();
                RunSample {
                    cell: Cell { index, from: time - STEP / 2, to: time + STEP / 2 },
                    rise_k: Some(*rise),
                    u_rise_k,
                    depression: Some((0.0, 7.0)),
                    row: SourceRow { file: "out.csv".into(), row: index as u64 + 2 },
                }
            })
            .collect()
    }

    fn spans(rises: &[f64], pauses: &[(i64, i64)]) -> Vec<(i64, i64, RunState)> {
        let end = STEP * i64::try_from(rises.len() - 1).unwrap();
        run_spans(&samples(rises, 0.45), STEP, &[(0, end)], pauses)
            .into_iter()
            .map(|span| (span.from.timestamp() / 60, span.to.timestamp() / 60, span.state))
            .collect()
    }

    /// Five days: the rise falls from 12 to 6 K as the air dries, swings by 1 K over the day, scatters by 0.4 K, and
    /// the logger follows with a time constant of 12 min. The unit stands for 4 h on the fourth day, when it runs at
    /// little more than half its first level. The stop is found within 20 min of its true times.
    #[test]
    fn a_stop_late_in_the_job_is_found_through_lag_drift_and_scatter() {
        let count = 5 * 288;
        let (stop, restart) = (3 * 288 + 100, 3 * 288 + 148);
        let lag = f64::exp(-5.0 / 12.0);
        let mut logged = 12.0;
        let rises: Vec<f64> = (0..count)
            .map(|i| {
                let share = f64::from(i) / f64::from(count);
                let level = 12.0 - 6.0 * share + f64::sin(f64::from(i) / 288.0 * std::f64::consts::TAU);
                let target = if (stop..restart).contains(&i) { 0.3 } else { level };
                logged = target + (logged - target) * lag;
                // A fixed irregular sequence stands in for scatter.
                logged + 0.4 * f64::sin(f64::from(i) * 2.399)
            })
            .collect();
        let found = spans(&rises, &[]);
        let states: Vec<_> = found.iter().map(|(.., state)| *state).collect();
        assert_eq!(states, [RunState::Running, RunState::Stopped, RunState::Running], "{found:?}");
        let (from, to) = (found[1].0 - i64::from(stop) * 5, found[1].1 - i64::from(restart) * 5);
        assert!((0..=20).contains(&from), "stop found {from} min late");
        assert!((0..=20).contains(&to), "restart found {to} min late");
    }

    /// A room whose air is uneven by 1.8 K is no machine.
    #[test]
    fn uneven_room_air_is_not_taken_for_running() {
        let found = spans(&[1.8; 50], &[]);
        assert_eq!(found, [(0, 245, RunState::NotShown)], "neither running nor the same air");
        assert_eq!(spans(&[0.4; 50], &[]), [(0, 245, RunState::Stopped)]);
    }

    /// A unit that stands nearly all the time still shows when it ran.
    #[test]
    fn a_unit_that_runs_for_an_hour_in_two_days_is_seen_running() {
        let rises: Vec<f64> = (0..576).map(|i| if (300..312).contains(&i) { 9.0 } else { 1.5 }).collect();
        let states: Vec<_> = spans(&rises, &[]).into_iter().map(|(.., state)| state).collect();
        assert_eq!(states, [RunState::Stopped, RunState::Running, RunState::Stopped]);
    }

    /// Sensors of +-2 K cannot show a rise of 3 K: their difference is uncertain by 3.3 K.
    #[test]
    fn a_rise_the_sensors_cannot_show_decides_nothing() {
        let rises = [3.0; 50];
        let spans = run_spans(&samples(&rises, 3.3), STEP, &[(0, STEP * 49)], &[]);
        assert_eq!(spans[0].state, RunState::Stopped, "the same air within its uncertainty");
        assert_eq!(spans.len(), 1);
    }

    #[test]
    fn a_gap_of_two_intervals_is_bridged_and_a_longer_one_is_not() {
        let keep = |missing: &[usize]| {
            let mut kept = samples(&[8.0; 40], 0.45);
            kept.retain(|sample| !missing.contains(&sample.cell.index));
            run_spans(&kept, STEP, &[(0, STEP * 39)], &[]).into_iter().map(|span| span.state).collect::<Vec<_>>()
        };
        assert_eq!(keep(&[20]), [RunState::Running]);
        assert_eq!(keep(&[20, 21]), [RunState::Running, RunState::NotShown, RunState::Running]);
    }

    #[test]
    fn without_samples_only_a_pause_is_known() {
        let spans = run_spans(&[], STEP, &[(0, 100 * MINUTE)], &[(20 * MINUTE, 50 * MINUTE)]);
        let states: Vec<_> = spans.iter().map(|span| (span.to.timestamp() / 60, span.state)).collect();
        assert_eq!(states, [(20, RunState::NotShown), (50, RunState::Paused), (100, RunState::NotShown)]);
        assert!(spans.iter().all(|span| span.rows.is_empty()));
    }

    #[test]
    fn a_unit_that_ran_in_a_pause_ran() {
        assert_eq!(spans(&[8.0; 40], &[(30 * MINUTE, 90 * MINUTE)]), [(0, 195, RunState::Running)]);
    }

    #[test]
    fn the_state_at_an_instant_is_that_of_its_span() {
        let spans = run_spans(&samples(&[8.0; 13], 0.45), STEP, &[(0, 60 * MINUTE)], &[]);
        assert_eq!(state_at(&spans, instant(30 * MINUTE)), RunState::Running);
        assert_eq!(state_at(&spans, instant(60 * MINUTE)), RunState::Running, "the end of the last span is its own");
        assert_eq!(state_at(&spans, instant(61 * MINUTE)), RunState::NotShown);
        assert_eq!(state_at(&spans, instant(-MINUTE)), RunState::NotShown);
    }
}
