//! A stretch without samples inside a placement.

use chrono::TimeDelta;

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::thresholds::LEAST_GAP;
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let tz = record.tz();
    let mut drafts = Vec::new();
    for track in record.tracks {
        let Some(interval) = track.interval_s.map(|s| TimeDelta::seconds(i64::from(s))) else { continue };
        let logger = &record.loggers[track.logger];
        for (index, pair) in track.time.windows(2).enumerate() {
            let step = pair[1] - pair[0];
            if step > interval * 3 / 2 && step >= LEAST_GAP {
                drafts.push(Draft {
                    kind: FindingKind::LoggerGap,
                    subject: Subject::Logger(logger.logger.clone()),
                    from: pair[0],
                    to: Some(pair[1]),
                    text: format!(
                        "{} has no sample between {} and {} ({} h).",
                        track.label,
                        moment(pair[0], tz),
                        moment(pair[1], tz),
                        number(hours(step), 1)
                    ),
                    threshold: format!(
                        "a step above 1.5 times the usual {} min and of at least {} h (project convention)",
                        number(hours(interval) * 60.0, 1),
                        number(hours(LEAST_GAP), 0)
                    ),
                    rows: vec![track.rows[index].clone(), track.rows[index + 1].clone()],
                });
            }
        }
    }
    drafts
}
