//! Loggers that stand in each other's place: the probes of a unit, an outdoor and an indoor logger, or two loggers whose
//! levels change places at one moment.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_words::say;

use super::known::Fault;
use super::logger_misplaced::{suspects, threshold};
use super::neighbours::{median, samples};
use super::{Draft, Record};
use crate::air::instant::micros;
use crate::air::matching::Lookup;
use crate::evidence::{AirTrack, FindingKind, SourceRow, Subject, TrackPlace};
use crate::thresholds::{
    EXCHANGED_AGREE_K, EXCHANGED_AGREE_RH_PCT, EXCHANGED_APART_K, EXCHANGED_LEAST_SAMPLES, EXCHANGED_SETTLED,
    EXCHANGED_WINDOW, SWAPPED_COOLING_K, SWAPPED_LEAST_SAMPLES, SWAPPED_SHARE,
};
use crate::words::{moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.swaps().iter().map(|fault| fault.draft.clone()).collect()
}

/// Every pair that looks swapped, with both of its tracks.
pub(super) fn swaps(record: &Record<'_>) -> Vec<Fault> {
    let mut swaps = probes(record);
    swaps.extend(outdoors(record));
    swaps.extend(exchanged(record));
    swaps
}

/// Position of a track of the record.
fn position(record: &Record<'_>, track: &AirTrack) -> Option<usize> {
    record.tracks.iter().position(|one| std::ptr::eq(one, track))
}

fn fault(record: &Record<'_>, pair: [&AirTrack; 2], draft: Draft) -> Fault {
    Fault { draft, tracks: pair.into_iter().filter_map(|track| position(record, track)).collect() }
}

/// Outlet and inlet (or room) of a unit: a refrigerant or desiccant machine gives off air that is warmer and drier.
fn probes(record: &Record<'_>) -> Vec<Fault> {
    let zone = record.zone();
    let words = zone.words;
    let mut swaps = Vec::new();
    for outlet in record.tracks.iter().filter(|track| track.place == TrackPlace::Outlet) {
        let Some(unit) = outlet.unit.as_deref() else { continue };
        let own = |track: &&AirTrack| track.place == TrackPlace::Inlet && track.unit.as_deref() == Some(unit);
        let chamber = record
            .job
            .equipment
            .iter()
            .find(|stay| stay.unit == unit)
            .and_then(|stay| (stay.chambers.len() == 1).then(|| stay.chambers.first()).flatten());
        let room = |track: &&AirTrack| {
            track.place == TrackPlace::Affected && chamber.is_some() && track.chamber.as_ref() == chamber
        };
        let Some(inlet) = record.tracks.iter().find(own).or_else(|| record.tracks.iter().find(room)) else { continue };
        let lookup = Lookup::new(&inlet.time, |i| inlet.gpp[i].is_some(), inlet.interval_s);
        let (mut telling, mut swapped) = (Vec::new(), 0_usize);
        for i in 0..outlet.time.len() {
            let (Some(temp), Some(gpp)) = (outlet.air_temp_c[i], outlet.gpp[i]) else { continue };
            let Some(matched) = lookup.at(micros(outlet.time[i]), outlet.interval_s) else { continue };
            let (Some(in_temp), Some(in_gpp)) = (matched.value(&inlet.air_temp_c), matched.value(&inlet.gpp)) else {
                continue;
            };
            if (temp - in_temp).abs() > SWAPPED_COOLING_K {
                telling.push(i);
                swapped += usize::from(temp < in_temp && gpp > in_gpp);
            }
        }
        #[allow(clippy::cast_precision_loss)]
        let share = swapped as f64 / telling.len().max(1) as f64;
        let (Some(first), Some(last)) = (telling.first(), telling.last()) else { continue };
        if telling.len() < SWAPPED_LEAST_SAMPLES || share < SWAPPED_SHARE {
            continue;
        }
        let draft = Draft {
            kind: FindingKind::LoggersSwapped,
            subject: Subject::Logger(record.loggers[outlet.logger].logger.clone()),
            from: outlet.time[*first],
            to: Some(outlet.time[*last]),
            text: say!(
                words,
                "loggers_swapped.text_unit",
                label = outlet.label,
                inlet = inlet.label,
                share = number(words, 100.0 * share, 0),
                telling = telling.len(),
                from = moment(outlet.time[*first], zone),
                to = moment(outlet.time[*last], zone),
                unit = unit
            ),
            threshold: say!(
                words,
                "loggers_swapped.threshold_unit",
                swapped_share = number(words, 100.0 * SWAPPED_SHARE, 0),
                swapped_least_samples = SWAPPED_LEAST_SAMPLES,
                swapped_cooling_k = number(words, SWAPPED_COOLING_K, 0)
            ),
            rows: vec![outlet.rows[*first].clone(), outlet.rows[*last].clone()],
        };
        swaps.push(fault(record, [outlet, inlet], draft));
    }
    swaps
}

/// An outdoor logger that is steady and one indoor logger that swings as outdoor air does.
fn outdoors(record: &Record<'_>) -> Vec<Fault> {
    let words = record.words();
    suspects(record)
        .into_iter()
        .filter_map(|suspect| {
            let [(other, swing)] = suspect.instead.as_slice() else { return None };
            let (track, other) = (&record.tracks[suspect.outdoor], &record.tracks[*other]);
            let draft = Draft {
                kind: FindingKind::LoggersSwapped,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from: *track.time.first()?,
                to: track.time.last().copied(),
                text: say!(
                    words,
                    "loggers_swapped.text_outdoors",
                    label = track.label,
                    outdoor_swing_k = number(words, suspect.outdoor_swing_k, 1),
                    other = other.label,
                    other_swing_k = number(words, *swing, 1)
                ),
                threshold: threshold(words),
                rows: [track.rows.first(), track.rows.last()].into_iter().flatten().cloned().collect(),
            };
            Some(fault(record, [track, other], draft))
        })
        .collect()
}

/// Level of a logger around a moment: temperature, degC, and humidity, %.
#[derive(Clone, Copy)]
struct Level {
    temp_c: f64,
    rh_pct: f64,
}

impl Level {
    fn apart(self, other: Self) -> f64 {
        (self.temp_c - other.temp_c).abs()
    }

    fn agrees(self, other: Self) -> bool {
        self.apart(other) <= EXCHANGED_AGREE_K && (self.rh_pct - other.rh_pct).abs() <= EXCHANGED_AGREE_RH_PCT
    }
}

/// Pairs of room and outdoor loggers whose levels change places within an hour or so and stay so.
fn exchanged(record: &Record<'_>) -> Vec<Fault> {
    let room =
        |track: &AirTrack| matches!(track.place, TrackPlace::Affected | TrackPlace::Unaffected | TrackPlace::Outdoor);
    let tracks: Vec<&AirTrack> = record.tracks.iter().filter(|track| room(track)).collect();
    let mut swaps = Vec::new();
    for (k, first) in tracks.iter().enumerate() {
        for second in &tracks[k + 1..] {
            if let Some(at) = exchange(first, second) {
                swaps.push(fault(record, [first, second], exchange_draft(record, first, second, at)));
            }
        }
    }
    swaps
}

fn exchange_draft(record: &Record<'_>, first: &AirTrack, second: &AirTrack, at: DateTime<Utc>) -> Draft {
    let words = record.words();
    let row = |track: &AirTrack| -> Option<SourceRow> {
        track.rows.get(track.time.partition_point(|time| *time < at)).cloned()
    };
    Draft {
        kind: FindingKind::LoggersSwapped,
        subject: Subject::Logger(record.loggers[first.logger].logger.clone()),
        from: at,
        to: first.time.last().copied(),
        text: say!(
            words,
            "loggers_swapped.text_exchanged",
            label = first.label,
            other = second.label,
            at = moment(at, record.zone())
        ),
        threshold: say!(
            words,
            "loggers_swapped.threshold_exchanged",
            exchanged_apart_k = number(words, EXCHANGED_APART_K, 0),
            exchanged_agree_k = number(words, EXCHANGED_AGREE_K, 1),
            exchanged_agree_rh_pct = number(words, EXCHANGED_AGREE_RH_PCT, 0)
        ),
        rows: [row(first), row(second)].into_iter().flatten().collect(),
    }
}

/// The moment at which two loggers changed places; `None` where they did not.
fn exchange(first: &AirTrack, second: &AirTrack) -> Option<DateTime<Utc>> {
    let begin = (*first.time.first()?).max(*second.time.first()?);
    let end = (*first.time.last()?).min(*second.time.last()?);
    let step = EXCHANGED_WINDOW / 2;
    let mut at = begin + EXCHANGED_WINDOW;
    while at + EXCHANGED_WINDOW + EXCHANGED_SETTLED <= end {
        if exchanged_at(first, second, at) {
            // Finer: the last sample of the first that is still near its own level before.
            let before = level(first, at - EXCHANGED_WINDOW, at)?;
            let after = level(first, at + EXCHANGED_SETTLED, at + EXCHANGED_SETTLED + EXCHANGED_WINDOW)?;
            let range = samples(first, micros(at - step), micros(at + EXCHANGED_SETTLED));
            let nearer_before = |i: &usize| {
                first.air_temp_c[*i].is_some_and(|temp| (temp - before.temp_c).abs() < (temp - after.temp_c).abs())
            };
            return range.rev().find(nearer_before).map(|i| first.time[i]).or(Some(at));
        }
        at += step;
    }
    None
}

fn exchanged_at(first: &AirTrack, second: &AirTrack, at: DateTime<Utc>) -> bool {
    let before = (at - EXCHANGED_WINDOW, at);
    let after = (at + EXCHANGED_SETTLED, at + EXCHANGED_SETTLED + EXCHANGED_WINDOW);
    let levels = |track: &AirTrack| Some((level(track, before.0, before.1)?, level(track, after.0, after.1)?));
    let (Some((a0, a1)), Some((b0, b1))) = (levels(first), levels(second)) else { return false };
    a0.apart(b0) >= EXCHANGED_APART_K && a1.apart(b1) >= EXCHANGED_APART_K && a1.agrees(b0) && b1.agrees(a0)
}

/// Median level over a span; `None` without enough samples.
fn level(track: &AirTrack, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<Level> {
    let range = samples(track, micros(from), micros(to - TimeDelta::microseconds(1)));
    let values = |column: &[Option<f64>]| range.clone().filter_map(|i| column[i]).collect::<Vec<f64>>();
    let (temps, rhs) = (values(&track.air_temp_c), values(&track.rh_pct));
    if temps.len() < EXCHANGED_LEAST_SAMPLES || rhs.len() < EXCHANGED_LEAST_SAMPLES {
        return None;
    }
    Some(Level { temp_c: median(temps)?, rh_pct: median(rhs)? })
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at_d1, d1, in_a, job, placement, series, steady};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use chrono::{DateTime, Utc};
    use grainfall_job::Place;

    fn probes(inlet: (f64, f64), outlet: (f64, f64)) -> usize {
        let mut job = job();
        job.loggers = vec![at_d1("I", Place::Inlet), at_d1("O", Place::Outlet)];
        job.equipment = vec![d1("2025-10-06T00:00:00Z", None)];
        let start = "2025-10-06T00:00:00Z";
        let list = vec![steady("I", start, 600, 37, inlet), steady("O", start, 600, 37, outlet)];
        of_kind(&evidence(&job, list, "2025-10-06T06:00:00Z"), FindingKind::LoggersSwapped).len()
    }

    /// 80 F / 60 % in (92.1 GPP) and 98 F / 22 % out (59.1 GPP).
    #[test]
    fn the_probes_of_a_unit() {
        let (inlet, outlet) = ((26.7, 60.0), (36.7, 22.0));
        assert_eq!(probes(inlet, outlet), 0);
        assert_eq!(probes(outlet, inlet), 1);
        assert_eq!(probes(inlet, inlet), 0, "a unit that stands still tells nothing");
    }

    fn exchange(second_half: [(f64, f64); 2]) -> Vec<DateTime<Utc>> {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected), placement("U", Place::Unaffected)];
        let first_half = [(28.0, 35.0), (21.0, 50.0)];
        let list = ["W", "U"]
            .iter()
            .enumerate()
            .map(|(k, id)| {
                let mut air = vec![Some(first_half[k]); 72];
                air.extend(vec![Some(second_half[k]); 72]);
                series(id, "2025-10-06T00:00:00Z", 600, &air)
            })
            .collect();
        let evidence = evidence(&job, list, "2025-10-07T00:00:00Z");
        of_kind(&evidence, FindingKind::LoggersSwapped).iter().map(|one| one.from).collect()
    }

    #[test]
    fn levels_that_change_places_at_a_visit() {
        let at = exchange([(21.2, 49.0), (27.8, 36.0)]);
        assert_eq!(at, ["2025-10-06T11:50:00Z".parse::<DateTime<Utc>>().unwrap()]);
        assert!(exchange([(21.0, 50.0), (21.0, 50.0)]).is_empty(), "heat goes, but nothing changes places");
        assert!(exchange([(28.0, 35.0), (21.0, 50.0)]).is_empty());
    }
}
