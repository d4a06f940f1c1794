//! Mould exposure of logged surfaces: hours above the critical curve and the mould index of four classes.
//!
//! Only for loggers placed at a surface or inside a material: room air says nothing of a surface. It is a log of
//! exposure, no detector: the model is for the air at clean test specimens, not for wet, dirty or contaminated material.

pub(crate) mod surface;
pub(crate) mod vtt;

use crate::evidence::{AirTrack, MouldExposure, MouldIndex};
use crate::thresholds::MOULD_LONGEST_STEP_H;
use grainfall_words::{Words, say};
use surface::SurfaceAir;
use vtt::{CLASSES, Growth, favourable};

/// The exposure of each surface, in the order of the tracks.
pub(crate) fn exposures(words: Words, surfaces: &[SurfaceAir], tracks: &[AirTrack]) -> Vec<MouldExposure> {
    surfaces.iter().filter_map(|surface| exposure(words, surface, &tracks[surface.track])).collect()
}

fn exposure(words: Words, surface: &SurfaceAir, track: &AirTrack) -> Option<MouldExposure> {
    let (first, last) = (surface.samples.first()?, surface.samples.last()?);
    let mut growths = CLASSES.map(Growth::new);
    let mut highest = [0.0_f64; CLASSES.len()];
    let (mut hours, mut above, mut highest_rh) = (0.0, 0.0, f64::NEG_INFINITY);
    for sample in &surface.samples {
        hours += sample.hours;
        highest_rh = highest_rh.max(sample.rh_pct);
        if favourable(sample.temp_c, sample.rh_pct, CLASSES[0].lowest_rh_pct) {
            above += sample.hours;
        }
        for (growth, highest) in growths.iter_mut().zip(&mut highest) {
            growth.hold(sample.temp_c, sample.rh_pct, sample.hours, MOULD_LONGEST_STEP_H);
            *highest = highest.max(growth.index);
        }
    }
    Some(MouldExposure {
        logger: track.logger,
        label: track.label.clone(),
        chamber: track.chamber.clone(),
        from: track.time[first.index],
        to: track.time[last.index],
        basis: surface.basis,
        hours,
        hours_above_critical: above,
        highest_rh_pct: highest_rh,
        classes: CLASSES
            .iter()
            .zip(growths)
            .zip(highest)
            .map(|((class, growth), highest)| MouldIndex {
                class: class.sensitivity.said(words).to_owned(),
                highest,
                last: growth.index,
            })
            .collect(),
        caution: say!(words, "mould.caution").to_owned(),
        rows: vec![track.rows[first.index].clone(), track.rows[last.index].clone()],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{analyse, in_a, job, steady};
    use grainfall_job::Place;

    /// 14 d hourly at 22 C / 90 %: index 0.507742 of the very sensitive class after 336 h, of which each sample stands for
    /// one.
    #[test]
    fn a_logger_at_a_surface_has_an_exposure_and_one_in_the_room_has_none() {
        let mut job = job();
        job.loggers = vec![in_a("S", Place::Surface), in_a("R", Place::Affected)];
        let start = "2025-10-06T00:00:00Z";
        let air = analyse(
            &job,
            vec![steady("S", start, 3600, 336, (22.0, 90.0)), steady("R", start, 3600, 336, (22.0, 90.0))],
            "2025-10-20T00:00:00Z",
        );
        let surfaces = surface::surfaces(&air.tracks);
        let exposures = exposures(Words::default(), &surfaces, &air.tracks);
        assert_eq!(exposures.len(), 1);
        let one = &exposures[0];
        assert!((one.hours - 336.0).abs() < 1e-6, "{}", one.hours);
        assert!((one.hours_above_critical - 336.0).abs() < 1e-6);
        assert!((one.classes[0].last - 0.507_742).abs() < 1e-6, "{:?}", one.classes);
        assert!(one.caution.contains("no detector"));
    }

    #[test]
    fn dry_surfaces_have_no_hours() {
        let mut job = job();
        job.loggers = vec![in_a("S", Place::Material)];
        let air =
            analyse(&job, vec![steady("S", "2025-10-06T00:00:00Z", 600, 145, (22.0, 60.0))], "2025-10-07T00:00:00Z");
        let exposures = exposures(Words::default(), &surface::surfaces(&air.tracks), &air.tracks);
        assert!(exposures[0].hours_above_critical.abs() < 1e-12);
        assert!(exposures[0].classes.iter().all(|class| class.highest.abs() < 1e-12));
    }
}
