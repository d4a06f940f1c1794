//! Clocks that are off against their neighbours: the changes of two loggers that see the same events match at another
//! lag than none.
//!
//! Only loggers of one chamber and its units are compared: what happens there reaches them within minutes, while other
//! airs follow hours later. Day by day: a clock may have been off, or set right, in the middle of a job.

use grainfall_words::say;
use std::hash::{Hash, Hasher};

use chrono::{DateTime, TimeDelta, Utc};
use comemo::memoize;
use rayon::prelude::*;

use super::known::Fault;
use super::neighbours::{in_events, median};
use super::{Draft, Record};
use crate::air::instant::{instant, micros, micros_of};
use crate::air::matching::Lookup;
use crate::evidence::{AirTrack, FindingKind, Subject, TrackPlace};
use crate::thresholds::{
    LARGEST_OFFSET, LEAST_OFFSET, OFFSET_CHANGE_OVER, OFFSET_CLIP, OFFSET_CORRELATION, OFFSET_CORRELATION_GAIN,
    OFFSET_LEAST_CELLS, OFFSET_LEAST_FILLED, OFFSET_LEAST_GRID, OFFSET_OVERLAP, OFFSET_STEP, OFFSET_STRETCHES,
    OFFSET_WINDOW,
};
use crate::words::{hours, moment, number};

/// Far more than sums of a stretch lose by rounding, far less than any threshold.
const ROUNDING: f64 = 1e-6;

/// Longer logs are not compared: the work grows with their cells. At five minutes this is nine years.
const MOST_CELLS: i64 = 1_000_000;

/// A stretch in which the second clock is ahead of the first by `lag`, microseconds.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Offset {
    from: i64,
    to: i64,
    lag: i64,
}

/// Two loggers with the stretches in which their clocks differ.
struct Pair {
    first: usize,
    second: usize,
    offsets: Vec<Offset>,
}

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.clock_offsets().iter().map(|fault| fault.draft.clone()).collect()
}

/// Every clock that is off, with its track; both tracks where nothing tells which of two is off.
pub(super) fn offsets(record: &Record<'_>) -> Vec<Fault> {
    record.chambers.iter().flat_map(|chamber| of_group(record, &in_events(record, &chamber.id))).collect()
}

fn of_group(record: &Record<'_>, group: &[usize]) -> Vec<Fault> {
    let mut pairs: Vec<Pair> = Vec::new();
    for (k, first) in group.iter().enumerate() {
        for second in &group[k + 1..] {
            // Channels of one logger share its clock.
            if record.loggers[record.tracks[*first].logger].logger
                == record.loggers[record.tracks[*second].logger].logger
            {
                continue;
            }
            let offsets = of_pair(&record.tracks[*first], &record.tracks[*second]);
            if !offsets.is_empty() {
                pairs.push(Pair { first: *first, second: *second, offsets });
            }
        }
    }
    let mut faults = Vec::new();
    while !pairs.is_empty() {
        let off_pairs = |track: usize| pairs.iter().filter(|pair| pair.first == track || pair.second == track).count();
        // The logger that differs from most others; of two alike the later one in the list.
        let Some(off) = group.iter().copied().max_by_key(|track| off_pairs(*track)) else { break };
        let known = off_pairs(off) > 1;
        let (own, rest): (Vec<Pair>, Vec<Pair>) =
            pairs.into_iter().partition(|pair| pair.first == off || pair.second == off);
        pairs = rest;
        let tracks = if known { vec![off] } else { own.iter().flat_map(|pair| [pair.first, pair.second]).collect() };
        faults.extend(draft(record, off, &own, known).map(|draft| Fault { draft, tracks }));
    }
    faults
}

fn draft(record: &Record<'_>, off: usize, pairs: &[Pair], known: bool) -> Option<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let track = &record.tracks[off];
    let mut others = Vec::new();
    let mut lags = Vec::new();
    let (mut from, mut to) = (i64::MAX, i64::MIN);
    // Room air follows what a unit gives off some minutes later: where loggers of the same air tell, these tell how much.
    let outlet = |track: usize| record.tracks[track].place == TrackPlace::Outlet;
    let alike = |pair: &&Pair| outlet(pair.first) == outlet(pair.second);
    let any_alike = pairs.iter().any(|pair| alike(&pair));
    for pair in pairs.iter().filter(|pair| !any_alike || alike(pair)) {
        let (other, sign) = if pair.second == off { (pair.first, 1) } else { (pair.second, -1) };
        others.push(record.tracks[other].label.clone());
        for offset in &pair.offsets {
            #[allow(clippy::cast_precision_loss)]
            lags.push((sign * offset.lag) as f64);
            from = from.min(offset.from);
            to = to.max(offset.to);
        }
    }
    #[allow(clippy::cast_possible_truncation)]
    let lag = TimeDelta::microseconds(median(lags)?.round() as i64);
    let used = super::neighbours::samples(track, from, to);
    let (from, to): (DateTime<Utc>, DateTime<Utc>) = (instant(from), instant(to));
    let side =
        if lag > TimeDelta::zero() { say!(words, "clock_offset.ahead_of") } else { say!(words, "clock_offset.behind") };
    let whose = if known { "" } else { say!(words, "clock_offset.nothing_tells_which_of_the") };
    Some(Draft {
        kind: FindingKind::ClockOffset,
        subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
        from,
        to: Some(to),
        text: say!(
            words,
            "clock_offset.text",
            label = track.label,
            minutes = number(words, hours(lag.abs()) * 60.0, 0),
            side = side,
            others = words.list(&others),
            from = moment(from, zone),
            to = moment(to, zone),
            whose = whose
        ),
        threshold: say!(
            words,
            "clock_offset.threshold",
            offset_correlation = number(words, OFFSET_CORRELATION, 1),
            offset_correlation_gain = number(words, OFFSET_CORRELATION_GAIN, 1)
        ),
        rows: [used.start, used.end.saturating_sub(1)].iter().filter_map(|i| track.rows.get(*i).cloned()).collect(),
    })
}

/// Changes on an even grid, standardised; `None` where a value is missing.
struct Changes {
    temp: Vec<Option<f64>>,
    gpp: Vec<Option<f64>>,
}

impl Hash for Changes {
    fn hash<H: Hasher>(&self, state: &mut H) {
        for values in [&self.temp, &self.gpp] {
            values.len().hash(state);
            values.iter().for_each(|value| value.map(f64::to_bits).hash(state));
        }
    }
}

/// The stretches of a grid that are looked at by themselves, in cells.
#[derive(Hash)]
struct Stretches {
    count: usize,
    window: usize,
    step: usize,
}

/// The stretches in which the second clock differs from the first.
fn of_pair(first: &AirTrack, second: &AirTrack) -> Vec<Offset> {
    let interval = |track: &AirTrack| track.interval_s.map(|s| micros_of(TimeDelta::seconds(i64::from(s))));
    let (Some(a), Some(b)) = (interval(first), interval(second)) else { return Vec::new() };
    let grid = a.max(b).max(micros_of(OFFSET_LEAST_GRID));
    let ends = |track: &AirTrack| Some((micros(*track.time.first()?), micros(*track.time.last()?)));
    let (Some(span_a), Some(span_b)) = (ends(first), ends(second)) else { return Vec::new() };
    let (from, to) = (span_a.0.min(span_b.0), span_a.1.max(span_b.1));
    let common = span_a.1.min(span_b.1) - span_a.0.max(span_b.0);
    if common < micros_of(OFFSET_OVERLAP) || (to - from) / grid > MOST_CELLS {
        return Vec::new();
    }
    let count = usize::try_from((to - from) / grid).unwrap_or(0);
    let cells = |delta: TimeDelta| usize::try_from(micros_of(delta) / grid).unwrap_or(0);
    let over = cells(OFFSET_CHANGE_OVER).max(1);
    let (a, b) = (changes(first, (from, grid), count, over), changes(second, (from, grid), count, over));
    let (window, step, most) = (cells(OFFSET_WINDOW), cells(OFFSET_STEP).max(1), cells(LARGEST_OFFSET));
    let least = (micros_of(LEAST_OFFSET) / grid).max(OFFSET_LEAST_CELLS);
    let found = lags(&a, &b, &Stretches { count, window, step }, most, least);
    let at = |cell: usize| from + grid * i64::try_from(cell).unwrap_or(0);
    // Stretches in a row that agree to one cell; one alone is believed only where there is room for no other.
    let mut out: Vec<(Offset, usize)> = Vec::new();
    for (start, lag) in &found {
        let Some(lag) = lag else { continue };
        let offset = Offset { from: at(*start), to: at(start + window), lag: lag * grid };
        match out.last_mut() {
            Some((last, n)) if (last.lag - offset.lag).abs() <= grid && offset.from <= last.to => {
                last.to = offset.to;
                *n += 1;
            }
            _ => out.push((offset, 1)),
        }
    }
    let enough = if found.len() <= OFFSET_STRETCHES { 1 } else { OFFSET_STRETCHES };
    out.into_iter().filter(|(_, n)| *n >= enough).map(|(offset, _)| offset).collect()
}

/// Changes from each cell to the one `over` cells later.
fn changes(track: &AirTrack, (from, grid): (i64, i64), count: usize, over: usize) -> Changes {
    let of = |column: &[Option<f64>]| {
        let lookup = Lookup::new(&track.time, |i| column[i].is_some(), track.interval_s);
        let value = |cell: usize| lookup.at(from + grid * i64::try_from(cell).ok()?, None)?.value(column);
        let values: Vec<Option<f64>> = (0..count + over).map(value).collect();
        values.windows(1 + over).map(|span| Some(span[over]? - span[0]?)).collect::<Vec<Option<f64>>>()
    };
    Changes { temp: of(&track.air_temp_c), gpp: of(&track.gpp) }
}

/// The first cell of every stretch with the lag in it. Remembered, for most logs of a job that is looked at again are the
/// same as before.
#[memoize]
fn lags(a: &Changes, b: &Changes, stretches: &Stretches, most: usize, least: i64) -> Vec<(usize, Option<i64>)> {
    let Stretches { count, window, step } = *stretches;
    let starts: Vec<usize> = (0..).step_by(step).take_while(|start| start + window <= count).collect();
    starts.into_par_iter().map(|start| (start, lag(a, b, start..start + window, most, least))).collect()
}

/// The lag, in cells, by which the second log's changes follow the first's within a stretch of the first; `None` where
/// they match at no lag or at none too.
fn lag(a: &Changes, b: &Changes, window: std::ops::Range<usize>, most: usize, least: i64) -> Option<i64> {
    let most = i64::try_from(most).ok()?;
    let mut pairs = Vec::with_capacity(window.len());
    let mut at = |lag: i64, least: f64| {
        let temp = correlation(&a.temp, &b.temp, window.clone(), lag, &mut pairs)?;
        // No correlation is above 1, but for rounding.
        if f64::midpoint(temp, 1.0 + ROUNDING) < least {
            return None;
        }
        let gpp = correlation(&a.gpp, &b.gpp, window.clone(), lag, &mut pairs)?;
        Some(f64::midpoint(temp, gpp))
    };
    let none = at(0, f64::NEG_INFINITY)?;
    // What falls short of this is not believed, and need not be known.
    let needed = OFFSET_CORRELATION.max(none + OFFSET_CORRELATION_GAIN) - ROUNDING;
    if needed > 1.0 + ROUNDING {
        return None;
    }
    let mut best = (0, none);
    // Outwards from none, so that of two alike the smaller counts.
    for lag in (1..=most).flat_map(|lag| [lag, -lag]) {
        if let Some(value) = at(lag, needed.max(best.1))
            && value > best.1
        {
            best = (lag, value);
        }
    }
    let believed = best.1 >= OFFSET_CORRELATION && best.1 - none >= OFFSET_CORRELATION_GAIN && best.0.abs() >= least;
    believed.then_some(best.0)
}

/// Correlation of the first's changes in a stretch with the second's `lag` cells later. `pairs` is room to work in.
#[allow(clippy::cast_precision_loss)]
fn correlation(
    a: &[Option<f64>],
    b: &[Option<f64>],
    window: std::ops::Range<usize>,
    lag: i64,
    pairs: &mut Vec<(f64, f64)>,
) -> Option<f64> {
    pairs.clear();
    pairs.extend(window.clone().filter_map(|i| {
        let j = usize::try_from(i64::try_from(i).ok()? + lag).ok()?;
        Some(((*a.get(i)?)?, (*b.get(j)?)?))
    }));
    if (pairs.len() as f64) < OFFSET_LEAST_FILLED * window.len() as f64 {
        return None;
    }
    let n = pairs.len() as f64;
    let spread = |of: fn(&(f64, f64)) -> f64| {
        let mean = pairs.iter().map(of).sum::<f64>() / n;
        let variance = pairs.iter().map(|pair| (of(pair) - mean).powi(2)).sum::<f64>() / n;
        (mean, variance.sqrt())
    };
    let ((mean_a, sd_a), (mean_b, sd_b)) = (spread(|pair| pair.0), spread(|pair| pair.1));
    if sd_a <= 0.0 || sd_b <= 0.0 {
        return None;
    }
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in pairs.iter() {
        let x = ((x - mean_a) / sd_a).clamp(-OFFSET_CLIP, OFFSET_CLIP);
        let y = ((y - mean_b) / sd_b).clamp(-OFFSET_CLIP, OFFSET_CLIP);
        ab += x * y;
        aa += x * x;
        bb += y * y;
    }
    (aa > 0.0 && bb > 0.0).then(|| ab / (aa * bb).sqrt())
}

#[cfg(test)]
mod tests {
    use super::{Changes, Stretches, lags};
    use crate::air::testing::{at, in_a, job, series};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use chrono::TimeDelta;
    use grainfall_job::Place;
    use grainfall_record::LoggerSeries;

    /// A room whose machine goes on and off irregularly, seen by one logger with its own small scatter.
    fn seen(id: &str, days: usize, scatter: f64) -> LoggerSeries {
        let mut state: u32 = 7;
        let mut on = true;
        let (mut temp, mut rh) = (24.0, 45.0);
        let air: Vec<Option<(f64, f64)>> = (0..days * 144)
            .map(|i| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                if (state >> 16).is_multiple_of(9) {
                    on = !on;
                }
                temp += ((if on { 28.0 } else { 22.0 }) - temp) * 0.3;
                rh += ((if on { 38.0 } else { 52.0 }) - rh) * 0.3;
                let wobble = scatter * (i as f64 * 1.7).sin();
                Some((temp + 0.1 * wobble, rh + wobble))
            })
            .collect();
        series(id, "2025-10-06T00:00:00Z", 600, &air)
    }

    fn found(shifts: &[(&str, i64)]) -> Vec<(String, String)> {
        let mut job = job();
        let list = shifts
            .iter()
            .enumerate()
            .map(|(k, (id, minutes))| {
                job.loggers.push(in_a(id, Place::Affected));
                let mut series = seen(id, 4, 0.05 * (k as f64 + 1.0));
                for time in &mut series.time {
                    *time += TimeDelta::minutes(*minutes);
                }
                series
            })
            .collect();
        let evidence = evidence(&job, list, "2025-10-12T00:00:00Z");
        of_kind(&evidence, FindingKind::ClockOffset)
            .iter()
            .map(|one| (one.subject.id().to_owned(), one.text.clone()))
            .collect()
    }

    #[test]
    fn the_clock_that_is_off_is_named_with_its_offset() {
        let found = found(&[("W1", 0), ("W2", 60), ("W3", 0)]);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].0, "W2");
        assert!(found[0].1.contains("60 min ahead of"), "{found:?}");
    }

    /// An irregular series, seen so many cells late.
    fn late(cells: usize) -> Changes {
        let series = |times: f64| (0..200).map(|i| Some((((i + 40 - cells) as f64).powi(2) * times).sin())).collect();
        Changes { temp: series(0.013), gpp: series(0.017) }
    }

    #[test]
    fn what_is_remembered_is_of_the_very_logs_asked_for() {
        let stretches = Stretches { count: 200, window: 100, step: 50 };
        let lags_of = |a: &Changes, b: &Changes| {
            lags(a, b, &stretches, 20, 2).into_iter().map(|(_, lag)| lag).collect::<Vec<_>>()
        };
        let none = [None, None, None];
        for _ in 0..2 {
            assert_eq!(lags_of(&late(0), &late(0)), none);
            assert_eq!(lags_of(&late(0), &late(7)), [Some(7), Some(7), Some(7)]);
            assert_eq!(lags_of(&late(3), &late(0)), [Some(-3), Some(-3), Some(-3)]);
            let unlike = Changes { gpp: late(30).gpp, ..late(7) };
            assert_eq!(lags_of(&late(0), &unlike), none);
        }
    }

    #[test]
    fn of_two_nothing_tells_which() {
        let found = found(&[("W1", 0), ("W2", -330)]);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].1.contains("330 min") && found[0].1.contains("Nothing tells which"), "{found:?}");
    }

    #[test]
    fn equal_clocks_and_small_delays_are_no_offset() {
        assert!(found(&[("W1", 0), ("W2", 0), ("W3", 10)]).is_empty());
    }

    #[test]
    fn a_clock_set_right_in_the_middle_is_off_only_before() {
        let mut job = job();
        job.loggers = vec![in_a("W1", Place::Affected), in_a("W2", Place::Affected)];
        let mut late = seen("W2", 6, 0.1);
        let middle = at("2025-10-09T00:00:00Z");
        for time in late.time.iter_mut().filter(|time| **time < middle) {
            *time -= TimeDelta::hours(3);
        }
        let evidence = evidence(&job, vec![seen("W1", 6, 0.05), late], "2025-10-12T00:00:00Z");
        let found = of_kind(&evidence, FindingKind::ClockOffset);
        assert_eq!(found.len(), 1);
        assert!(found[0].to.unwrap() <= at("2025-10-09T12:00:00Z"), "{:?}", found[0]);
        assert!(found[0].text.contains("180 min"), "{:?}", found[0]);
    }
}
