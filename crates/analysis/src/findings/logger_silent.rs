//! A logger that fell silent while its placement and equipment in its chamber went on.

use super::{Draft, Record};
use crate::evidence::{FindingKind, StayPart, Subject, TrackPlace};
use crate::select;
use crate::thresholds::SILENT_AFTER;
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    record
        .tracks
        .iter()
        .filter(|track| track.place != TrackPlace::Unplaced)
        .filter_map(|track| {
            let last = *track.time.last()?;
            let watched: Vec<&StayPart> = record
                .units
                .iter()
                .flat_map(|unit| unit.stays.iter().map(move |stay| (unit, stay)))
                .flat_map(|(unit, stay)| stay.parts.iter().map(move |part| (unit, part)))
                .filter(|(unit, part)| match (&track.unit, &track.chamber) {
                    (Some(own), _) => unit.unit == *own,
                    (None, Some(chamber)) => part.chambers.contains(chamber),
                    (None, None) => true,
                })
                .map(|(_, part)| part)
                .collect();
            let last_part = watched.iter().max_by_key(|part| part.to)?;
            // A logger taken away on purpose is not silent: its placement ended.
            let logger = &record.loggers[track.logger].logger;
            let placed_until = record
                .job
                .loggers
                .iter()
                .filter(|one| select::matches(record.ledger, &one.select, logger))
                .filter(|one| one.span.contains(last))
                .filter_map(|one| one.span.to)
                .min();
            let watched_until = placed_until.map_or(last_part.to, |to| to.min(last_part.to));
            let silent = watched_until.min(record.clock) - last;
            (silent > SILENT_AFTER).then(|| Draft {
                kind: FindingKind::LoggerSilent,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from: last,
                to: Some(watched_until.min(record.clock)),
                text: format!(
                    "{} fell silent on {}, {} h before {}.",
                    track.label,
                    moment(last, zone),
                    number(hours(silent), 1),
                    match (placed_until, last_part.removed) {
                        (Some(_), _) => "its placement ended",
                        (None, true) => "the last equipment beside it left",
                        (None, false) => "the record ends, with equipment still beside it",
                    }
                ),
                threshold: format!("silent for more than {} h (project convention)", number(hours(SILENT_AFTER), 0)),
                rows: track.rows.last().cloned().into_iter().collect(),
            })
        })
        .collect()
}
