//! Wood read below what it was before the loss.

use super::{Draft, Record};
use crate::evidence::{FindingKind, ReadingEvidence, ReadingKind, Subject};
use crate::thresholds::{OVER_DRIED_PCT, ROWS_NAMED};
use crate::words::{moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .points
        .iter()
        .filter(|point| !point.reference && point.scale == "wood")
        .filter_map(|point| {
            let standard = point.dry_standard.as_ref()?.value;
            let margin = |reading: &ReadingEvidence| reading.stated_accuracy().max(OVER_DRIED_PCT);
            let below: Vec<(&ReadingEvidence, f64)> = point
                .readings
                .iter()
                .filter(|reading| reading.scale == point.scale)
                .filter_map(|reading| match reading.kind {
                    ReadingKind::Measured { value } if value < standard - margin(reading) => Some((reading, value)),
                    _ => None,
                })
                .collect();
            let (first, _) = below.first()?;
            let (lowest, value) = below.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
            let (last, _) = below.last()?;
            Some(Draft {
                kind: FindingKind::OverDried,
                subject: Subject::Point(point.id.clone()),
                from: first.time,
                to: Some(last.time).filter(|to| *to > first.time),
                text: say!(
                    words,
                    "over_dried.text",
                    point = point.id,
                    value = number(words, *value, 1),
                    unit = point.unit,
                    time = moment(lowest.time, zone),
                    standard = number(words, standard, 1),
                    first = moment(first.time, zone),
                    last = if point.last_at.is_some_and(|at| at > last.time) {
                        say!(words, "over_dried.no_longer")
                    } else {
                        say!(words, "over_dried.still")
                    }
                ),
                threshold: say!(
                    words,
                    "over_dried.threshold",
                    lowest = number(words, margin(lowest), 1),
                    unit = point.unit,
                    over_dried_pct = number(words, OVER_DRIED_PCT, 1)
                ),
                rows: below.iter().map(|(reading, _)| reading.row.clone()).take(ROWS_NAMED).collect(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, job};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind, point, reading};
    use grainfall_job::DryStandard;

    #[test]
    fn below_the_dry_standard_by_more_than_the_margin() {
        let mut job = job();
        job.points = vec![point("P1", 12.0)];
        job.points[0].dry_standard = Some(DryStandard::Value(9.0));
        job.readings = vec![reading("2025-10-06T09:00:00Z", "P1", 20.0), reading("2025-10-08T09:00:00Z", "P1", 8.1)];
        let clock = "2025-10-10T00:00:00Z";
        assert!(of_kind(&evidence(&job, vec![], clock), FindingKind::OverDried).is_empty());
        job.readings.push(reading("2025-10-09T09:00:00Z", "P1", 7.4));
        let evidence = evidence(&job, vec![], clock);
        let found = of_kind(&evidence, FindingKind::OverDried);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].from, at("2025-10-09T09:00:00Z"));
    }
}
