//! Surfaces at or below the dew point of the air, and hours within 3 degC above it.

use chrono::{DateTime, Utc};
use grainfall_psychrometrics::{Celsius, Saturation, saturation_vapour_pressure};
use grainfall_words::say;

use super::{Draft, Record};
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::mould::surface::{SurfaceAir, SurfaceSample};
use crate::thresholds::{NEAR_DEW_POINT_K, SURFACE_LEAST_HOURS};
use crate::words::{moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = record.surfaces.iter().flat_map(|surface| logged(record, surface)).collect();
    drafts.extend(by_hand(record));
    drafts
}

fn logged(record: &Record<'_>, surface: &SurfaceAir) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let track = &record.tracks[surface.track];
    let subject = Subject::Logger(record.loggers[track.logger].logger.clone());
    let draft = |kind, samples: &[&SurfaceSample], threshold: String, how: &str| -> Option<Draft> {
        let (first, last) = (samples.first()?, samples.last()?);
        let hours: f64 = samples.iter().map(|sample| sample.hours).sum();
        let least = samples.iter().filter_map(|sample| sample.above_dew_point_k).reduce(f64::min)?;
        let (from, to): (DateTime<Utc>, DateTime<Utc>) = (track.time[first.index], track.time[last.index]);
        Some(Draft {
            kind,
            subject: subject.clone(),
            from,
            to: Some(to),
            text: say!(
                words,
                "surface_dew_point.text_logged",
                label = track.label,
                hours = number(words, hours, 1),
                how = how,
                from = moment(from, zone),
                to = moment(to, zone),
                least = number(words, least, 1)
            ),
            threshold,
            rows: vec![track.rows[first.index].clone(), track.rows[last.index].clone()],
        })
    };
    let with = |test: &dyn Fn(f64) -> bool| -> Vec<&SurfaceSample> {
        surface.samples.iter().filter(|sample| sample.above_dew_point_k.is_some_and(test)).collect()
    };
    let wet = with(&|k| k <= 0.0);
    let near = with(&|k| k > 0.0 && k < NEAR_DEW_POINT_K);
    let near_hours: f64 = near.iter().map(|sample| sample.hours).sum();
    let near = if near_hours >= SURFACE_LEAST_HOURS { near } else { Vec::new() };
    [
        draft(
            FindingKind::SurfaceAtDewPoint,
            &wet,
            say!(words, "surface_dew_point.surface_at_or_below_the").to_owned(),
            say!(words, "surface_dew_point.at_or_below_the_dew"),
        ),
        draft(
            FindingKind::SurfaceNearDewPoint,
            &near,
            say!(
                words,
                "surface_dew_point.less_than_degc_above_the",
                near_dew_point_k = number(words, NEAR_DEW_POINT_K, 0),
                surface_least_hours = number(words, SURFACE_LEAST_HOURS, 0)
            ),
            say!(words, "surface_dew_point.within_3_degc_above_the"),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Readings by hand with a measured surface temperature at which the air's vapour condenses.
fn by_hand(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for point in record.points.iter().filter(|point| !point.logged) {
        for reading in &point.readings {
            let Some(drive) = reading.drive.as_ref().filter(|drive| drive.surface_temp_measured) else { continue };
            let temp = Celsius::new(drive.surface_temp_c);
            let Ok(saturated) = saturation_vapour_pressure(temp, Saturation::LiquidWater) else { continue };
            if saturated.get() > drive.air_pa {
                continue;
            }
            let rows: Vec<SourceRow> = vec![reading.row.clone()];
            drafts.push(Draft {
                kind: FindingKind::SurfaceAtDewPoint,
                subject: Subject::Point(point.id.clone()),
                from: reading.time,
                to: None,
                text: say!(
                    words,
                    "surface_dew_point.text_by_hand",
                    point = point.id,
                    temp_f = number(words, temp.to_fahrenheit(), 1),
                    surface_temp_c = number(words, drive.surface_temp_c, 1),
                    time = moment(reading.time, zone),
                    air = drive.air
                ),
                threshold: say!(words, "surface_dew_point.threshold").to_owned(),
                rows,
            });
        }
    }
    drafts
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{f, in_a, job, series, steady};
    use crate::evidence::{Evidence, FindingKind};
    use crate::testing::{evidence, of_kind, point, reading};
    use grainfall_job::Place;
    use grainfall_psychrometrics::Celsius;
    use grainfall_record::Quantity;

    /// Room at 80 F / 60 %, dew point 64.8755 F (psychrolib 2.5.0); a probe of surface temperature for 6 h.
    fn at_surface(surface_f: f64) -> Evidence {
        let mut job = job();
        job.loggers = vec![in_a("S", Place::Surface), in_a("R", Place::Affected)];
        job.points = vec![point("P1", 12.0)];
        let mut by_hand = reading("2025-10-06T03:00:00Z", "P1", 20.0);
        by_hand.surface_temp = Some(Celsius::from_fahrenheit(surface_f));
        job.readings = vec![by_hand];
        let start = "2025-10-06T00:00:00Z";
        let mut probe = series("S", start, 600, &[Some((20.0, 50.0)); 37]);
        probe.values.clear();
        probe.values.insert(Quantity::SurfaceTemp, vec![Some(f(surface_f)); 37]);
        evidence(&job, vec![probe, steady("R", start, 600, 37, (f(80.0), 60.0))], "2025-10-06T06:00:00Z")
    }

    #[test]
    fn below_near_and_clear_of_the_dew_point() {
        for (surface_f, wet, near) in [(64.0, 2, 0), (66.0, 0, 1), (71.0, 0, 0)] {
            let evidence = at_surface(surface_f);
            let count = |kind| of_kind(&evidence, kind).len();
            assert_eq!(count(FindingKind::SurfaceAtDewPoint), wet, "{surface_f} F: probe and reading by hand");
            assert_eq!(count(FindingKind::SurfaceNearDewPoint), near, "{surface_f} F");
        }
    }
}
