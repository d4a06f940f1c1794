//! One row per logger and sample: tabs, ISO time in UTC, degF.

use crate::instruments::{Cell, LoggerRecord, Sample};
use crate::scenario::Logger;

pub(super) fn text(loggers: &[(&Logger, &LoggerRecord)]) -> String {
    let mut text = String::from("time\tlogger\tair_temp_degF\trh_pct\n");
    let mut rows: Vec<(&str, &Sample)> = loggers
        .iter()
        .flat_map(|(logger, record)| record.samples.iter().map(|sample| (logger.serial.as_str(), sample)))
        .collect();
    rows.sort_by_key(|(_, sample)| sample.stamp);
    for (serial, sample) in rows {
        let stamp = sample.stamp.format("%Y-%m-%dT%H:%M:%SZ");
        let row = format!("{stamp}\t{serial}\t{}\t{}\n", cell(&sample.temp), cell(&sample.rh));
        for _ in 0..sample.rows {
            text += &row;
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
