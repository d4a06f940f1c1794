//! Temperature and humidity at logged surfaces.
//!
//! A logger placed at a surface or inside a material measures both there. One that logs a surface temperature gives the
//! surface's humidity as the vapour pressure of the air over the saturation pressure at that temperature: its own air
//! where it measures it, else the affected air of its chamber.

use grainfall_psychrometrics::{Celsius, Saturation, saturation_vapour_pressure};

use crate::air::cover::cells;
use crate::air::instant::{SECONDS_PER_HOUR, micros, seconds};
use crate::air::matching::Lookup;
use crate::evidence::{AirTrack, SurfaceHumidity, TrackPlace};

/// The air at one surface.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SurfaceAir {
    /// Position of the track.
    pub track: usize,
    pub basis: SurfaceHumidity,
    pub samples: Vec<SurfaceSample>,
}

/// One sample of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SurfaceSample {
    /// Position in the track.
    pub index: usize,
    /// Temperature of the surface, degC.
    pub temp_c: f64,
    /// Relative humidity at it, %, at most 100.
    pub rh_pct: f64,
    /// Temperature of the surface above the dew point of the room's air, K; `None` where no air but the surface's own
    /// is logged.
    pub above_dew_point_k: Option<f64>,
    /// Hours the sample stands for.
    pub hours: f64,
}

/// Every logged surface with at least one usable sample, in the order of the tracks.
pub(crate) fn surfaces(tracks: &[AirTrack]) -> Vec<SurfaceAir> {
    (0..tracks.len())
        .filter(|track| matches!(tracks[*track].place, TrackPlace::Surface | TrackPlace::Material))
        .filter_map(|track| surface(track, tracks))
        .collect()
}

fn surface(position: usize, tracks: &[AirTrack]) -> Option<SurfaceAir> {
    let track = &tracks[position];
    let has = |column: &[Option<f64>]| column.iter().any(Option::is_some);
    let own_surface_temp = has(&track.surface_temp_c);
    let basis = match (own_surface_temp, has(&track.vapour_pressure_pa)) {
        (false, true) => SurfaceHumidity::Measured,
        (true, true) => SurfaceHumidity::OwnAir,
        (_, false) => SurfaceHumidity::ChamberAir,
    };
    let room: Vec<(&AirTrack, Lookup)> = tracks
        .iter()
        .filter(|other| {
            other.place == TrackPlace::Affected && other.chamber.is_some() && other.chamber == track.chamber
        })
        .map(|other| (other, Lookup::new(&other.time, |i| other.vapour_pressure_pa[i].is_some(), other.interval_s)))
        .collect();
    let room_at = |i: usize| {
        let time = micros(track.time[i]);
        let found: Vec<(f64, f64)> = room
            .iter()
            .filter_map(|(other, lookup)| {
                let matched = lookup.at(time, track.interval_s)?;
                Some((matched.value(&other.vapour_pressure_pa)?, matched.value(&other.dew_point_c)?))
            })
            .collect();
        #[allow(clippy::cast_precision_loss)]
        let n = found.len() as f64;
        (!found.is_empty())
            .then(|| (found.iter().map(|one| one.0).sum::<f64>() / n, found.iter().map(|one| one.1).sum::<f64>() / n))
    };
    let temps = if own_surface_temp { &track.surface_temp_c } else { &track.air_temp_c };
    let at = |i: usize| -> Option<(f64, f64, Option<f64>)> {
        let temp_c = temps[i]?;
        let room = room_at(i);
        let rh_pct = match basis {
            SurfaceHumidity::Measured => track.rh_pct[i]?,
            SurfaceHumidity::OwnAir => humidity_at(track.vapour_pressure_pa[i]?, temp_c)?,
            SurfaceHumidity::ChamberAir => humidity_at(room?.0, temp_c)?,
        };
        let dew_point = match basis {
            SurfaceHumidity::OwnAir => track.dew_point_c[i],
            _ => room.map(|room| room.1),
        };
        Some((temp_c, rh_pct, dew_point.map(|dew_point| temp_c - dew_point)))
    };
    let found: Vec<Option<(f64, f64, Option<f64>)>> = (0..track.time.len()).map(at).collect();
    let samples: Vec<SurfaceSample> = cells(&track.time, |i| found[i].is_some(), track.interval_s)
        .into_iter()
        .filter_map(|cell| {
            let (temp_c, rh_pct, above_dew_point_k) = found[cell.index]?;
            let hours = seconds(cell.to - cell.from) / SECONDS_PER_HOUR;
            Some(SurfaceSample { index: cell.index, temp_c, rh_pct, above_dew_point_k, hours })
        })
        .collect();
    (!samples.is_empty()).then_some(SurfaceAir { track: position, basis, samples })
}

/// Relative humidity at a surface, %, from a vapour pressure, Pa; 100 where water condenses.
fn humidity_at(vapour_pa: f64, temp_c: f64) -> Option<f64> {
    let saturated = saturation_vapour_pressure(Celsius::new(temp_c), Saturation::LiquidWater).ok()?.get();
    Some((100.0 * vapour_pa / saturated).min(100.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{analyse, f, in_a, job, series, steady};
    use grainfall_job::Place;
    use grainfall_record::{LoggerSeries, Quantity};

    const START: &str = "2025-10-06T00:00:00Z";
    const CLOCK: &str = "2025-10-06T12:00:00Z";

    /// 80 F / 60 % air (dew point 64.8755 F) at surfaces of 66, 70 and 75 F: 96.2, 83.8, 70.8 % (psychrolib 2.5.0).
    #[test]
    fn the_humidity_at_a_colder_surface() {
        for (surface_f, wanted) in [(66.0, 96.2), (70.0, 83.8), (75.0, 70.8)] {
            let mut job = job();
            job.loggers = vec![in_a("S", Place::Surface), in_a("R", Place::Affected)];
            let mut probe: LoggerSeries = series("S", START, 600, &vec![Some((20.0, 50.0)); 37]);
            probe.values.clear();
            probe.values.insert(Quantity::SurfaceTemp, vec![Some(f(surface_f)); 37]);
            let air = analyse(&job, vec![probe, steady("R", START, 600, 37, (f(80.0), 60.0))], CLOCK);
            let surfaces = surfaces(&air.tracks);
            assert_eq!(surfaces[0].basis, SurfaceHumidity::ChamberAir);
            let sample = surfaces[0].samples[3];
            assert!((sample.rh_pct - wanted).abs() < 0.05, "{} at {surface_f} F", sample.rh_pct);
            let margin_f = sample.above_dew_point_k.unwrap() * 1.8;
            assert!((margin_f - (surface_f - 64.8755)).abs() < 0.002, "{margin_f}");
        }
    }

    #[test]
    fn room_air_is_no_surface() {
        let mut job = job();
        job.loggers = vec![in_a("R", Place::Affected)];
        let air = analyse(&job, vec![steady("R", START, 600, 37, (22.0, 90.0))], CLOCK);
        assert!(surfaces(&air.tracks).is_empty());
    }
}
