//! `watch`, as a program: drops in every way, polling, faults, Ctrl-C; and the cache, which changes no byte.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::disallowed_types, reason = "a test stops where it fails")]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use grainfall_tests::rights::as_nobody;
use grainfall_tests::soak::{self, Plan};
use grainfall_tests::tree::files;
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

fn drops_lead_to_reports(arguments: &[&str]) {
    let root = tempfile::tempdir().unwrap();
    let at = |path: &str| root.path().join(path);
    for job in ["larch", "elm"] {
        fs::create_dir(at(job)).unwrap();
        fs::write(at(job).join("job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
        fs::write(at(job).join("a.csv"), log("S1", 2)).unwrap();
    }
    let mut watch = start(arguments, root.path());
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
    stop(watch, "INT");
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
    let (job, mut watch) = watched_job();
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
    stop(watch, "TERM");
}

#[test]
fn a_report_that_is_current_is_left_alone() {
    let (job, watch) = watched_job();
    stop(watch, "INT");
    let mut watch = start(&[], job.path());
    watch.next("watching", "");
    watch.is_silent_for(Duration::from_secs(3));
    stop(watch, "INT");
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

/// Drops an export in and waits until its report is being made: the summary is there, and the rest is of the one before.
fn drop_until_in_mid_refresh(job: &Path) {
    fs::write(job.join("b.csv"), log("S1", 3)).unwrap();
    let begun = Instant::now();
    let is_behind = || fs::read_to_string(job.join("report/manifest.json")).is_ok_and(|text| text.contains("behind"));
    while !is_behind() {
        assert!(begun.elapsed() < Duration::from_secs(60), "no report is being made");
        std::thread::sleep(Duration::from_millis(1));
    }
}

fn report(job: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_grainfall")).args(["report", "--no-cache"]).arg(job).output().unwrap()
}

#[test]
fn ctrl_c_in_mid_refresh_ends_after_the_report_at_hand() {
    for signal in ["INT", "TERM"] {
        let (job, mut watch) = watched_job();
        drop_until_in_mid_refresh(job.path());
        watch.signal(signal);
        assert_eq!(watch.ended(), Some(0));
        assert_eq!(watch.next("report", "")["added"], serde_json::json!(["b.csv"]));
        assert_eq!(watch.next("stopped", "")["reports"], 2);
        is_whole(job.path());
        let lock = fs::File::open(job.path().join(".grainfall-lock")).unwrap();
        assert!(lock.try_lock().is_ok(), "the lock is free");
    }
}

#[test]
fn a_second_ctrl_c_ends_at_once_and_the_next_run_mends() {
    let (job, mut watch) = watched_job();
    drop_until_in_mid_refresh(job.path());
    watch.signal("INT");
    watch.signal("INT");
    let begun = Instant::now();
    // The second may find the report done: then it has ended as the first told it to.
    let code = watch.ended();
    assert!(matches!(code, Some(0 | 2)), "{code:?}");
    assert!(begun.elapsed() < Duration::from_secs(20));
    assert_eq!(report(job.path()).status.code(), Some(0));
    is_whole(job.path());
}

#[test]
fn a_job_folder_that_is_deleted_and_made_anew() {
    let root = tempfile::tempdir().unwrap();
    let job = root.path().join("larch");
    let make = || {
        fs::create_dir(&job).unwrap();
        fs::write(job.join("a.csv"), log("S1", 2)).unwrap();
    };
    make();
    let mut watch = start(&["--poll", "0.2"], &job);
    watch.next("watching", "larch");
    watch.next("report", "larch");
    fs::remove_dir_all(&job).unwrap();
    watch.next("gone", "larch");
    watch.is_silent_for(Duration::from_secs(1));
    make();
    watch.next("watching", "larch");
    watch.next("report", "larch");
    // Somebody removes the report alone: it is made again.
    fs::remove_dir_all(job.join("report")).unwrap();
    let event = watch.next("report", "larch");
    assert_eq!((&event["added"], &event["verdicts"]), (&serde_json::json!([]), &serde_json::json!([])), "{event}");
    is_whole(&job);
    stop(watch, "INT");
}

/// Runs a program by a clock that is off by what a file says, with `faketime` (Debian package); `None` with a message
/// where that cannot be done. Time that only measures, as a stopwatch does, goes on as it is.
#[allow(clippy::print_stderr)] // A skipped test says so.
fn by_the_clock_in(file: &Path, program: &str) -> Option<Command> {
    let library = Command::new("faketime").args(["-f", "+0", "printenv", "LD_PRELOAD"]).output();
    let library = library.ok().filter(|output| output.status.success()).map(|output| output.stdout);
    let command = |program: &str| {
        let mut command = Command::new(program);
        command.env("LD_PRELOAD", String::from_utf8_lossy(library.as_deref().unwrap_or_default()).trim());
        command.env("FAKETIME_TIMESTAMP_FILE", file).env("FAKETIME_NO_CACHE", "1");
        command.env("FAKETIME_DONT_FAKE_MONOTONIC", "1");
        command
    };
    fs::write(file, "-20y").unwrap();
    let year = |mut command: Command| -> Option<i32> {
        String::from_utf8(command.arg("+%Y").output().ok()?.stdout).ok()?.trim().parse().ok()
    };
    let is_off =
        matches!((year(Command::new("date")), year(command("date"))), (Some(now), Some(then)) if then < now - 18);
    if !is_off {
        eprintln!("skipped: no clock can be set here (needs faketime)");
    }
    is_off.then(|| command(program))
}

#[test]
fn a_clock_that_is_set_back_and_forward_misses_nothing_and_repeats_nothing() {
    let root = tempfile::tempdir().unwrap();
    let (job, clock) = (root.path().join("larch"), root.path().join(".clock"));
    fs::create_dir(&job).unwrap();
    fs::write(job.join("a.csv"), log("S1", 2)).unwrap();
    let Some(command) = by_the_clock_in(&clock, env!("CARGO_BIN_EXE_grainfall")) else { return };
    let mut watch = Watch::start_by(command, &["--settle", "0.5", "--poll", "0.3", "--no-cache"], &job);
    watch.next("watching", "larch");
    watch.next("report", "larch");
    let day = Duration::from_secs(86_400);
    let now = std::time::SystemTime::now();
    // The clock, and what the file says of itself: both later, both earlier, and one of each.
    let steps = [("+400d", now + day * 900), ("-400d", now - day * 900), ("-30y", now + day * 9000), ("+0", now - day)];
    for (number, (offset, modified)) in (3..).zip(steps) {
        fs::write(&clock, offset).unwrap();
        let name = format!("b{number}.csv");
        fs::write(job.join(&name), log("S1", number)).unwrap();
        fs::File::options().write(true).open(job.join(&name)).unwrap().set_modified(modified).unwrap();
        assert_eq!(watch.next("report", "larch")["added"], serde_json::json!([name]));
        watch.is_silent_for(Duration::from_secs(2));
    }
    // Other values in as many bytes, in a file that says that it is as old as it was.
    let place = job.join("b3.csv");
    let modified = fs::metadata(&place).unwrap().modified().unwrap();
    fs::write(&place, log("S1", 3).replace(",18.", ",17.")).unwrap();
    fs::File::options().write(true).open(&place).unwrap().set_modified(modified).unwrap();
    assert_eq!(watch.next("report", "larch")["changed"], serde_json::json!(["b3.csv"]));
    is_whole(&job);
    stop(watch, "INT");
}

#[test]
fn names_under_which_files_come_are_not_kept() {
    let (job, mut watch) = watched_job();
    let at = |name: &str| job.path().join(name);
    // As sync programs, browsers, copying tools and office programs name what is on its way: one burst, one report.
    let names = [".b.csv.Xa81k2", "c.csv.part", "d.csv.tmp", "~$e.csv", "f.csv.partial", ".~g.csv", "h.csv~"];
    for (number, name) in (3..).zip(names) {
        let text = log("S1", number);
        fs::write(at(name), &text[..text.len() / 2]).unwrap();
        std::thread::sleep(Duration::from_millis(20));
        fs::write(at(name), text).unwrap();
        let letter = char::from(b'b' + u8::try_from(number - 3).unwrap());
        fs::rename(at(name), at(&format!("{letter}.csv"))).unwrap();
    }
    let event = watch.next("report", "");
    assert_eq!(
        event["added"],
        serde_json::json!(["b.csv", "c.csv", "d.csv", "e.csv", "f.csv", "g.csv", "h.csv"]),
        "{event}"
    );
    // One that comes to rest half way is read as it stands, told, and gone when it is whole: no sample counts twice.
    let text = log("S1", 12);
    fs::write(at("i.csv.part"), &text[..text.len() / 2]).unwrap();
    assert_eq!(watch.next("report", "")["added"], serde_json::json!(["i.csv.part"]));
    fs::write(at("i.csv.part"), text).unwrap();
    fs::rename(at("i.csv.part"), at("i.csv")).unwrap();
    let event = watch.next("report", "");
    assert_eq!(
        (&event["added"], &event["removed"]),
        (&serde_json::json!(["i.csv"]), &serde_json::json!(["i.csv.part"]))
    );
    let manifest: Value = serde_json::from_slice(&fs::read(at("report/manifest.json")).unwrap()).unwrap();
    for input in manifest["inputs"].as_array().unwrap() {
        assert_eq!((&input["outcome"]["kind"], &input["outcome"]["samples"]), (&"read".into(), &144.into()), "{input}");
    }
    stop(watch, "INT");
}

#[test]
fn a_job_on_which_another_run_is_at_work_holds_up_no_other() {
    let root = tempfile::tempdir().unwrap();
    let at = |path: &str| root.path().join(path);
    for job in ["elm", "larch"] {
        fs::create_dir(at(job)).unwrap();
        fs::write(at(job).join("job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
        fs::write(at(job).join("a.csv"), log("S1", 2)).unwrap();
    }
    let other = fs::File::create(at("elm/.grainfall-lock")).unwrap();
    other.lock().unwrap();
    let mut watch = start(&[], root.path());
    watch.next("watching", "elm");
    watch.next("watching", "larch");
    watch.next("report", "larch");
    watch.is_silent_for(Duration::from_secs(2));
    assert_eq!(watch.notes().matches("another run is writing into").count(), 1, "{}", watch.notes());
    drop(other);
    watch.next("report", "elm");
    stop(watch, "INT");
}

#[test]
fn two_watches_and_reports_at_once_leave_one_whole_report() {
    let (job, first) = watched_job();
    let second = start(&["--poll", "0.3"], job.path());
    let mut both = [first, second];
    both[1].next("watching", "");
    for day in 3..7 {
        fs::write(job.path().join(format!("b{day}.csv")), log("S1", day)).unwrap();
        let output = report(job.path());
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    }
    // Whoever made the last one: both come to rest, and do not make it for each other again and again.
    for watch in &mut both {
        while let Some(event) = watch.next_within(Duration::from_secs(5)) {
            assert_eq!(event["event"], "report", "{event}");
        }
    }
    is_whole(job.path());
    let manifest: Value = serde_json::from_slice(&fs::read(job.path().join("report/manifest.json")).unwrap()).unwrap();
    assert_eq!(manifest["inputs"].as_array().unwrap().len(), 5);
    for watch in both {
        assert!(watch.told_reports().len() <= 5, "{:?}", watch.told_reports());
        stop(watch, "INT");
    }
}

#[test]
fn a_job_folder_that_gets_another_name() {
    let root = tempfile::tempdir().unwrap();
    let at = |path: &str| root.path().join(path);
    fs::create_dir(at("larch")).unwrap();
    fs::write(at("larch/job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
    fs::write(at("larch/a.csv"), log("S1", 2)).unwrap();
    let mut watch = start(&[], root.path());
    watch.next("watching", "larch");
    watch.next("report", "larch");
    fs::rename(at("larch"), at("oak")).unwrap();
    watch.next("gone", "larch");
    watch.next("watching", "oak");
    // The report names the folder where the job has no title: it is made again, and no file is new in it.
    assert_eq!(watch.next("report", "oak")["added"], serde_json::json!([]));
    is_whole(&at("oak"));
    fs::write(at("oak/b.csv"), log("S1", 3)).unwrap();
    assert_eq!(watch.next("report", "oak")["added"], serde_json::json!(["b.csv"]));
    assert!(!at("larch").exists());
    stop(watch, "INT");
}

#[test]
fn a_job_that_may_not_be_read_or_written_is_told_and_keeps_its_report() {
    let Some(nobody) = as_nobody(Path::new(env!("CARGO_BIN_EXE_grainfall"))) else { return };
    let root = tempfile::tempdir().unwrap();
    let at = |path: &str| root.path().join(path);
    let allow = |path: &str, mode: u32| fs::set_permissions(at(path), fs::Permissions::from_mode(mode)).unwrap();
    allow("", 0o755);
    for job in ["elm", "larch"] {
        fs::create_dir(at(job)).unwrap();
        fs::write(at(job).join("job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
        fs::write(at(job).join("a.csv"), log("S1", 2)).unwrap();
        allow(job, 0o777);
    }
    allow("elm", 0o000);
    let arguments = ["--settle", "0.3", "--poll", "0.2", "--no-cache"];
    let mut watch = Watch::start_by(nobody, &arguments, root.path());
    watch.next("watching", "larch");
    watch.next("report", "larch");
    assert!(watch.notes().contains("elm` cannot be opened"), "{}", watch.notes());
    allow("elm", 0o777);
    watch.next("watching", "elm");
    watch.next("report", "elm");
    // One that is watched can no longer be opened: told once, and it is not gone.
    let before = fs::read(at("larch/report/manifest.json")).unwrap();
    allow("larch", 0o000);
    let reason = watch.next("no_report", "larch")["reason"].to_string();
    assert!(reason.contains("the folder cannot be opened"), "{reason}");
    watch.is_silent_for(Duration::from_secs(1));
    allow("larch", 0o755);
    assert_eq!(fs::read(at("larch/report/manifest.json")).unwrap(), before);
    fs::write(at("larch/b.csv"), log("S1", 3)).unwrap();
    let reason = watch.next("no_report", "larch")["reason"].to_string();
    assert!(reason.contains("could not make a folder for the report"), "{reason}");
    assert_eq!(fs::read(at("larch/report/manifest.json")).unwrap(), before, "the old report stays");
    allow("larch", 0o777);
    fs::write(at("larch/c.csv"), log("S1", 4)).unwrap();
    assert_eq!(watch.next("report", "larch")["added"], serde_json::json!(["b.csv", "c.csv"]));
    is_whole(&at("larch"));
    stop(watch, "INT");
}

#[test]
fn an_empty_folder_is_watched_until_a_job_appears() {
    let root = tempfile::tempdir().unwrap();
    let mut watch = start(&[], root.path());
    watch.is_silent_for(Duration::from_secs(1));
    assert!(watch.notes().contains("no job is there yet"), "{}", watch.notes());
    fs::create_dir(root.path().join("larch")).unwrap();
    fs::write(root.path().join("larch/job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
    fs::write(root.path().join("larch/a.csv"), log("S1", 2)).unwrap();
    watch.next("watching", "larch");
    watch.next("report", "larch");
    assert!(!root.path().join("report").exists());
    stop(watch, "INT");
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
