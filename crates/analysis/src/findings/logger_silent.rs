//! A logger that fell silent while its placement and equipment in its chamber went on.

use super::{Draft, Record};
use crate::evidence::{FindingKind, StayPart, Subject, TrackPlace};
use crate::rules::LOGGER_SILENT;
use crate::select;
use crate::words::{hours, moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
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
            (silent > LOGGER_SILENT).then(|| Draft {
                kind: FindingKind::LoggerSilent,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from: last,
                to: Some(watched_until.min(record.clock)),
                text: say!(
                    words,
                    "logger_silent.text",
                    label = track.label,
                    last = moment(last, zone),
                    hours = number(words, hours(silent), 1),
                    removed = match (placed_until, last_part.removed) {
                        (Some(_), _) => say!(words, "logger_silent.its_placement_ended"),
                        (None, true) => say!(words, "logger_silent.the_last_equipment_beside_it"),
                        (None, false) => say!(words, "logger_silent.the_record_ends_with_equipment"),
                    }
                ),
                threshold: say!(
                    words,
                    "logger_silent.threshold",
                    silent_after = number(words, hours(LOGGER_SILENT), 0)
                ),
                rows: track.rows.last().cloned().into_iter().collect(),
            })
        })
        .collect()
}
