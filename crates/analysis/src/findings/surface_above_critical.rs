//! Humidity at a logged surface above the mould-critical curve.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::thresholds::SURFACE_LEAST_HOURS;
use crate::words::number;
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    record
        .mould
        .iter()
        .filter(|exposure| exposure.hours_above_critical >= SURFACE_LEAST_HOURS)
        .map(|exposure| Draft {
            kind: FindingKind::SurfaceAboveCritical,
            subject: Subject::Logger(record.loggers[exposure.logger].logger.clone()),
            from: exposure.from,
            to: Some(exposure.to),
            text: say!(
                words,
                "surface_above_critical.text",
                label = exposure.label,
                hours_above_critical = number(words, exposure.hours_above_critical, 1),
                hours = number(words, exposure.hours, 1),
                highest_rh_pct = number(words, exposure.highest_rh_pct, 1),
                highest = number(words, exposure.classes.first().map_or(0.0, |class| class.highest), 3),
                caution = exposure.caution
            ),
            threshold: say!(
                words,
                "surface_above_critical.threshold",
                surface_least_hours = number(words, SURFACE_LEAST_HOURS, 0)
            ),
            rows: exposure.rows.clone(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, steady};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::Place;

    #[test]
    fn humid_surfaces_are_found_and_dry_ones_are_not() {
        for (rh, wanted) in [(85.0, 1), (75.0, 0)] {
            let mut job = job();
            job.loggers = vec![in_a("S", Place::Surface)];
            let series = steady("S", "2025-10-06T00:00:00Z", 600, 145, (22.0, rh));
            let evidence = evidence(&job, vec![series], "2025-10-07T00:00:00Z");
            assert_eq!(of_kind(&evidence, FindingKind::SurfaceAboveCritical).len(), wanted, "{rh} %");
        }
    }
}
