//! Rows of two downloads of one logger that give one instant different values: one is used, both are named.

use super::{Draft, Record};
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::words::{count, moment, number};

/// At most this many contradictions are named; the ledger lists all.
const NAMED: usize = 10;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
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
                text: format!(
                    "Logger {} has {} of one instant that contradict each other, the first on {}: {} of {} {} ({}) is used, \
                     {} ({}) is not.",
                    logger.id,
                    count(logger.conflicts.len(), "pair of values", "pairs of values"),
                    moment(first.time, zone),
                    first.quantity.label(),
                    number(kept.1, 2),
                    first.quantity.unit(),
                    kept.0,
                    number(dropped.1, 2),
                    dropped.0
                ),
                threshold: "any difference between rows of one logger and instant; the first in the order of files is used"
                    .to_owned(),
                rows: logger
                    .conflicts
                    .iter()
                    .take(NAMED)
                    .flat_map(|one| [SourceRow::from(&one.kept.0), SourceRow::from(&one.dropped.0)])
                    .collect(),
            })
        })
        .collect()
}
