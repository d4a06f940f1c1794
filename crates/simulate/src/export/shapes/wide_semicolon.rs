//! Several channels side by side: semicolons, decimal commas, ISO local time without offset, degC.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use super::shown;
use crate::instruments::{Cell, LoggerRecord, Sample};
use crate::scenario::{Logger, Scenario};

pub(super) fn text(scenario: &Scenario, loggers: &[(&Logger, &LoggerRecord)]) -> String {
    let mut text = String::from("Time");
    for channel in 1..=loggers.len() {
        text += &format!(";T{channel} (°C);RH{channel} (%)");
    }
    text.push('\n');
    // By true instant first, so that an hour the wall clock repeats stays in the order it was recorded.
    let mut rows: BTreeMap<_, (NaiveDateTime, Vec<Option<&Sample>>)> = BTreeMap::new();
    for (channel, (logger, record)) in loggers.iter().enumerate() {
        for sample in &record.samples {
            let row = rows
                .entry(sample.stamp)
                .or_insert_with(|| (shown(scenario, logger, sample.stamp), vec![None; loggers.len()]));
            row.1[channel] = Some(sample);
        }
    }
    for (stamp, samples) in rows.values() {
        let mut row = stamp.format("%Y-%m-%dT%H:%M:%S").to_string();
        for sample in samples {
            row.push(';');
            row += &sample.map(|sample| cell(&sample.temp, 2)).unwrap_or_default();
            row.push(';');
            row += &sample.map(|sample| cell(&sample.rh, 1)).unwrap_or_default();
        }
        row.push('\n');
        let repeats = samples.iter().flatten().map(|sample| sample.rows).max().unwrap_or(1);
        for _ in 0..repeats {
            text += &row;
        }
    }
    text
}

fn cell(cell: &Cell, decimals: usize) -> String {
    match cell {
        Cell::Number(value) => format!("{value:.decimals$}").replace('.', ","),
        Cell::Words(words) => words.clone(),
    }
}
