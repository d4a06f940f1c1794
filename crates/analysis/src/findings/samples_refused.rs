//! Samples that could not be used: refused rows and humidity beyond what the sensor can mean.

use super::{Draft, Record};
use crate::air::left_out::LeftOutReason;
use crate::evidence::{FindingKind, SourceRow, Subject};
use grainfall_words::say;

/// At most this many rows are named; the ledger lists all.
const NAMED_ROWS: usize = 20;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    let rows = record.ledger.inputs.iter().filter(|input| !input.refused.is_empty()).filter_map(|input| {
        let logger = record.ledger.loggers.iter().find(|logger| logger.files.contains(&input.path))?;
        let n = input.refused.len();
        Some(Draft {
            kind: FindingKind::SamplesRefused,
            subject: Subject::Logger(logger.id.clone()),
            from: logger.first,
            to: Some(logger.last),
            text: say!(
                words,
                "samples_refused.text_rows",
                path = input.path,
                rows = say!(words, "count.row_or_cell", count = n)
            ),
            threshold: say!(words, "samples_refused.threshold").to_owned(),
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
        text: say!(
            words,
            "samples_refused.text_samples",
            logger = out.label.as_ref().unwrap_or(&out.logger),
            samples = say!(words, "count.sample_was", count = usize::try_from(out.samples).unwrap_or(usize::MAX)),
            reason = out.reason.said(words)
        ),
        threshold: say!(words, "samples_refused.threshold").to_owned(),
        rows: out.rows.clone(),
    });
    rows.chain(unusable).collect()
}
