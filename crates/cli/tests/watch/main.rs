//! `watch`, as a program: drops in every way, folders that come, go and close, Ctrl-C, other runs, clocks; and the cache,
//! which changes no byte.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::disallowed_types, reason = "a test stops where it fails")]

mod cache;
mod clocks;
mod drops;
mod folders;
mod other_runs;
mod stops;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use grainfall_tests::soak::{self, Plan};
use grainfall_tests::watch::Watch;
use serde_json::Value;

fn log(serial: &str, day: u32) -> String {
    let rows = (0..144)
        .map(|row| format!("2025-03-{day:02} {:02}:{:02},{}.5,5{}\n", row / 6, row % 6 * 10, 18 + row % 5, row % 7));
    format!("Serial: {serial}\nTime (UTC),Air temp (C),RH (%)\n{}", rows.collect::<String>())
}

fn start(arguments: &[&str], folder: &Path) -> Watch {
    let program = Path::new(env!("CARGO_BIN_EXE_grainfall"));
    Watch::start(program, &[&["--settle", "0.5", "--no-cache"], arguments].concat(), folder)
}

/// A watch over a new job of one export, with its first report there.
fn watched_job() -> (tempfile::TempDir, Watch) {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log("S1", 2)).unwrap();
    let mut watch = start(&[], job.path());
    watch.next("watching", "");
    watch.next("report", "");
    (job, watch)
}

/// Ends a watch by a signal; it must end as it was told to.
#[track_caller]
fn stop(mut watch: Watch, signal: &str) {
    watch.signal(signal);
    assert_eq!(watch.ended(), Some(0));
    watch.next("stopped", "");
}

/// Whether every output has the hash that the manifest gives it, and nothing half made lies beside the report.
#[track_caller]
fn is_whole(job: &Path) {
    let report = job.join("report");
    let manifest: Value = serde_json::from_slice(&fs::read(report.join("manifest.json")).unwrap()).unwrap();
    assert_eq!(manifest["behind"], Value::Null);
    let outputs = manifest["outputs"].as_object().unwrap();
    for (path, hash) in outputs {
        let bytes = fs::read(report.join(path)).unwrap();
        assert_eq!(hash.as_str().unwrap(), grainfall_report::manifest::sha256(&bytes), "{path}");
    }
    let names = fs::read_dir(job).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    assert_eq!(names.filter(|name| name.starts_with(".report-")).count(), 0);
}

fn report(job: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_grainfall")).args(["report", "--no-cache"]).arg(job).output().unwrap()
}

/// The short form of `cargo run --release -p grainfall-tests --bin soak`.
#[test]
fn soak() {
    let root = tempfile::tempdir().unwrap();
    let plan = Plan {
        program: env!("CARGO_BIN_EXE_grainfall").into(),
        drops: 40,
        jobs: 4,
        steady_reports: 0,
        watch_args: Vec::new(),
        longest_s: 120,
    };
    let figures = soak::run(&plan, root.path());
    println!("{figures}");
    assert_eq!((figures.good, figures.copies, figures.bad), (28, 4, 8));
    assert!(figures.holds(), "{figures}");
}
