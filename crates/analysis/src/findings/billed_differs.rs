//! Billed days that differ from the recorded equipment-days.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::words::number;
use grainfall_words::say;

/// Sums of billed days this close are equal but for rounding.
const ROUNDING_DAYS: f64 = 1e-9;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    record
        .units
        .iter()
        .filter_map(|unit| {
            // A bill is compared with a finished stay only: days billed to the end say nothing of a record cut before it.
            if unit.stays.iter().any(|stay| stay.removed.is_none()) {
                return None;
            }
            let billed = unit.billed.as_ref().filter(|billed| billed.difference_days.abs() > ROUNDING_DAYS)?;
            let (first, last) = (unit.stays.first()?, unit.stays.last()?);
            let side = if billed.difference_days > 0.0 {
                say!(words, "billed_differs.more")
            } else {
                say!(words, "billed_differs.fewer")
            };
            Some(Draft {
                kind: FindingKind::BilledDiffers,
                subject: Subject::Unit(unit.unit.clone()),
                from: first.placed,
                to: last.days.last().map(|day| day.to),
                text: say!(
                    words,
                    "billed_differs.text",
                    unit = unit.unit,
                    billed_days = number(words, billed.billed_days, 2),
                    recorded_days = billed.recorded_days,
                    difference_days = number(words, billed.difference_days.abs(), 2),
                    side = side
                ),
                threshold: say!(words, "billed_differs.threshold").to_owned(),
                rows: billed.rows.clone(),
            })
        })
        .collect()
}
