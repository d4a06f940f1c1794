//! Air of a chamber that gets wetter with nothing on the record to explain it: water may have come back to a point that
//! was read as closed.
//!
//! It never shows load, and nothing becomes `not needed` by it: it takes the shown state from points that nobody has read
//! since. Every instant is judged by the samples up to it, so that what is logged later changes no earlier day.
//!
//! Unexplained means: every dehumidifier of the chamber ran on, as its outlet shows; no unit came, went or was paused; and
//! it is not outdoor air that came in. Outdoor air that is on the record and no wetter cannot have brought it: there a
//! clear rise speaks for itself. A little rise, and any where outdoor air is wetter, must have stayed for the whole hour, be
//! shown by every logger in that air that still speaks, and not follow on a reading in the chamber, when doors stood open,
//! nor go with as large a rise of the unaffected area's wetter air.
//!
//! Where outdoor air is wetter, mixing moves the chamber's air along the line to the outdoor state, by a large share of
//! the way and with the enthalpy of both: a rise that is small beside the difference, or that leaves the room warm where
//! outdoor air of lower enthalpy would have cooled it, came from within, for water that evaporates in a room takes its heat
//! from the room. What is left where outdoor air has the chamber's enthalpy looks the same in every log, and the air tells
//! nothing.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Reading, Stay};

use super::air_log::{Air, Samples, Window, median_of, rise};
use crate::air::in_air_of;
use crate::air::instant::{instant, micros, micros_of};
use crate::evidence::{AirTrack, SourceRow, TrackPlace};
use crate::material::dry_standard::median;
use crate::rules::{
    AIR_RISE_AFTER_READING, AIR_RISE_COOLED_SHARE, AIR_RISE_DOOR_SHARE, AIR_RISE_GPP, AIR_RISE_HELD,
    AIR_RISE_LITTLE_GPP, AIR_RISE_LOWER_KJ, AIR_RISE_NEAR_TIMES, AIR_RISE_RUN_SHARE, AIR_RISE_STAYED, AIR_RISE_STEP,
    AIR_RISE_TOGETHER, AIR_RISE_WARMER_K,
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
            outdoor: at(TrackPlace::Outdoor).map(Air::of).collect(),
            unaffected: at(TrackPlace::Unaffected).map(Air::of).collect(),
            read: self.read_in(chamber),
            outlets: at(TrackPlace::Outlet)
                .filter_map(|track| Some((track.unit.as_deref()?, Samples::of(track, &track.air_temp_c))))
                .collect(),
        };
        let airs: Vec<(&AirTrack, Air)> = self.tracks.iter().filter(own).map(|track| (track, Air::of(track))).collect();
        let found: Vec<Vec<Found>> = airs.iter().map(|(track, air)| of_track(track, air, &around)).collect();
        let mut all: Vec<AirRise> = Vec::new();
        for (index, own) in found.iter().enumerate() {
            let others = || (0..airs.len()).filter(|other| *other != index);
            let agreed = |one: &Found| others().all(|other| agrees(&airs[other].1, &found[other], micros(one.rise.at)));
            all.extend(own.iter().filter(|one| one.alone || agreed(one)).map(|one| one.rise.clone()));
        }
        all.sort_by(|a, b| (a.at, &a.label).cmp(&(b.at, &b.label)));
        all
    }

    /// When people read points or air of a chamber by hand, microseconds, sorted.
    fn read_in(&self, chamber: &str) -> Vec<i64> {
        let job = self.job;
        let inside = |reading: &&Reading| {
            let point = job.points.iter().find(|point| point.id == reading.point);
            point.is_some_and(|point| job.chamber_at(point, reading.time).as_deref() == Some(chamber))
        };
        let of_points = job.readings.iter().filter(inside).map(|reading| reading.time);
        let of_air = job.air_readings.iter().filter(|reading| reading.place.chamber.as_deref() == Some(chamber));
        let mut times: Vec<i64> = of_points.chain(of_air.map(|reading| reading.time)).map(micros).collect();
        times.sort_unstable();
        times
    }
}

/// A rise that one logger shows.
struct Found {
    rise: AirRise,
    /// Whether it needs no other logger to bear it out.
    alone: bool,
}

/// Whether a logger has no part in the question at an instant, or shows a rise too.
fn agrees(air: &Air, own: &[Found], at: i64) -> bool {
    let near = at - micros_of(AIR_RISE_TOGETHER);
    !air.speaks(at) || own.iter().any(|one| (near + 1..=at).contains(&micros(one.rise.at)))
}

fn of_track(track: &AirTrack, air: &Air, around: &Surroundings<'_>) -> Vec<Found> {
    let Some((first, last)) = air.gpp.span() else { return Vec::new() };
    let step = micros_of(AIR_RISE_STEP);
    let mut out = Vec::new();
    let mut at = (first / step + 1) * step;
    while at <= last {
        let window = air.window(at);
        if let Some((by_gpp, alone)) = around.unexplained(air, &window)
            && around.units_ran(&air.temp_c, &window)
            && let Some(row) = air.gpp.position_at(at).and_then(|position| track.rows.get(position))
        {
            let rise = AirRise { at: instant(at), by_gpp, label: track.label.clone(), row: row.clone() };
            out.push(Found { rise, alone });
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
    /// Outdoor air, by logger.
    outdoor: Vec<Air>,
    /// Air of the unaffected area, by logger.
    unaffected: Vec<Air>,
    /// When people read its points or air by hand, microseconds, sorted.
    read: Vec<i64>,
    /// Temperature of the air that units give off, by unit.
    outlets: Vec<(&'a str, Samples)>,
}

impl Surroundings<'_> {
    /// By how much air got wetter, where outdoor air is known and cannot have brought it; and whether one logger is enough
    /// to show it.
    fn unexplained(&self, air: &Air, window: &Window) -> Option<(f64, bool)> {
        let level = median_of(air.gpp.within(window.now_begins(), window.at))?;
        let from = window.now_begins() - window.held / 2;
        let wettest = self.outdoor.iter().flat_map(|outdoor| outdoor.gpp.within(from, window.at)).reduce(f64::max)?;
        let drier = wettest <= level;
        if let Some(by_gpp) = rise(&air.gpp, window, AIR_RISE_GPP, 0.0).filter(|_| drier) {
            return Some((by_gpp, true));
        }
        let window = if drier { *window } else { Window { before: AIR_RISE_NEAR_TIMES * window.held, ..*window } };
        let by_gpp = rise(&air.gpp, &window, AIR_RISE_LITTLE_GPP, AIR_RISE_STAYED)?;
        let explained = self.read_lately(&window)
            || !drier && self.outdoor.iter().any(|outdoor| may_have_brought(outdoor, air, &window))
            || self.unaffected.iter().any(|indoor| rose_with(indoor, by_gpp, level, &window));
        (!explained).then_some((by_gpp, false))
    }

    /// Whether people were in the chamber while it got wetter or a while before.
    fn read_lately(&self, window: &Window) -> bool {
        let from = window.now_begins() - micros_of(AIR_RISE_AFTER_READING);
        let before = self.read.partition_point(|read| *read <= window.at);
        before > 0 && self.read[before - 1] > from
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
        let (mut before, mut now, mut to_the_end) = (Vec::new(), Vec::new(), false);
        for (_, outlet_c) in self.outlets.iter().filter(|(of, _)| *of == unit) {
            let warmer =
                |index: usize| Some(outlet_c.values[index] - room_c.value_at(outlet_c.times[index], window.held)?);
            before.extend(outlet_c.indices(window.begins(), window.now_begins()).filter_map(warmer));
            now.extend(outlet_c.indices(window.now_begins(), window.at).filter_map(warmer));
            to_the_end |= outlet_c.within(window.lately(), window.at).next().is_some();
        }
        before.sort_by(f64::total_cmp);
        let least = now.into_iter().reduce(f64::min);
        to_the_end
            && median(&before)
                .zip(least)
                .is_some_and(|(before, least)| before >= AIR_RISE_WARMER_K && least >= AIR_RISE_RUN_SHARE * before)
    }
}

/// Whether wetter outdoor air that came in may have brought a rise: it went a large share of the way, and the room became
/// colder where mixing must have cooled it.
fn may_have_brought(outdoor: &Air, air: &Air, window: &Window) -> bool {
    let (from, at) = (window.now_begins(), window.at);
    let share = || {
        let was_gpp = median_of(air.gpp.within(window.begins(), from))?;
        let wettest_gpp = air.gpp.within(from, at).reduce(f64::max)?;
        let gap_gpp = median_of(outdoor.gpp.within(from, at))? - was_gpp;
        (gap_gpp > 0.0).then_some((wettest_gpp - was_gpp) / gap_gpp)
    };
    // The temperature of a room drifts over half a day.
    let just_before = from - 2 * window.held;
    let cooled = || {
        let was_kj = median_of(air.enthalpy_kj_kg.within(just_before, from))?;
        let lower_kj = was_kj - median_of(outdoor.enthalpy_kj_kg.within(from, at))?;
        let was_c = median_of(air.temp_c.within(just_before, from))?;
        let gap_k = was_c - median_of(outdoor.temp_c.within(from, at))?;
        let now_c = median_of(air.temp_c.within(window.lately(), at))?;
        (lower_kj >= AIR_RISE_LOWER_KJ && gap_k > 0.0).then_some((was_c - now_c) / gap_k)
    };
    share().is_some_and(|share| share >= AIR_RISE_DOOR_SHARE)
        && cooled().is_none_or(|share| share >= AIR_RISE_COOLED_SHARE)
}

/// Whether air of the unaffected area that is wetter than the chamber's, `level_gpp`, got wetter by as much.
fn rose_with(indoor: &Air, by_gpp: f64, level_gpp: f64, window: &Window) -> bool {
    let wettest = indoor.gpp.within(window.now_begins(), window.at).reduce(f64::max);
    wettest.is_some_and(|wettest| wettest > level_gpp) && rise(&indoor.gpp, window, by_gpp, 0.0).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{analyse, at, at_d1, d1, f, in_a, job, placement, series, steady};
    use grainfall_job::{AirPlace, AirReading, AirWater, Place};
    use grainfall_psychrometrics::{Celsius, GrainsPerPound};
    use grainfall_record::RowRef;

    const START: &str = "2025-10-06T00:00:00Z";
    /// The air gets wetter at 18:00 and stays so.
    const DRY: usize = 18 * 6;
    const WET: usize = 6 * 6;
    /// 50 F / 60 % outdoors is 32 GPP.
    const DRIER: Option<(f64, f64)> = Some((10.0, 60.0));
    /// 28 C / 80 % is 134 GPP.
    const WETTER: Option<(f64, f64)> = Some((28.0, 80.0));

    /// A chamber at 77 F / 35 % that gets wetter, logged every ten minutes; GPP at 14.696 psia (psychrolib 2.5.0).
    struct House {
        outdoor: Option<(f64, f64)>,
        outlet_wet_f: f64,
        /// For so many samples from the rise on the outlet is logged.
        outlet: usize,
        wet: usize,
        /// 45 % is a rise from 48.19 to 62.15 GPP.
        to: (f64, f64),
        /// Humidity before and then by a second logger, which flickers by 0.2 %.
        beside: Option<(f64, f64)>,
        read: Option<&'static str>,
        /// Humidity before and then in the unaffected area.
        indoors: Option<(f64, f64)>,
    }

    const HOUSE: House = House {
        outdoor: DRIER,
        outlet_wet_f: 94.0,
        outlet: WET,
        wet: WET,
        to: (77.0, 45.0),
        beside: None,
        read: None,
        indoors: None,
    };

    impl House {
        fn rises(&self) -> Vec<AirRise> {
            let mut job = job();
            job.loggers = vec![in_a("W", Place::Affected), placement("O", Place::Outdoor), at_d1("OUT", Place::Outlet)];
            job.loggers.extend([in_a("X", Place::Affected), placement("U", Place::Unaffected)]);
            job.equipment = vec![d1(START, None)];
            job.air_readings = self.read.into_iter().map(reading).collect();
            let steps = |dry: (f64, f64), then: (f64, f64)| [vec![Some(dry); DRY], vec![Some(then); self.wet]].concat();
            let outlet = steps((f(94.0), 17.0), (f(self.outlet_wet_f), 21.0));
            let mut logs = vec![
                series("W", START, 600, &steps((f(77.0), 35.0), (f(self.to.0), self.to.1))),
                series("OUT", START, 600, &outlet[..DRY + self.outlet.min(self.wet)]),
            ];
            logs.extend(self.outdoor.map(|air| steady("O", START, 600, DRY + self.wet, air)));
            logs.extend(self.beside.map(|(dry, then)| {
                let mut air = steps((f(77.0), dry), (f(self.to.0), then));
                air.iter_mut().step_by(2).flatten().for_each(|(_, rh)| *rh += 0.2);
                series("X", START, 600, &air)
            }));
            let indoors = |(dry, then)| series("U", START, 600, &steps((f(77.0), dry), (f(77.0), then)));
            logs.extend(self.indoors.map(indoors));
            let air = analyse(&job, logs, "2025-10-07T00:00:00Z");
            AirRises::new(&job, &air.tracks).of_chamber("A")
        }
    }

    fn reading(time: &str) -> AirReading {
        AirReading {
            time: at(time),
            place: AirPlace { place: Place::Affected, chamber: Some("A".into()), unit: None },
            air_temp: Celsius::new(25.0),
            water: AirWater::Gpp(GrainsPerPound::new(50.0)),
            instrument: None,
            by: None,
            line: RowRef::new("air.csv", 2),
        }
    }

    #[test]
    fn air_that_gets_wetter_beside_a_running_unit_and_drier_weather() {
        let found = HOUSE.rises();
        let first = &found[0];
        assert!((at("2025-10-06T18:30:00Z")..=at("2025-10-06T19:00:00Z")).contains(&first.at), "{first:?}");
        assert!((first.by_gpp - 13.96).abs() < 0.02, "{first:?}");
        assert_eq!(first.label, "affected, Kitchen");
    }

    #[test]
    fn outdoor_air_as_wet_or_unknown_and_a_unit_that_stops_explain_it() {
        // 68 F / 70 % is 71 GPP: 23 above the chamber's 48, of which 14 came in, and colder by 5 K but of its enthalpy.
        assert!(House { outdoor: Some((20.0, 70.0)), ..HOUSE }.rises().is_empty());
        assert!(House { outdoor: None, ..HOUSE }.rises().is_empty());
        assert!(House { outlet_wet_f: 77.5, ..HOUSE }.rises().is_empty());
        // Logged to 18:20: of the time after it nobody knows.
        let until = House { outlet: 3, ..HOUSE }.rises();
        assert!(!until.is_empty() && until.iter().all(|rise| rise.at < at("2025-10-06T18:45:00Z")), "{until:?}");
    }

    #[test]
    fn wetter_weather_explains_what_it_would_have_brought() {
        let beside = |temp_c, rh| House { outdoor: Some((temp_c, rh)), ..HOUSE };
        // 14 of 86 GPP is no open door.
        assert!(!beside(28.0, 80.0).rises().is_empty());
        // 16 C / 88 % is 69.5 GPP, 14 of 21, but 41.5 kJ/kg where the chamber has 42.8: not clearly lower.
        assert!(beside(16.0, 88.0).rises().is_empty());
        // 13 C / 99 % is 64.7 GPP and 36.5 kJ/kg: coming in it would have cooled a room that stayed as warm, from 25 C.
        assert!(!beside(13.0, 99.0).rises().is_empty());
        // By 2.2 K, a sixth of the way: 73 F / 51.4 % is as wet.
        assert!(House { to: (73.0, 51.4), ..beside(13.0, 99.0) }.rises().is_empty());
    }

    /// 38 % is 52.36 GPP, 4.17 more than before; 37 % is 50.97, and 2.78.
    #[test]
    fn a_little_rise_and_one_beside_wetter_weather_need_every_logger_and_nobody_there() {
        for (to, outdoor) in [(38.0, DRIER), (38.0, WETTER), (45.0, WETTER)] {
            let house = || House { to: (77.0, to), outdoor, ..HOUSE };
            assert!(!house().rises().is_empty());
            assert!(House { to: (77.0, 37.0), ..house() }.rises().is_empty());
            assert!(!House { beside: Some((37.0, to + 2.0)), ..house() }.rises().is_empty(), "both show it");
            assert!(House { beside: Some((37.0, 37.0)), ..house() }.rises().is_empty(), "one shows it");
            let after = |read| House { read: Some(read), ..house() }.rises();
            assert!(after("2025-10-06T17:50:00Z").iter().all(|rise| rise.at >= at("2025-10-06T20:20:00Z")));
            assert!(!after("2025-10-06T16:00:00Z").is_empty());
            let indoors = |dry, then| House { indoors: Some((dry, then)), ..house() }.rises();
            assert!(indoors(39.0, to + 6.0).is_empty(), "the house got wetter by more and is wetter");
            assert!(!indoors(60.0, 61.0).is_empty() && !indoors(20.0, 34.0).is_empty());
        }
        let clear = House { beside: Some((37.0, 37.0)), read: Some("2025-10-06T17:50:00Z"), ..HOUSE };
        assert!(!clear.rises().is_empty(), "drier weather cannot have brought so much");
    }

    #[test]
    fn what_is_logged_later_changes_nothing_before() {
        for outdoor in [DRIER, WETTER] {
            let house = || House { outdoor, beside: Some((37.0, 47.0)), ..HOUSE };
            let (all, cut) = (house().rises(), House { wet: 7, ..house() }.rises());
            assert!(!cut.is_empty() && cut.len() < all.len());
            let last = cut[cut.len() - 1].at;
            let before: Vec<AirRise> = all.into_iter().filter(|rise| rise.at <= last).collect();
            assert_eq!(before, cut);
        }
    }
}
