//! A logger that fell silent while its placement and equipment in its chamber went on.

use chrono::TimeDelta;

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject, TrackPlace};
use crate::words::{hours, moment, number};

/// A logger is silent when its last sample is this much older than the end of what it watches. Project convention.
const SILENT_AFTER: TimeDelta = TimeDelta::hours(12);

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let tz = record.tz();
    record
        .tracks
        .iter()
        .filter(|track| track.place != TrackPlace::Unplaced)
        .filter_map(|track| {
            let last = *track.time.last()?;
            let watched_until = record
                .units
                .iter()
                .flat_map(|unit| unit.stays.iter().map(move |stay| (unit, stay)))
                .filter(|(unit, stay)| match (&track.unit, &track.chamber) {
                    (Some(own), _) => unit.unit == *own,
                    (None, Some(chamber)) => stay.chambers.contains(chamber),
                    (None, None) => true,
                })
                .filter_map(|(_, stay)| stay.days.last().map(|day| day.to))
                .max()?;
            let silent = watched_until.min(record.clock) - last;
            (silent > SILENT_AFTER).then(|| Draft {
                kind: FindingKind::LoggerSilent,
                subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
                from: last,
                to: Some(watched_until.min(record.clock)),
                text: format!(
                    "{} fell silent on {}, {} h before the equipment it watches left.",
                    track.label,
                    moment(last, tz),
                    number(hours(silent), 1)
                ),
                threshold: format!("silent for more than {} h (project convention)", number(hours(SILENT_AFTER), 0)),
                rows: track.rows.last().cloned().into_iter().collect(),
            })
        })
        .collect()
}
