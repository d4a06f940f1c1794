//! Air of a chamber that gets wetter with nothing on the record to explain it: water may have come back to a point that
//! was read as closed.
//!
//! It never shows load, and nothing becomes `not needed` by it: it takes the shown state from points that nobody has read
//! since. Every instant is judged by the samples up to it, so that what is logged later changes no earlier day.
//!
//! Unexplained means: every dehumidifier of the chamber ran on, as its outlet shows; no unit came, went or was paused; and
//! outdoor air is on the record and was no wetter. In humid weather an open door looks the same, and the air tells
//! nothing.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Stay};

use crate::air::in_air_of;
use crate::air::instant::{instant, interval_micros, micros, micros_of};
use crate::evidence::{AirTrack, SourceRow, TrackPlace};
use crate::material::dry_standard::median;
use crate::rules::{
    AIR_RISE_BEFORE, AIR_RISE_GPP, AIR_RISE_HELD, AIR_RISE_LEAST_BEFORE, AIR_RISE_LEAST_NOW, AIR_RISE_LEVEL,
    AIR_RISE_RUN_SHARE, AIR_RISE_STEP, AIR_RISE_THINNED, AIR_RISE_WARMER_K,
};

/// An instant at which the air of a chamber was wetter than it had been, unexplained.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AirRise {
    /// When it had held.
    pub at: DateTime<Utc>,
    /// By how much, GPP.
    pub by_gpp: f64,
    /// Which logger showed it.
    pub label: String,
    /// Its sample.
    pub row: SourceRow,
}

/// The rises of all chambers, looked for when first asked.
pub(crate) struct AirRises<'a> {
    job: &'a Job,
    tracks: &'a [AirTrack],
    found: BTreeMap<&'a str, OnceCell<Vec<AirRise>>>,
}

impl<'a> AirRises<'a> {
    /// Those of these tracks.
    pub fn new(job: &'a Job, tracks: &'a [AirTrack]) -> Self {
        let found = job.chambers.iter().map(|chamber| (chamber.id.as_str(), OnceCell::new())).collect();
        Self { job, tracks, found }
    }

    /// The first rise in a chamber that began after `from` and had held before `to`.
    pub fn first(&self, chamber: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<&AirRise> {
        let (chamber, cell) = self.found.get_key_value(chamber)?;
        let all = cell.get_or_init(|| self.of_chamber(chamber));
        all.iter().find(|rise| from + AIR_RISE_HELD < rise.at && rise.at < to)
    }

    fn of_chamber(&self, chamber: &str) -> Vec<AirRise> {
        let own = |track: &&AirTrack| in_air_of(self.job, track, chamber, &[TrackPlace::Inlet]);
        let at = |place| self.tracks.iter().filter(move |track| track.place == place);
        let around = Surroundings {
            stays: self.job.equipment.iter().filter(|stay| stay.chambers.iter().any(|id| id == chamber)).collect(),
            pauses: self.job.pauses.iter().map(|pause| (micros(pause.from), micros(pause.to))).collect(),
            outdoor: at(TrackPlace::Outdoor).map(|track| Samples::of(track, &track.gpp)).collect(),
            outlets: at(TrackPlace::Outlet)
                .filter_map(|track| Some((track.unit.as_deref()?, Samples::of(track, &track.air_temp_c))))
                .collect(),
        };
        let mut all: Vec<AirRise> = self.tracks.iter().filter(own).flat_map(|track| of_track(track, &around)).collect();
        all.sort_by(|a, b| (a.at, &a.label).cmp(&(b.at, &b.label)));
        all
    }
}

fn of_track(track: &AirTrack, around: &Surroundings<'_>) -> Vec<AirRise> {
    let (samples, temps) = (Samples::of(track, &track.gpp), Samples::of(track, &track.air_temp_c));
    let Some((first, last)) = samples.span() else { return Vec::new() };
    let step = micros_of(AIR_RISE_STEP);
    // Sparse logs need longer for as many samples.
    let held = micros_of(AIR_RISE_HELD).max(interval_micros(track.interval_s).unwrap_or(0) * 5 / 2);
    let mut out = Vec::new();
    let mut at = (first / step + 1) * step;
    while at <= last {
        let window = Window { at, held, before: micros_of(AIR_RISE_BEFORE) };
        if let Some((by_gpp, level_gpp)) = rise(&samples, &window)
            && around.outdoor_is_drier(&window, level_gpp)
            && around.units_ran(&temps, &window)
            && let Some(row) = samples.position_at(at).and_then(|position| track.rows.get(position))
        {
            out.push(AirRise { at: instant(at), by_gpp, label: track.label.clone(), row: row.clone() });
        }
        at += step;
    }
    out
}

/// What could explain a rise in one chamber.
struct Surroundings<'a> {
    /// Stays that serve it.
    stays: Vec<&'a Stay>,
    /// Recorded pauses, microseconds.
    pauses: Vec<(i64, i64)>,
    /// GPP of outdoor air.
    outdoor: Vec<Samples>,
    /// Temperature of the air that units give off, by unit.
    outlets: Vec<(&'a str, Samples)>,
}

impl Surroundings<'_> {
    /// Whether outdoor air is known and held no more water, so that it cannot have brought the rise.
    fn outdoor_is_drier(&self, window: &Window, level_gpp: f64) -> bool {
        let from = window.now_begins() - window.held / 2;
        let wettest = self.outdoor.iter().flat_map(|samples| samples.within(from, window.at)).reduce(f64::max);
        wettest.is_some_and(|wettest| wettest <= level_gpp)
    }

    /// Whether a dehumidifier stood in the chamber all along, all that did ran on, and no unit came, went or was paused;
    /// `room_c` are the temperatures of the chamber's air.
    fn units_ran(&self, room_c: &Samples, window: &Window) -> bool {
        let near = window.now_begins() - window.held;
        let changed = |time: DateTime<Utc>| near < micros(time) && micros(time) <= window.at;
        let mut dries = false;
        for stay in &self.stays {
            let until = stay.removed.map_or(i64::MAX, micros);
            if micros(stay.placed) > window.at || until <= window.begins() {
                continue;
            }
            if changed(stay.placed) || stay.removed.is_some_and(changed) {
                return false;
            }
            if stay.kind.is_dehumidifier() {
                let whole = micros(stay.placed) <= window.begins() && window.at <= until;
                if !whole || !self.ran(&stay.unit, room_c, window) {
                    return false;
                }
                dries = true;
            }
        }
        dries && !self.pauses.iter().any(|(from, to)| *from <= window.at && near < *to)
    }

    /// Whether a unit gave off warm air to the end of the window as it did before.
    fn ran(&self, unit: &str, room_c: &Samples, window: &Window) -> bool {
        let (mut before, mut now) = (Vec::new(), Vec::new());
        for (_, outlet_c) in self.outlets.iter().filter(|(of, _)| *of == unit) {
            let warmer =
                |index: usize| Some(outlet_c.values[index] - room_c.value_at(outlet_c.times[index], window.held)?);
            before.extend(outlet_c.indices(window.begins(), window.now_begins()).filter_map(warmer));
            now.extend(outlet_c.indices(window.now_begins(), window.at).filter_map(warmer));
        }
        before.sort_by(f64::total_cmp);
        let least = now.into_iter().reduce(f64::min);
        median(&before)
            .zip(least)
            .is_some_and(|(before, least)| before >= AIR_RISE_WARMER_K && least >= AIR_RISE_RUN_SHARE * before)
    }
}

/// The time a rise is looked for in: so long before `at` it must have held, and so long before that is what it is
/// compared with. Microseconds.
struct Window {
    at: i64,
    held: i64,
    before: i64,
}

impl Window {
    fn now_begins(&self) -> i64 {
        self.at - self.held
    }

    fn begins(&self) -> i64 {
        self.now_begins() - self.before
    }
}

/// By how much the middle of the last hour exceeds what was seldom exceeded before it, and that middle; `None` for less
/// than a rise counts.
fn rise(samples: &Samples, window: &Window) -> Option<(f64, f64)> {
    let mut now: Vec<f64> = samples.within(window.now_begins(), window.at).collect();
    if now.len() < AIR_RISE_LEAST_NOW {
        return None;
    }
    now.sort_by(f64::total_cmp);
    let level = median(&now)?;
    let mut before: Vec<f64> = samples.within(window.begins(), window.now_begins()).collect();
    let least = before.iter().copied().reduce(f64::min)?;
    if before.len() < AIR_RISE_LEAST_BEFORE || level - least < AIR_RISE_GPP {
        return None;
    }
    before.sort_by(f64::total_cmp);
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss, clippy::cast_sign_loss)]
    let index = (AIR_RISE_LEVEL * before.len() as f64) as usize;
    let by = level - before[index.min(before.len() - 1)];
    (by >= AIR_RISE_GPP).then_some((by, level))
}

/// The values of a column that are there, thinned, with their instants and positions.
struct Samples {
    times: Vec<i64>,
    values: Vec<f64>,
    positions: Vec<usize>,
}

impl Samples {
    fn of(track: &AirTrack, column: &[Option<f64>]) -> Self {
        let mut samples = Self { times: Vec::new(), values: Vec::new(), positions: Vec::new() };
        for (position, (time, value)) in track.time.iter().zip(column).enumerate() {
            let Some(value) = value else { continue };
            if samples.times.last().is_none_or(|last| micros(*time) - last >= micros_of(AIR_RISE_THINNED)) {
                samples.times.push(micros(*time));
                samples.values.push(*value);
                samples.positions.push(position);
            }
        }
        samples
    }

    fn span(&self) -> Option<(i64, i64)> {
        Some((*self.times.first()?, *self.times.last()?))
    }

    /// Those after `from` up to `to`, `to` included.
    fn indices(&self, from: i64, to: i64) -> std::ops::Range<usize> {
        let first = self.times.partition_point(|time| *time <= from);
        first..self.times.partition_point(|time| *time <= to).max(first)
    }

    fn within(&self, from: i64, to: i64) -> impl Iterator<Item = f64> + '_ {
        self.values[self.indices(from, to)].iter().copied()
    }

    /// Index of the last at or before an instant.
    fn last_at(&self, at: i64) -> Option<usize> {
        self.times.partition_point(|time| *time <= at).checked_sub(1)
    }

    /// Position in the track of the last at or before an instant.
    fn position_at(&self, at: i64) -> Option<usize> {
        Some(self.positions[self.last_at(at)?])
    }

    /// The last value at or before an instant and no older than so long.
    fn value_at(&self, at: i64, oldest: i64) -> Option<f64> {
        let index = self.last_at(at)?;
        (at - self.times[index] <= oldest).then(|| self.values[index])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{analyse, at, at_d1, d1, f, in_a, job, placement, series, steady};
    use grainfall_job::Place;

    const START: &str = "2025-10-06T00:00:00Z";
    /// The air gets wetter at 18:00 and stays so.
    const DRY: usize = 18 * 6;
    const WET: usize = 6 * 6;

    /// 77 F / 35 % to 45 %: 48.19 to 62.15 GPP at 14.696 psia (psychrolib 2.5.0), every ten minutes.
    fn rises(outdoor: Option<(f64, f64)>, outlet_wet_f: f64, wet: usize) -> Vec<AirRise> {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected), placement("O", Place::Outdoor), at_d1("OUT", Place::Outlet)];
        job.equipment = vec![d1(START, None)];
        let steps = |dry: (f64, f64), then: (f64, f64)| [vec![Some(dry); DRY], vec![Some(then); wet]].concat();
        let mut logs = vec![
            series("W", START, 600, &steps((f(77.0), 35.0), (f(77.0), 45.0))),
            series("OUT", START, 600, &steps((f(94.0), 17.0), (f(outlet_wet_f), 21.0))),
        ];
        logs.extend(outdoor.map(|air| steady("O", START, 600, DRY + wet, air)));
        let air = analyse(&job, logs, "2025-10-07T00:00:00Z");
        AirRises::new(&job, &air.tracks).of_chamber("A")
    }

    /// 50 F / 60 % outdoors is 32 GPP.
    const DRIER: Option<(f64, f64)> = Some((10.0, 60.0));

    #[test]
    fn air_that_gets_wetter_beside_a_running_unit_and_drier_weather() {
        let found = rises(DRIER, 94.0, WET);
        let first = &found[0];
        assert!((at("2025-10-06T18:30:00Z")..=at("2025-10-06T19:00:00Z")).contains(&first.at), "{first:?}");
        assert!((first.by_gpp - 13.96).abs() < 0.02, "{first:?}");
        assert_eq!(first.label, "affected, Kitchen");
    }

    #[test]
    fn outdoor_air_as_wet_or_unknown_and_a_unit_that_stops_explain_it() {
        // 68 F / 70 % is 71 GPP.
        assert!(rises(Some((20.0, 70.0)), 94.0, WET).is_empty());
        assert!(rises(None, 94.0, WET).is_empty());
        assert!(rises(DRIER, 77.5, WET).is_empty());
    }

    #[test]
    fn what_is_logged_later_changes_nothing_before() {
        let (all, cut) = (rises(DRIER, 94.0, WET), rises(DRIER, 94.0, WET / 4));
        assert!(!cut.is_empty() && cut.len() < all.len());
        let last = cut[cut.len() - 1].at;
        let before: Vec<AirRise> = all.into_iter().filter(|rise| rise.at <= last).collect();
        assert_eq!(before, cut);
    }
}
