//! Billed days other than recorded ones: of each stay that carries billed days, or of the whole unit where they are written
//! apart.

use chrono::{DateTime, Utc};

use super::{Draft, Record};
use crate::evidence::{BilledComparison, FindingKind, StayEvidence, Subject, UnitEvidence};
use crate::words::{moment, number};
use grainfall_words::{Words, say};

/// Sums of billed days this close are equal but for rounding.
const ROUNDING_DAYS: f64 = 1e-9;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.units.iter().flat_map(|unit| of_unit(record, unit)).collect()
}

fn of_unit(record: &Record<'_>, unit: &UnitEvidence) -> Vec<Draft> {
    let (words, zone) = (record.words(), record.zone());
    // A bill is compared with a finished stay only: days billed to the end say nothing of a record cut before it.
    let ended = |stay: &&StayEvidence| stay.removed.is_some();
    let of_stays: Vec<(&StayEvidence, &BilledComparison)> =
        unit.stays.iter().filter(ended).filter_map(|stay| Some((stay, stay.billed.as_ref()?))).collect();
    if !of_stays.is_empty() {
        let several = unit.stays.len() > 1;
        let of_stay = |(stay, billed): (&StayEvidence, &BilledComparison)| {
            let name = match several {
                true => say!(words, "billed_differs.unit_placed", unit = unit.unit, placed = moment(stay.placed, zone)),
                false => unit.unit.clone(),
            };
            draft(words, unit, &name, billed, stay.placed, stay)
        };
        return of_stays.into_iter().filter_map(of_stay).collect();
    }
    let apart = unit.billed.as_ref().filter(|_| unit.stays.iter().all(|stay| ended(&stay) && stay.billed.is_none()));
    let found = || draft(words, unit, &unit.unit, apart?, unit.stays.first()?.placed, unit.stays.last()?);
    found().into_iter().collect()
}

fn draft(
    words: Words,
    unit: &UnitEvidence,
    name: &str,
    billed: &BilledComparison,
    from: DateTime<Utc>,
    last: &StayEvidence,
) -> Option<Draft> {
    if billed.difference_days.abs() <= ROUNDING_DAYS {
        return None;
    }
    let side = if billed.difference_days > 0.0 {
        say!(words, "billed_differs.more")
    } else {
        say!(words, "billed_differs.fewer")
    };
    Some(Draft {
        kind: FindingKind::BilledDiffers,
        subject: Subject::Unit(unit.unit.clone()),
        from,
        to: last.days.last().map(|day| day.to),
        text: say!(
            words,
            "billed_differs.text",
            unit = name,
            billed_days = number(words, billed.billed_days, 2),
            recorded_days = billed.recorded_days,
            difference_days = number(words, billed.difference_days.abs(), 2),
            side = side
        ),
        threshold: say!(words, "billed_differs.threshold").to_owned(),
        rows: billed.rows.clone(),
    })
}
