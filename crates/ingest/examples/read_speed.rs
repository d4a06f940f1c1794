//! How fast a large log is read, and with how much memory.
//!
//! ```text
//! read_speed generate FILE          one million rows of ten loggers, 39 MB
//! read_speed tile LOG TIMES FILE    the rows of a log repeated under its first line
//! read_speed read FILE RUNS         reads it RUNS times; prints the best time and the peak memory
//! ```
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "a tool for developers, which prints and stops")]

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use chrono::{TimeDelta, TimeZone, Utc};
use grainfall_ingest::read_file;
use grainfall_record::ReadingHints;

/// Ten loggers in turns every minute, as an export of one database table would hold them.
fn generate(path: &Path) {
    let start = Utc.with_ymd_and_hms(2025, 1, 15, 0, 0, 0).unwrap();
    let mut text = String::from("Timestamp,Logger,Temp (°F),RH (%)\n");
    for step in 0..100_000_i32 {
        let stamp = (start + TimeDelta::minutes(step.into())).format("%m/%d/%Y %I:%M:%S %p").to_string();
        for logger in 0..10_i32 {
            // A slow swing and a little noise, all in whole tenths.
            let swing = (f64::from(step) / 229.0 + f64::from(logger)).sin();
            let noise = f64::from((step * 7919 + logger * 104_729) % 17) / 10.0;
            let (temp, rh) = (70.0 + 8.0 * swing + noise, 55.0 - 20.0 * swing + noise);
            writeln!(text, "{stamp},LG-{:02},{temp:.1},{rh:.1}", logger + 1).unwrap();
        }
    }
    std::fs::write(path, &text).unwrap();
    println!("{} rows, {:.1} MB", 1_000_000, text.len() as f64 / 1e6);
}

fn tile(log: &Path, times: usize, path: &Path) {
    let text = std::fs::read_to_string(log).unwrap();
    let (header, rows) = text.split_once('\n').unwrap();
    let mut tiled = format!("{header}\n");
    for _ in 0..times {
        tiled.push_str(rows);
    }
    std::fs::write(path, &tiled).unwrap();
    println!("{:.1} MB", tiled.len() as f64 / 1e6);
}

fn read(path: &Path, runs: usize) {
    let hints = ReadingHints { time_zone: Some(chrono_tz::America::Chicago), ..ReadingHints::default() };
    let mut best = f64::INFINITY;
    for _ in 0..runs {
        let started = Instant::now();
        let reading = read_file(path, "log.csv", &hints).unwrap();
        best = best.min(started.elapsed().as_secs_f64());
        assert!(!reading.frame.is_empty(), "{:?}", reading.ledger.inputs[0].outcome);
        println!("samples {} loggers {}", reading.frame.len(), reading.ledger.loggers.len());
    }
    println!("best_s {best:.4}");
    // Linux tells the peak of a process; elsewhere it is left out.
    if let Ok(status) = std::fs::read_to_string("/proc/self/status")
        && let Some(peak) = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))
    {
        println!("peak_kb {}", peak.trim().trim_end_matches(" kB"));
    }
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    match args[..] {
        ["generate", file] => generate(Path::new(file)),
        ["tile", log, times, file] => tile(Path::new(log), times.parse().unwrap(), Path::new(file)),
        ["read", file, runs] => read(Path::new(file), runs.parse().unwrap()),
        _ => println!("read_speed generate FILE | tile LOG TIMES FILE | read FILE RUNS"),
    }
}
