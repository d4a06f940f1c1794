//! Samples that could not be used: refused rows and humidity beyond what the sensor can mean.

use grainfall_record::{InputFile, LoggerRead, Refusal};
use grainfall_words::say;

use super::{Draft, Record};
use crate::air::left_out::{LeftOut, LeftOutReason};
use crate::evidence::{FindingKind, SourceRow, Subject};
use crate::thresholds::ROWS_NAMED;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let words = record.words();
    let rows = record.ledger.inputs.iter().filter_map(|input| of_input(record, input));
    let unusable = record.left_out.iter().filter(told_here).map(|out| Draft {
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

/// What was refused of a file up to the report's clock; `None` for a file that no logger was read from.
fn of_input(record: &Record<'_>, input: &InputFile) -> Option<Draft> {
    let words = record.words();
    let loggers: Vec<&LoggerRead> =
        record.ledger.loggers.iter().filter(|logger| logger.files.contains(&input.path)).collect();
    let known = input.refused.iter().filter(|refusal| refusal.from.is_none_or(|from| from <= record.clock));
    let refused: Vec<&Refusal> = known.collect();
    let (first, last) =
        (loggers.iter().map(|logger| logger.first).min()?, loggers.iter().map(|logger| logger.last).max()?);
    // Where no row of the file has a time the samples of its loggers have one.
    let from = refused.iter().filter_map(|refusal| refusal.from).min().unwrap_or(first);
    let to = refused.iter().filter_map(|refusal| refusal.to).max().unwrap_or(last).min(record.clock);
    (!refused.is_empty()).then(|| Draft {
        kind: FindingKind::SamplesRefused,
        // Of several loggers in one file the row does not tell.
        subject: match loggers[..] {
            [logger] => Subject::Logger(logger.id.clone()),
            _ => Subject::Job,
        },
        from,
        to: Some(to).filter(|to| *to > from),
        text: say!(
            words,
            "samples_refused.text_rows",
            path = input.path,
            rows = say!(words, "count.row_or_cell", count = refused.len())
        ),
        threshold: say!(words, "samples_refused.threshold").to_owned(),
        rows: refused
            .iter()
            .take(ROWS_NAMED)
            .map(|refusal| SourceRow { file: input.path.clone(), row: refusal.row })
            .collect(),
    })
}

/// What lies after the clock is no fact of the record yet; a clock that was not set is a finding of its own.
fn told_here(out: &&LeftOut) -> bool {
    !matches!(out.reason, LeftOutReason::AfterClock | LeftOutReason::ClockNotSet)
}
