//! Logger exports: one file per layout. All are invented here; none is modelled on a maker's.

mod long_tab;
mod preamble_comma;
mod wide_semicolon;

use chrono::{DateTime, NaiveDateTime, Offset, TimeZone, Utc};

use crate::instruments::{LoggerRecord, Record};
use crate::scenario::{Export, Logger, Scenario, Shape, StampClock};

/// The text of an export.
pub(super) fn text(scenario: &Scenario, record: &Record, export: &Export) -> String {
    let loggers: Vec<(&Logger, &LoggerRecord)> = export
        .loggers
        .iter()
        .filter_map(|serial| {
            let logger = scenario.loggers.iter().find(|logger| logger.serial == *serial)?;
            Some((logger, record.logger(serial)?))
        })
        .collect();
    match export.shape {
        Shape::PreambleComma => preamble_comma::text(scenario, &loggers),
        Shape::WideSemicolon => wide_semicolon::text(scenario, &loggers),
        Shape::LongTab => long_tab::text(&loggers),
    }
}

/// How `job.toml` names the channel of a logger in an export; `None` where its serial number does.
pub(super) fn channel(export: &Export, serial: &str) -> Option<String> {
    match export.shape {
        Shape::PreambleComma => None,
        Shape::WideSemicolon => {
            let position = export.loggers.iter().position(|known| known == serial)?;
            Some((position + 1).to_string())
        }
        Shape::LongTab => Some(serial.to_owned()),
    }
}

/// Whether stamps of the layout carry their own offset.
pub(super) fn has_offset(shape: Shape) -> bool {
    shape == Shape::LongTab
}

/// What a logger's clock shows at an instant of its own.
fn shown(scenario: &Scenario, logger: &Logger, stamp: DateTime<Utc>) -> NaiveDateTime {
    let zone = scenario.job.zone;
    match logger.clock {
        StampClock::Wall => stamp.with_timezone(&zone).naive_local(),
        StampClock::Fixed => {
            let offset = zone.offset_from_utc_datetime(&logger.from.naive_utc()).fix();
            stamp.with_timezone(&offset).naive_local()
        }
        StampClock::Utc => stamp.naive_utc(),
    }
}
