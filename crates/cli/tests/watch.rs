//! `watch`, as a program: drops in every way, polling, faults, Ctrl-C; and the cache, which changes no byte.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::disallowed_types, reason = "a test stops where it fails")]

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use grainfall_tests::soak::{self, Plan};
use grainfall_tests::tree::files;
use serde_json::Value;

/// How long an event may take on a busy machine.
const LONGEST: Duration = Duration::from_secs(60);

fn log(serial: &str, day: u32) -> String {
    let rows = (0..144)
        .map(|row| format!("2025-03-{day:02} {:02}:{:02},{}.5,5{}\n", row / 6, row % 6 * 10, 18 + row % 5, row % 7));
    format!("Serial: {serial}\nTime (UTC),Air temp (C),RH (%)\n{}", rows.collect::<String>())
}

/// A running watch.
struct Watch {
    child: Child,
    events: Receiver<Value>,
}

impl Watch {
    fn start(arguments: &[&str], folder: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_grainfall"))
            .args(["watch", "--json", "--settle", "0.5", "--no-cache"])
            .args(arguments)
            .arg(folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let (told, events) = channel();
        std::thread::spawn(move || {
            for line in lines.map_while(Result::ok) {
                let _ = told.send(serde_json::from_str(&line).unwrap());
            }
        });
        Self { child, events }
    }

    /// The next event, which must be of this kind and about a folder of this name.
    fn next(&self, kind: &str, name: &str) -> Value {
        let event = self.events.recv_timeout(LONGEST).unwrap_or_else(|_| panic!("no event; due was {kind} of {name}"));
        assert_eq!(event["event"], kind, "{event}");
        assert!(event["folder"].as_str().unwrap().ends_with(name), "{event}");
        event
    }

    fn is_silent_for(&self, time: Duration) {
        if let Ok(event) = self.events.recv_timeout(time) {
            panic!("nothing had changed: {event}");
        }
    }

    fn stop(mut self, signal: &str) {
        assert!(Command::new("kill").args([signal, &self.child.id().to_string()]).status().unwrap().success());
        assert_eq!(self.child.wait().unwrap().code(), Some(0));
        assert_eq!(self.events.recv_timeout(LONGEST).unwrap()["event"], "stopped");
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
    }
}

fn drops_lead_to_reports(arguments: &[&str]) {
    let root = tempfile::tempdir().unwrap();
    let at = |path: &str| root.path().join(path);
    for job in ["larch", "elm"] {
        fs::create_dir(at(job)).unwrap();
        fs::write(at(job).join("job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
        fs::write(at(job).join("a.csv"), log("S1", 2)).unwrap();
    }
    let watch = Watch::start(arguments, root.path());
    watch.next("watching", "elm");
    watch.next("watching", "larch");
    watch.next("report", "elm");
    watch.next("report", "larch");

    // Dropped in a burst, one of them renamed into place: one report.
    fs::write(at("larch/b.csv"), log("S1", 3)).unwrap();
    fs::write(at(".c.part"), log("S2", 3)).unwrap();
    fs::rename(at(".c.part"), at("larch/c.csv")).unwrap();
    let event = watch.next("report", "larch");
    assert_eq!(event["added"], serde_json::json!(["b.csv", "c.csv"]));
    assert!(event["new_findings"].as_array().unwrap().iter().any(|text| text.as_str().unwrap().contains("S2")));

    // Own outputs, a touch and dot-files are no changes.
    fs::write(at("larch/.hidden.csv"), log("S3", 3)).unwrap();
    fs::File::options()
        .write(true)
        .open(at("larch/b.csv"))
        .unwrap()
        .set_modified(std::time::SystemTime::now())
        .unwrap();
    watch.is_silent_for(Duration::from_secs(3));

    // A bad file is told and stops nothing; a fault in job.toml leaves the old report.
    fs::write(at("elm/bad.csv"), "Time,Temp (C),RH (%)\n").unwrap();
    let event = watch.next("report", "elm");
    assert!(event["not_read"][0].as_str().unwrap().starts_with("bad.csv: "), "{event}");
    let before = fs::read(at("elm/report/report.pdf")).unwrap();
    fs::write(at("elm/job.toml"), "[job]\ntime_zon = \"UTC\"\n").unwrap();
    let event = watch.next("no_report", "elm");
    assert!(event["reason"].as_str().unwrap().contains("time_zone"), "{event}");
    assert_eq!(fs::read(at("elm/report/report.pdf")).unwrap(), before);
    fs::write(at("larch/d.csv"), log("S1", 4)).unwrap();
    assert_eq!(watch.next("report", "larch")["added"], serde_json::json!(["d.csv"]));

    // Removed again, and a job that is new.
    fs::remove_file(at("larch/d.csv")).unwrap();
    assert_eq!(watch.next("report", "larch")["removed"], serde_json::json!(["d.csv"]));
    fs::create_dir(at("oak")).unwrap();
    fs::write(at("oak/a.csv"), log("S1", 2)).unwrap();
    fs::write(at("oak/job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
    watch.next("watching", "oak");
    watch.next("report", "oak");
    fs::remove_dir_all(at("oak")).unwrap();
    watch.next("gone", "oak");
    watch.stop("-INT");
}

#[test]
fn drops_lead_to_reports_by_events() {
    drops_lead_to_reports(&[]);
}

#[test]
fn drops_lead_to_reports_by_looking() {
    drops_lead_to_reports(&["--poll", "0.3"]);
}

#[test]
fn a_file_that_grows_is_waited_for() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log("S1", 2)).unwrap();
    let watch = Watch::start(&[], job.path());
    watch.next("watching", "");
    watch.next("report", "");
    let text = log("S1", 3);
    let mut file = fs::File::create(job.path().join("slow.csv")).unwrap();
    for piece in text.as_bytes().chunks(text.len() / 12 + 1) {
        std::io::Write::write_all(&mut file, piece).unwrap();
        std::thread::sleep(Duration::from_millis(200));
    }
    watch.next("report", "");
    let manifest: Value = serde_json::from_slice(&fs::read(job.path().join("report/manifest.json")).unwrap()).unwrap();
    let slow = manifest["inputs"].as_array().unwrap().iter().find(|input| input["path"] == "slow.csv").unwrap();
    assert_eq!(slow["outcome"]["rows"], 144, "one report, of the whole file");
    watch.stop("-TERM");
}

#[test]
fn a_report_that_is_current_is_left_alone() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log("S1", 2)).unwrap();
    let watch = Watch::start(&[], job.path());
    watch.next("watching", "");
    watch.next("report", "");
    watch.stop("-INT");
    let watch = Watch::start(&[], job.path());
    watch.next("watching", "");
    watch.is_silent_for(Duration::from_secs(3));
    watch.stop("-INT");
}

#[test]
fn the_cache_changes_no_byte_whatever_state_it_is_in() {
    let (root, cache) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let job = root.path().join("larch");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data/larch-street");
    for (path, text) in files(&sample).unwrap().into_iter().filter(|(path, _)| !path.starts_with("report")) {
        fs::create_dir_all(job.join(&path).parent().unwrap()).unwrap();
        fs::write(job.join(path), text).unwrap();
    }
    let cache_dir = cache.path().join("kept");
    let report = |arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_grainfall"));
        let output = command.arg("report").args(arguments).arg(&job).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        files(&job.join("report")).unwrap()
    };
    let kept = ["--cache", cache_dir.to_str().unwrap()];
    let without = report(&["--no-cache"]);
    let same = |state: &str| {
        let with = report(&kept);
        let paths: Vec<&PathBuf> =
            without.keys().chain(with.keys()).filter(|p| without.get(*p) != with.get(*p)).collect();
        assert!(paths.is_empty(), "{state}: {paths:?}");
    };
    same("empty");
    let entries = files(&cache_dir).unwrap();
    assert!(entries.len() >= 5, "the exports and charts are kept: {}", entries.len());
    same("full");
    assert_eq!(files(&cache_dir).unwrap(), entries, "nothing was read or drawn again");
    for (path, text) in &entries {
        fs::write(cache_dir.join(path), &text[..text.len() / 2]).unwrap();
    }
    same("cut off");
    for (path, text) in &entries {
        let mut text = text.clone();
        let at = text.len() - 1 - text.len() / 3;
        text[at] ^= 0x10;
        fs::write(cache_dir.join(path), text).unwrap();
    }
    same("changed");
    for (path, text) in &entries {
        fs::write(cache_dir.join(path), [b"gfkept0\n", &text[8..]].concat()).unwrap();
    }
    same("of another form");
    fs::remove_dir_all(&cache_dir).unwrap();
    same("deleted");
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
