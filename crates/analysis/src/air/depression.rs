//! Grain depression of each dehumidifier: GPP of the air it takes in minus GPP of the air it gives off, at the instants
//! of its outlet samples.
//!
//! The inlet is, at each instant, the unit's own inlet logger where one shows the air then, else the affected loggers of
//! its chamber (their mean); a unit that serves several chambers needs its own. The errors of different loggers are
//! taken as independent, that of the pressure as shared.

use grainfall_words::say;
use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Stay};
use grainfall_psychrometrics::uncertainty::SensorAccuracy;

use super::airs::{AirPoint, Airs, At, sample};
use super::cover::{Cell, cells, instants_within};
use super::gpp_u::GppU;
use super::instant::{interval_micros, micros};
use super::running::RunSample;
use crate::evidence::{AirTrack, TrackPlace};

/// Air across one unit, sample by sample.
#[derive(Debug, Clone)]
pub(crate) struct UnitSamples<'a> {
    /// The unit.
    pub(crate) unit: &'a str,
    /// Its stays that begin before the clock, in order, cut at the clock.
    pub(crate) stays: Vec<UnitStay<'a>>,
    /// Labels of the inlet loggers.
    pub(crate) inlet: Vec<String>,
    /// Whether they are the unit's own.
    pub(crate) own_inlet: bool,
    /// Label of the outlet loggers.
    pub(crate) outlet: Option<String>,
    /// Why there is no depression.
    pub(crate) why_not: Option<String>,
    /// Usual interval of the outlet, microseconds.
    pub(crate) interval: i64,
    /// Outlet samples during the stays, in time order.
    pub(crate) samples: Vec<UnitSample>,
}

/// A stay with its half-open span, microseconds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct UnitStay<'a> {
    /// As written.
    pub(crate) stay: &'a Stay,
    /// From placed to removed or the clock.
    pub(crate) span: (i64, i64),
}

/// One outlet sample with the inlet air that matches it.
#[derive(Debug, Clone)]
pub(crate) struct UnitSample {
    /// When.
    pub(crate) time: DateTime<Utc>,
    /// Position in `stays`.
    pub(crate) stay: usize,
    /// What is known for the running state.
    pub(crate) run: RunSample,
    /// The inlet air, where the depression is known.
    pub(crate) inlet: Option<AirPoint>,
    /// Expanded uncertainty of the depression by where it comes from, GPP.
    pub(crate) u_depression: GppU,
    /// The time for which its depression stands, microseconds.
    pub(crate) matched: Option<(i64, i64)>,
}

/// The units of the job that take water out of the air, by name, with their samples.
pub(crate) fn units<'a>(
    job: &'a Job,
    tracks: &[AirTrack],
    sensors: &[SensorAccuracy],
    clock: DateTime<Utc>,
) -> Vec<UnitSamples<'a>> {
    let mut by_unit: BTreeMap<&str, Vec<UnitStay<'_>>> = BTreeMap::new();
    for stay in job.equipment.iter().filter(|stay| stay.kind.is_dehumidifier() && stay.placed < clock) {
        let to = stay.removed.map_or(clock, |removed| removed.min(clock));
        if stay.placed < to {
            let span = (micros(stay.placed), micros(to));
            by_unit.entry(&stay.unit).or_default().push(UnitStay { stay, span });
        }
    }
    by_unit
        .into_iter()
        .map(|(unit, mut stays)| {
            stays.sort_by_key(|stay| stay.span);
            unit_samples(job, unit, stays, tracks, sensors)
        })
        .collect()
}

/// Inlet air of one stay.
struct Inlets<'t> {
    /// The unit's own inlet loggers.
    own: Airs<'t>,
    /// The affected loggers of what it serves.
    room: Airs<'t>,
    /// Whether it serves one chamber at most, so that the room's air is what it takes in.
    one_room: bool,
}

impl Inlets<'_> {
    /// The air taken in, with the labels of its loggers: the own ones' where they show it.
    fn air_at(&self, at: At) -> Option<(AirPoint, Vec<&str>)> {
        self.own.at(at).or_else(|| self.one_room.then(|| self.room.at(at)).flatten())
    }

    fn temp_at(&self, at: At) -> Option<(f64, f64)> {
        self.own.temp_at(at).or_else(|| self.room.temp_at(at))
    }

    /// Whether no logger could show the air taken in.
    fn is_empty(&self) -> bool {
        self.own.is_empty() && (!self.one_room || self.room.is_empty())
    }
}

fn unit_samples<'a>(
    job: &Job,
    unit: &'a str,
    stays: Vec<UnitStay<'a>>,
    tracks: &[AirTrack],
    sensors: &[SensorAccuracy],
) -> UnitSamples<'a> {
    let words = job.zone.words;
    let of_unit = |place| tracks.iter().filter(move |t| t.place == place && t.unit.as_deref() == Some(unit));
    let during_any = |track: &AirTrack| stays.iter().any(|stay| during(track, stay));
    let own: Vec<&AirTrack> = of_unit(TrackPlace::Inlet).filter(|t| during_any(t)).collect();
    let outlets = in_turn(of_unit(TrackPlace::Outlet).filter(|t| during_any(t)).collect());
    let inlets: Vec<Inlets<'_>> = stays
        .iter()
        .map(|stay| {
            let own: Vec<&AirTrack> = own.iter().copied().filter(|track| during(track, stay)).collect();
            inlets(stay.stay, &own, tracks, sensors)
        })
        .collect();
    let (samples, used) = outlet_samples(&outlets, &stays, &inlets, sensors);
    // Those that could have shown it, where none matched.
    let possible =
        || inlets.iter().flat_map(|one| if one.own.is_empty() { one.room.labels() } else { one.own.labels() });
    let mut inlet: Vec<String> = Vec::new();
    for label in if used.is_empty() { possible().collect() } else { used } {
        if !inlet.contains(&label) {
            inlet.push(label);
        }
    }
    let interval = outlets.iter().filter_map(|(track, _)| interval_micros(track.interval_s)).max().unwrap_or(0);
    let labels: Vec<String> = outlets.iter().map(|(track, _)| track.label.clone()).collect();
    let why_not = if samples.iter().any(|s| s.inlet.is_some()) {
        None
    } else {
        Some(why_not(job, &stays, &own, &outlets, &inlets))
    };
    UnitSamples {
        unit,
        stays,
        inlet,
        own_inlet: !own.is_empty(),
        outlet: (!labels.is_empty()).then(|| words.list(&labels)),
        why_not,
        interval,
        samples,
    }
}

/// Whether a track has a temperature within a stay.
fn during(track: &AirTrack, stay: &UnitStay<'_>) -> bool {
    instants_within(&track.time, stay.span.0, stay.span.1 + 1).any(|i| track.air_temp_c[i].is_some())
}

/// Outlet tracks in turn, each with the instant from which it counts: where two overlap, the one placed first goes on.
fn in_turn(mut outlets: Vec<&AirTrack>) -> Vec<(&AirTrack, i64)> {
    outlets.sort_by(|a, b| (a.time.first(), &a.label).cmp(&(b.time.first(), &b.label)));
    let mut out = Vec::new();
    let mut from = i64::MIN;
    for track in outlets {
        let Some(last) = track.time.last().map(|time| micros(*time)) else { continue };
        if last >= from {
            out.push((track, from));
            from = last + 1;
        }
    }
    out
}

fn inlets<'t>(stay: &Stay, own: &[&'t AirTrack], tracks: &'t [AirTrack], sensors: &[SensorAccuracy]) -> Inlets<'t> {
    let room = tracks.iter().filter(|t| {
        t.place == TrackPlace::Affected
            && match &t.chamber {
                Some(chamber) => stay.chambers.contains(chamber),
                None => stay.chambers.is_empty(),
            }
    });
    Inlets {
        own: Airs::new(own.iter().copied(), sensors),
        room: Airs::new(room, sensors),
        one_room: stay.chambers.len() <= 1,
    }
}

/// Outlet samples during the stays, and the labels of the inlet loggers they were compared with, in the order of use.
fn outlet_samples(
    outlets: &[(&AirTrack, i64)],
    stays: &[UnitStay<'_>],
    inlets: &[Inlets<'_>],
    sensors: &[SensorAccuracy],
) -> (Vec<UnitSample>, Vec<String>) {
    let mut out = Vec::new();
    let mut used: Vec<String> = Vec::new();
    for (track, from) in outlets {
        let u_temp_k = super::moist::u_temp_k(&sensors[track.logger].temp);
        let counts = |i: usize| micros(track.time[i]) >= *from && track.air_temp_c[i].is_some();
        let first = out.len();
        for cell in cells(&track.time, counts, track.interval_s) {
            let time = micros(track.time[cell.index]);
            // A sample at the very end of a stay still stands for the time before it.
            let Some(stay) = stays.iter().position(|s| s.span.0 <= time && time <= s.span.1) else { continue };
            let inlet = inlets[stay].air_at(sample(track, cell.index));
            for label in inlet.iter().flat_map(|(_, labels)| labels) {
                if !used.iter().any(|known| known == label) {
                    used.push((*label).to_owned());
                }
            }
            let inlet = inlet.map(|(air, _)| air);
            out.push(unit_sample(track, cell, stay, &inlets[stay], inlet, u_temp_k));
        }
        let added: &mut [UnitSample] = &mut out[first..];
        let times: Vec<DateTime<Utc>> = added.iter().map(|sample| sample.time).collect();
        for cell in cells(&times, |k| added[k].run.depression.is_some(), track.interval_s) {
            added[cell.index].matched = Some((cell.from, cell.to));
        }
    }
    (out, used)
}

fn unit_sample(
    track: &AirTrack,
    cell: Cell,
    stay: usize,
    inlets: &Inlets<'_>,
    inlet: Option<AirPoint>,
    u_temp_k: f64,
) -> UnitSample {
    let index = cell.index;
    let rise = inlets
        .temp_at(sample(track, index))
        .and_then(|(room_c, u_room_k)| Some((track.air_temp_c[index]? - room_c, f64::hypot(u_temp_k, u_room_k))));
    let depression = inlet.and_then(|inlet| {
        let (gpp, u_gpp) = (track.gpp[index]?, track.u_gpp_by(|column| column[index])?);
        Some((inlet.gpp - gpp, inlet.u_gpp.minus(u_gpp)))
    });
    UnitSample {
        time: track.time[index],
        stay,
        run: RunSample {
            cell,
            rise_k: rise.map(|(rise, _)| rise),
            u_rise_k: rise.map_or(0.0, |(_, u)| u),
            depression: depression.map(|(depression, u)| (depression, u.total())),
            row: track.rows[index].clone(),
        },
        inlet: inlet.filter(|_| depression.is_some()),
        u_depression: depression.map_or_else(GppU::default, |(_, u)| u),
        matched: None,
    }
}

fn why_not(
    job: &Job,
    stays: &[UnitStay<'_>],
    own: &[&AirTrack],
    outlets: &[(&AirTrack, i64)],
    inlets: &[Inlets<'_>],
) -> String {
    let words = job.zone.words;
    if outlets.is_empty() {
        return say!(words, "depression.no_logger_at_its_outlet").to_owned();
    }
    if own.is_empty() {
        if stays.iter().any(|s| s.stay.chambers.len() > 1) {
            return say!(words, "depression.it_serves_several_chambers_and").to_owned();
        }
        if inlets.iter().all(Inlets::is_empty) {
            let mut chambers: Vec<String> = Vec::new();
            for id in stays.iter().flat_map(|s| &s.stay.chambers) {
                let name = format!("“{}”", super::placement::chamber_name(job, id));
                if !chambers.contains(&name) {
                    chambers.push(name);
                }
            }
            return if chambers.is_empty() {
                say!(words, "depression.no_inlet_and_no_chamber").to_owned()
            } else {
                say!(words, "depression.no_logger_at_its_inlet", chambers = words.list(&chambers))
            };
        }
    }
    if outlets.iter().all(|(track, _)| track.gpp.iter().all(Option::is_none)) {
        return say!(words, "depression.its_outlet_logger_gives_no").to_owned();
    }
    say!(words, "depression.no_inlet_sample_matches_an").to_owned()
}
