//! Rows of two downloads of one logger that give one instant different values: one is used, both are named.

use super::{Draft, Record};
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::thresholds::CONFLICTS_NAMED;
use crate::words::{moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .ledger
        .loggers
        .iter()
        .filter_map(|logger| {
            let first = logger.conflicts.first()?;
            let last = logger.conflicts.last()?;
            let (kept, dropped) = (&first.kept, &first.dropped);
            Some(Draft {
                kind: FindingKind::RowsContradict,
                subject: Subject::Logger(logger.id.clone()),
                from: first.time,
                to: (logger.conflicts.len() > 1).then_some(last.time),
                text: say!(
                    words,
                    "rows_contradict.text",
                    logger = logger.id,
                    conflicts = say!(words, "count.pair_of_values", count = logger.conflicts.len()),
                    first = moment(first.time, zone),
                    quantity = crate::words::quantity(words, first.quantity),
                    kept = number(words, kept.1, 2),
                    unit = first.quantity.unit(),
                    kept_at = kept.0.to_string(),
                    dropped = number(words, dropped.1, 2),
                    dropped_at = dropped.0.to_string()
                ),
                threshold: say!(words, "rows_contradict.any_difference_between_rows_of").to_owned(),
                rows: logger
                    .conflicts
                    .iter()
                    .take(CONFLICTS_NAMED)
                    .flat_map(|one| [SourceRow::from(&one.kept.0), SourceRow::from(&one.dropped.0)])
                    .collect(),
            })
        })
        .collect()
}
