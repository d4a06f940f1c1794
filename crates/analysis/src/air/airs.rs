//! One air measured by several loggers: the mean of those that match an instant.
//!
//! The loggers' errors are taken as independent, so the expanded uncertainty of the mean of n is the root of the sum of
//! squares over n (JCGM 100:2008, eq. 10); what the shared pressure adds stays as it is. Where a logger has a gap the mean is of the others.

use grainfall_psychrometrics::uncertainty::SensorAccuracy;

use super::gpp_u::GppU;
use super::instant::micros;
use super::matching::{Lookup, Matched};
use super::moist;
use crate::evidence::AirTrack;

/// Loggers in one air.
#[derive(Debug, Clone, Default)]
pub(crate) struct Airs<'a> {
    members: Vec<Member<'a>>,
}

#[derive(Debug, Clone)]
struct Member<'a> {
    track: &'a AirTrack,
    u_temp_k: f64,
    air: Lookup,
    temp: Lookup,
}

/// The air at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AirPoint {
    /// Temperature, degC.
    pub(crate) air_temp_c: f64,
    /// Relative humidity, %.
    pub(crate) rh_pct: f64,
    /// Grains per pound.
    pub(crate) gpp: f64,
    /// Expanded uncertainty of it.
    pub(crate) u_gpp: GppU,
    /// Vapour pressure, Pa.
    pub(crate) vapour_pressure_pa: f64,
    /// Wet bulb, degC.
    pub(crate) wet_bulb_c: f64,
}

/// How an instant is looked up.
#[derive(Debug, Clone, Copy)]
pub(crate) enum At {
    /// It is a sample of a logger with this usual interval.
    Sample {
        /// The instant, microseconds.
        time: i64,
        /// The usual interval, seconds.
        interval_s: Option<u32>,
    },
    /// It is no sample: the nearest within one interval of each logger counts.
    Moment {
        /// The instant, microseconds.
        time: i64,
    },
}

impl At {
    fn find(self, lookup: &Lookup) -> Option<Matched> {
        match self {
            Self::Sample { time, interval_s } => lookup.at(time, interval_s),
            Self::Moment { time } => lookup.near(time),
        }
    }
}

impl<'a> Airs<'a> {
    /// The air of these tracks; `sensors` are those of all tracks, by `AirTrack::logger`.
    pub(crate) fn new(tracks: impl IntoIterator<Item = &'a AirTrack>, sensors: &[SensorAccuracy]) -> Self {
        Self::with(tracks, sensors, |track, column| Lookup::new(&track.time, |i| column[i].is_some(), track.interval_s))
    }

    /// The same, for looking up this one moment only.
    pub(crate) fn around(
        tracks: impl IntoIterator<Item = &'a AirTrack>,
        sensors: &[SensorAccuracy],
        time: i64,
    ) -> Self {
        Self::with(tracks, sensors, |track, column| {
            Lookup::around(&track.time, |i| column[i].is_some(), track.interval_s, time)
        })
    }

    fn with(
        tracks: impl IntoIterator<Item = &'a AirTrack>,
        sensors: &[SensorAccuracy],
        lookup: impl Fn(&AirTrack, &[Option<f64>]) -> Lookup,
    ) -> Self {
        let members = tracks
            .into_iter()
            .map(|track| Member {
                track,
                u_temp_k: moist::u_temp_k(&sensors[track.logger].temp),
                air: lookup(track, &track.gpp),
                temp: lookup(track, &track.air_temp_c),
            })
            .filter(|member| !member.temp.is_empty())
            .collect();
        Self { members }
    }

    /// Whether no logger measures it.
    pub(crate) fn is_empty(&self) -> bool {
        self.members.is_empty()
    }

    /// Labels of the loggers, in their order.
    pub(crate) fn labels(&self) -> Vec<String> {
        self.members.iter().map(|member| member.track.label.clone()).collect()
    }

    /// The loggers, in their order.
    pub(crate) fn tracks(&self) -> impl Iterator<Item = &'a AirTrack> + '_ {
        self.members.iter().map(|member| member.track)
    }

    /// The air at an instant with the labels of the loggers it is the mean of; `None` where none matches.
    pub(crate) fn at(&self, at: At) -> Option<(AirPoint, Vec<&'a str>)> {
        let (mut temp_sum, mut rh_sum, mut gpp_sum, mut vapour_sum, mut wet_bulb_sum) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let (mut uncertainties, mut labels) = (Vec::new(), Vec::new());
        for member in &self.members {
            let track = member.track;
            let Some(matched) = at.find(&member.air) else { continue };
            let value = |column: &[Option<f64>]| matched.value(column);
            let (Some(temp), Some(rh), Some(gpp), Some(u_gpp), Some(vapour), Some(wet_bulb)) = (
                value(&track.air_temp_c),
                value(&track.rh_pct),
                value(&track.gpp),
                track.u_gpp_by(value),
                value(&track.vapour_pressure_pa),
                value(&track.wet_bulb_c),
            ) else {
                continue;
            };
            temp_sum += temp;
            rh_sum += rh;
            gpp_sum += gpp;
            uncertainties.push(u_gpp);
            vapour_sum += vapour;
            wet_bulb_sum += wet_bulb;
            labels.push(track.label.as_str());
        }
        #[allow(clippy::cast_precision_loss)]
        let n = labels.len() as f64;
        (!labels.is_empty()).then(|| {
            let mean = AirPoint {
                air_temp_c: temp_sum / n,
                rh_pct: rh_sum / n,
                gpp: gpp_sum / n,
                u_gpp: GppU::of_mean(uncertainties),
                vapour_pressure_pa: vapour_sum / n,
                wet_bulb_c: wet_bulb_sum / n,
            };
            (mean, labels)
        })
    }

    /// Temperature, degC, and its expanded uncertainty, K, at an instant; humidity is not needed.
    pub(crate) fn temp_at(&self, at: At) -> Option<(f64, f64)> {
        let (mut sum, mut variance, mut n) = (0.0, 0.0, 0.0);
        for member in &self.members {
            if let Some(temp) = at.find(&member.temp).and_then(|matched| matched.value(&member.track.air_temp_c)) {
                sum += temp;
                variance += member.u_temp_k * member.u_temp_k;
                n += 1.0;
            }
        }
        (n > 0.0).then(|| (sum / n, f64::sqrt(variance) / n))
    }
}

/// The instant of a track's sample.
pub(crate) fn sample(track: &AirTrack, index: usize) -> At {
    At::Sample { time: micros(track.time[index]), interval_s: track.interval_s }
}
