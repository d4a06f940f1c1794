//! Samples that could not be used: refused rows and humidity beyond what the sensor can mean.

use super::{Draft, Record};
use crate::air::left_out::LeftOutReason;
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::words::count;

/// At most this many rows are named; the ledger lists all.
const NAMED_ROWS: usize = 20;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let rows = record.ledger.inputs.iter().filter(|input| !input.refused.is_empty()).filter_map(|input| {
        let logger = record.ledger.loggers.iter().find(|logger| logger.files.contains(&input.path))?;
        let n = input.refused.len();
        Some(Draft {
            kind: FindingKind::SamplesRefused,
            subject: Subject::Logger(logger.id.clone()),
            from: logger.first,
            to: Some(logger.last),
            text: format!(
                "{} has {} that could not be used; each is listed with its reason under inputs.",
                input.path,
                count(n, "row or cell", "rows or cells")
            ),
            threshold: "any".to_owned(),
            rows: input
                .refused
                .iter()
                .take(NAMED_ROWS)
                .map(|refusal| SourceRow { file: input.path.clone(), row: refusal.row })
                .collect(),
        })
    });
    let unusable = record.left_out.iter().filter(|out| out.reason != LeftOutReason::AfterClock).map(|out| Draft {
        kind: FindingKind::SamplesRefused,
        subject: Subject::Logger(out.logger.clone()),
        from: out.first,
        to: Some(out.last),
        text: format!(
            "{}: {} not used: {}.",
            out.label.as_ref().unwrap_or(&out.logger),
            count(usize::try_from(out.samples).unwrap_or(usize::MAX), "sample was", "samples were"),
            out.reason.text()
        ),
        threshold: "any".to_owned(),
        rows: out.rows.clone(),
    });
    rows.chain(unusable).collect()
}
