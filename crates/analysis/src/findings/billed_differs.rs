//! Billed days that differ from the recorded equipment-days.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::words::number;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record
        .units
        .iter()
        .filter_map(|unit| {
            // A bill is compared with a finished stay only: days billed to the end say nothing of a record cut before it.
            if unit.stays.iter().any(|stay| stay.removed.is_none()) {
                return None;
            }
            let billed = unit.billed.as_ref().filter(|billed| billed.difference_days.abs() > 1e-9)?;
            let (first, last) = (unit.stays.first()?, unit.stays.last()?);
            let side = if billed.difference_days > 0.0 { "more" } else { "fewer" };
            Some(Draft {
                kind: FindingKind::BilledDiffers,
                subject: Subject::Unit(unit.unit.clone()),
                from: first.placed,
                to: last.days.last().map(|day| day.to),
                text: format!(
                    "{} is billed for {} days and recorded for {}: {} {side}.",
                    unit.unit,
                    number(billed.billed_days, 2),
                    billed.recorded_days,
                    number(billed.difference_days.abs(), 2)
                ),
                threshold: "any difference".to_owned(),
                rows: billed.rows.clone(),
            })
        })
        .collect()
}
