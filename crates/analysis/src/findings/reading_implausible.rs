//! Readings that a slipped decimal point or a wrong scale would explain better than the material: outside what the scale can
//! show of it, or many times the readings before and after. They are kept and count as they stand.

use super::{Draft, Record};
use crate::equipment::load::read_words;
use crate::evidence::{FindingKind, PointEvidence, ReadingEvidence, Subject};
use crate::series::number_of;
use crate::thresholds::{GYPSUM_MOST_PCT, READING_SLIP, WOOD_EQUIVALENT_MOST_PCT, WOOD_LEAST_PCT, WOOD_MOST_PCT};
use crate::words::{moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.points.iter().flat_map(|point| of_point(record, point)).collect()
}

fn of_point(record: &Record<'_>, point: &PointEvidence) -> Vec<Draft> {
    let words = record.words();
    let readings: Vec<(&ReadingEvidence, f64)> =
        point.readings.iter().filter_map(|reading| Some((reading, number_of(reading)?))).collect();
    let mut drafts = Vec::new();
    for (index, (reading, value)) in readings.iter().enumerate() {
        let (least, most) = range(&point.scale);
        let mut rows = vec![reading.row.clone()];
        let (why, threshold) = if *value < least || *value > most {
            (
                say!(
                    words,
                    "reading_implausible.outside_the_to_that_material",
                    least = number(words, least, 0),
                    most = number(words, most, 0),
                    unit = point.unit
                ),
                say!(
                    words,
                    "reading_implausible.below_or_above",
                    least = number(words, least, 0),
                    most = number(words, most, 0),
                    unit = point.unit
                ),
            )
        } else {
            let beside = beside(&readings, index);
            let slipped = |(_, other): &&(&ReadingEvidence, f64)| {
                *value >= READING_SLIP * other || *value <= other / READING_SLIP
            };
            if point.logged || beside.len() < 2 || !beside.iter().all(slipped) {
                continue;
            }
            rows.extend(beside.iter().map(|(other, _)| other.row.clone()));
            let others: Vec<String> =
                beside.iter().map(|(other, _)| read_words(words, &other.kind, &point.unit)).collect();
            (
                say!(words, "reading_implausible.while_the_readings_beside_it", others = words.list(&others)),
                say!(
                    words,
                    "reading_implausible.times_the_readings_before_and",
                    reading_slip = number(words, READING_SLIP, 0)
                ),
            )
        };
        drafts.push(Draft {
            kind: FindingKind::ReadingImplausible,
            subject: Subject::Point(point.id.clone()),
            from: reading.time,
            to: None,
            text: say!(
                words,
                "reading_implausible.text",
                point = point.id,
                read = read_words(words, &reading.kind, &point.unit),
                time = moment(reading.time, record.zone()),
                why = why
            ),
            threshold: say!(words, "reading_implausible.threshold", threshold = threshold),
            rows,
        });
    }
    drafts
}

/// The readings before and after one on the same meter; for the first and the last of them the two nearest.
fn beside<'a>(readings: &'a [(&'a ReadingEvidence, f64)], index: usize) -> Vec<&'a (&'a ReadingEvidence, f64)> {
    let same = |other: &&(&ReadingEvidence, f64)| other.0.meter == readings[index].0.meter;
    let mut before = readings[..index].iter().rev().filter(same);
    let mut after = readings[index + 1..].iter().filter(same);
    match (before.next(), after.next()) {
        (Some(before), Some(after)) => vec![before, after],
        (Some(last), None) => std::iter::once(last).chain(before.next()).collect(),
        (None, Some(first)) => std::iter::once(first).chain(after.next()).collect(),
        (None, None) => Vec::new(),
    }
}

/// Least and greatest value of a scale that material can show.
fn range(scale: &str) -> (f64, f64) {
    match scale {
        "wood" => (WOOD_LEAST_PCT, WOOD_MOST_PCT),
        "wme" => (0.0, WOOD_EQUIVALENT_MOST_PCT),
        "gypsum" => (0.0, GYPSUM_MOST_PCT),
        _ => (0.0, f64::INFINITY),
    }
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, job};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind, point, reading};

    fn found(values: &[f64]) -> Vec<(String, usize)> {
        let mut job = job();
        job.points = vec![point("P1", 12.0)];
        let days = (6..).zip(values).map(|(day, value)| (format!("2025-10-{day:02}T09:00:00Z"), *value));
        job.readings = days.map(|(time, value)| reading(&time, "P1", value)).collect();
        let evidence = evidence(&job, vec![], "2025-10-20T00:00:00Z");
        of_kind(&evidence, FindingKind::ReadingImplausible)
            .iter()
            .map(|one| (one.from.to_string(), one.rows.len()))
            .collect()
    }

    #[test]
    fn a_slipped_decimal_point_is_found_with_its_neighbours() {
        let slip = at("2025-10-07T09:00:00Z").to_string();
        assert_eq!(found(&[19.8, 183.0, 16.9]), [(slip, 3)]);
        let last = at("2025-10-08T09:00:00Z").to_string();
        assert_eq!(found(&[22.1, 19.8, 1.83]), [(last, 3)], "the last reading, which would meet the goal");
        assert!(found(&[19.8, 1.83]).is_empty(), "of two nothing tells which");
        assert!(found(&[38.0, 9.0, 31.0]).is_empty(), "dry beside wet is what materials do");
    }

    #[test]
    fn what_wood_cannot_hold_is_found_by_itself() {
        let slip = at("2025-10-07T09:00:00Z").to_string();
        assert_eq!(found(&[120.0, 310.0, 190.0]), [(slip, 1)]);
        assert!(found(&[180.0, 120.0]).is_empty(), "soaked wood reads above 100 %");
    }
}
