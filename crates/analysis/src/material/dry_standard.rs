//! What unaffected material reads: the dry standard.
//!
//! From reference points it is the median of their readings on one meter and scale, fixed at the first visit that read
//! them; outdoor air or other material never stands in.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_job::{DryStandard, Point, Scale};

use super::correction::Correction;
use super::readings::{PointReading, first_meter};
use crate::evidence::{DryStandardBasis, DryStandardEvidence, SourceRow};
use crate::rules::VISIT_SPAN;

/// The dry standard of a point as the record gives it; `None` when none is named or its references were never read.
pub(crate) fn of_point(
    point: &Point,
    scale: Scale,
    readings: &BTreeMap<&str, Vec<PointReading>>,
) -> Option<DryStandardEvidence> {
    match point.dry_standard.as_ref()? {
        DryStandard::Value(value) => Some(DryStandardEvidence {
            value: *value,
            basis: DryStandardBasis::Stated { row: SourceRow::from(&point.line) },
        }),
        DryStandard::ReferencePoints(points) => {
            let own = readings.get(point.id.as_str()).map_or(&[][..], Vec::as_slice);
            from_references(points, scale, own, readings)
        }
    }
}

fn from_references(
    points: &[String],
    scale: Scale,
    own: &[PointReading],
    readings: &BTreeMap<&str, Vec<PointReading>>,
) -> Option<DryStandardEvidence> {
    let mut usable: Vec<(DateTime<Utc>, &str, &PointReading, f64)> = points
        .iter()
        .filter_map(|id| readings.get_key_value(id.as_str()))
        .flat_map(|(id, list)| list.iter().map(move |reading| (*id, reading)))
        .filter(|(_, reading)| reading.scale == scale && reading.correction != Correction::Impossible)
        .filter_map(|(id, reading)| Some((reading.time, id, reading, reading.measured()?)))
        .collect();
    // The first meter that read the point, where the references were read with it too.
    if let Some(meter) = first_meter(own, scale) {
        if usable.iter().any(|(_, _, reading, _)| reading.meter == *meter) {
            usable.retain(|(_, _, reading, _)| reading.meter == *meter);
        } else if scale == Scale::Relative {
            // Levels of two meters do not compare.
            return None;
        }
    }
    usable.sort_by(|a, b| (a.0, a.1, &a.2.row).cmp(&(b.0, b.1, &b.2.row)));
    let (first, _, reading, _) = *usable.first()?;
    let meter = reading.meter.clone();
    // The highest reading of each reference point at that visit, as at any other point.
    let mut highest: BTreeMap<&str, (f64, &PointReading)> = BTreeMap::new();
    for (time, id, reading, value) in usable {
        if time - first >= VISIT_SPAN || reading.meter != meter {
            continue;
        }
        let entry = highest.entry(id).or_insert((value, reading));
        if value > entry.0 {
            *entry = (value, reading);
        }
    }
    let mut values: Vec<f64> = highest.values().map(|(value, _)| *value).collect();
    values.sort_by(f64::total_cmp);
    Some(DryStandardEvidence {
        value: median(&values)?,
        basis: DryStandardBasis::ReferencePoints {
            points: highest.keys().map(|id| (*id).to_owned()).collect(),
            meter,
            at: first,
            min: *values.first()?,
            max: *values.last()?,
            rows: highest.values().map(|(_, reading)| SourceRow::from(&reading.row)).collect(),
        },
    })
}

/// Median of sorted values; `None` when there are none.
pub(crate) fn median(sorted: &[f64]) -> Option<f64> {
    let middle = sorted.len() / 2;
    match sorted.len() {
        0 => None,
        n if n % 2 == 1 => Some(sorted[middle]),
        _ => Some(f64::midpoint(sorted[middle - 1], sorted[middle])),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn median_of_even_and_odd_counts() {
        assert_eq!(median(&[]), None);
        assert!((median(&[3.0]).unwrap() - 3.0).abs() < 1e-12);
        assert!((median(&[1.0, 2.0, 10.0]).unwrap() - 2.0).abs() < 1e-12);
        assert!((median(&[1.0, 2.0, 4.0, 10.0]).unwrap() - 3.0).abs() < 1e-12);
    }
}
