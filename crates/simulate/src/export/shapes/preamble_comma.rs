//! One logger per file: a short preamble, commas, 12-hour local time, degF.

use super::shown;
use crate::instruments::{Cell, LoggerRecord};
use crate::scenario::{Logger, Scenario, StampClock};

pub(super) fn text(scenario: &Scenario, loggers: &[(&Logger, &LoggerRecord)]) -> String {
    let mut text = String::new();
    for (logger, record) in loggers {
        let zone = match logger.clock {
            StampClock::Wall => "local wall clock",
            StampClock::Fixed => "local clock that is never changed",
            StampClock::Utc => "UTC",
        };
        text += &format!(
            "Serial: {}\nInterval: {} min\nUnits: F and % RH\nZone: {zone}\n\nTime,Air temp (F),RH (%)\n",
            logger.serial, logger.interval_min
        );
        for sample in &record.samples {
            let row = format!(
                "{},{},{}\n",
                shown(scenario, logger, sample.stamp).format("%m/%d/%Y %-I:%M %p"),
                cell(&sample.temp),
                cell(&sample.rh)
            );
            for _ in 0..sample.rows {
                text += &row;
            }
        }
    }
    text
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Number(value) => format!("{value:.1}"),
        Cell::Words(words) => words.clone(),
    }
}
