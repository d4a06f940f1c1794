//! Folders as they really are: odd names, links, rights, other runs, clocks, many files.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::disallowed_types, reason = "a test stops where it fails")]

use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant, SystemTime};

use grainfall_tests::rights::as_nobody;
use serde_json::Value;

/// Samples of one logger, other values for each number.
fn log(number: usize) -> String {
    let rows = (0..40).map(|row| {
        format!("2025-03-02 {:02}:{:02},{}.{},5{}\n", row / 6, row % 6 * 10, 18 + row % 5, number % 10, number % 7)
    });
    format!("Serial: S{number}\nTime (UTC),Air temp (C),RH (%)\n{}", rows.collect::<String>())
}

fn program(arguments: &[&str], folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_grainfall"));
    command.args(arguments).arg(folder);
    command
}

fn run(arguments: &[&str], folder: &Path) -> Output {
    program(arguments, folder).output().expect("the program starts")
}

fn report(folder: &Path) -> Output {
    run(&["report", "--no-cache"], folder)
}

fn error(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn done(output: &Output) {
    assert_eq!(output.status.code(), Some(0), "{}", error(output));
}

/// What became of each input of a report, by path.
fn inputs(folder: &Path) -> Vec<(String, String)> {
    let manifest: Value = serde_json::from_slice(&fs::read(folder.join("report/manifest.json")).unwrap()).unwrap();
    let list = manifest["inputs"].as_array().unwrap().iter();
    list.map(|one| (one["path"].as_str().unwrap().to_owned(), one["outcome"]["kind"].as_str().unwrap().to_owned()))
        .collect()
}

#[test]
fn names_with_blanks_line_ends_and_bytes_that_are_no_text() {
    let job = tempfile::tempdir().unwrap();
    let folder = job.path().join("a job\nin two lines");
    fs::create_dir(&folder).unwrap();
    let names: [&[u8]; 5] = [b"two words.csv", b"two\nlines.csv", b"odd\xff.csv", b"odd\xfe.csv", b"\x1b[2J.csv"];
    for (number, name) in names.iter().enumerate() {
        fs::write(folder.join(OsStr::from_bytes(name)), log(number)).unwrap();
    }
    done(&report(&folder));
    let found = inputs(&folder);
    assert_eq!(found.len(), names.len());
    assert!(found.iter().all(|(_, outcome)| outcome == "read"), "{found:?}");
    let mut paths: Vec<&String> = found.iter().map(|(path, _)| path).collect();
    paths.dedup();
    assert_eq!(paths.len(), names.len(), "two names stay two: {paths:?}");
    assert!(paths.iter().any(|path| *path == "odd\\xFF.csv"), "{paths:?}");
    let shown = run(&["check", "--no-cache"], &folder);
    assert!(!shown.stdout.contains(&0x1b), "nothing in a name steers the terminal");
}

#[test]
fn links_that_lead_out_nowhere_or_in_a_circle() {
    let job = tempfile::tempdir().unwrap();
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("secret.csv"), log(1)).unwrap();
    fs::write(job.path().join("a.csv"), log(2)).unwrap();
    symlink(outside.path().join("secret.csv"), job.path().join("out.csv")).unwrap();
    symlink(outside.path(), job.path().join("outside")).unwrap();
    symlink(job.path(), job.path().join("again")).unwrap();
    symlink("circle", job.path().join("circle")).unwrap();
    symlink("a.csv", job.path().join("same.csv")).unwrap();
    done(&report(job.path()));
    let of = |path: &str| inputs(job.path()).into_iter().find(|(p, _)| p == path).map(|(_, outcome)| outcome);
    assert_eq!(of("a.csv").as_deref(), Some("read"));
    assert_eq!(of("same.csv").as_deref(), Some("same_as"));
    for refused in ["out.csv", "outside", "circle"] {
        assert_eq!(of(refused).as_deref(), Some("refused"), "{refused}");
    }
    assert_eq!(of("again"), None, "a way back up is passed over");
}

/// Runs the program as somebody who is not allowed everything; `None` where that cannot be done.
fn run_as_nobody(arguments: &[&str], folder: &Path) -> Option<Output> {
    let mut command = as_nobody(Path::new(env!("CARGO_BIN_EXE_grainfall")))?;
    Some(command.args(arguments).arg(folder).output().expect("the program starts"))
}

#[test]
fn a_folder_that_may_not_be_written() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    fs::set_permissions(job.path(), fs::Permissions::from_mode(0o555)).unwrap();
    let Some(refused) = run_as_nobody(&["report", "--no-cache"], job.path()) else { return };
    assert_eq!(refused.status.code(), Some(2));
    let message = error(&refused);
    assert!(message.contains("nothing can be written into this folder"), "{message}");
    assert!(message.contains("`grainfall check`") && message.matches("denied").count() == 1, "{message}");
    assert_eq!(fs::read_dir(job.path()).unwrap().count(), 1, "nothing is left behind");
    // The verdicts need no writing.
    let checked = run_as_nobody(&["check", "--no-cache"], job.path()).expect("as before");
    assert_eq!(checked.status.code(), Some(3), "{}", error(&checked));
    fs::set_permissions(job.path(), fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn a_file_and_a_folder_that_may_not_be_read() {
    let job = tempfile::tempdir().unwrap();
    fs::set_permissions(job.path(), fs::Permissions::from_mode(0o755)).unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    fs::write(job.path().join("closed.csv"), log(2)).unwrap();
    fs::create_dir(job.path().join("shut")).unwrap();
    fs::set_permissions(job.path().join("closed.csv"), fs::Permissions::from_mode(0o000)).unwrap();
    fs::set_permissions(job.path().join("shut"), fs::Permissions::from_mode(0o000)).unwrap();
    let Some(checked) = run_as_nobody(&["check", "--no-cache"], job.path()) else { return };
    assert_eq!(checked.status.code(), Some(3), "{}", error(&checked));
    // Told on the screen, wrapped to its width.
    let text = String::from_utf8_lossy(&checked.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("closed.csv was not read: the file cannot be opened"), "{text}");
    assert!(text.contains("shut was not read: the folder cannot be opened"), "{text}");
}

/// A job that anybody may write into, with the lock of somebody else beside it and a report of nobody's.
fn shared_job() -> Option<tempfile::TempDir> {
    let job = tempfile::tempdir().unwrap();
    fs::set_permissions(job.path(), fs::Permissions::from_mode(0o777)).unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    let lock = job.path().join(".grainfall-lock");
    fs::write(&lock, "").unwrap();
    fs::set_permissions(&lock, fs::Permissions::from_mode(0o444)).unwrap();
    done(&run_as_nobody(&["report", "--no-cache"], job.path())?);
    Some(job)
}

#[test]
fn a_lock_of_somebody_else_that_may_only_be_read_is_a_lock() {
    let Some(job) = shared_job() else { return };
    let held = fs::File::open(job.path().join(".grainfall-lock")).unwrap();
    held.lock().unwrap();
    let mut second = as_nobody(Path::new(env!("CARGO_BIN_EXE_grainfall"))).expect("as before");
    let second = second.args(["report", "--no-cache"]).arg(job.path()).stdout(Stdio::null()).stderr(Stdio::piped());
    let second = second.spawn().unwrap();
    std::thread::sleep(Duration::from_millis(500));
    drop(held);
    let output = second.wait_with_output().unwrap();
    done(&output);
    assert!(error(&output).contains("another run is writing into"), "{}", error(&output));
}

#[test]
fn a_report_that_is_closed_to_writing_is_replaced_and_leaves_nothing_behind() {
    let Some(job) = shared_job() else { return };
    for closed in ["report/charts", "report"] {
        fs::set_permissions(job.path().join(closed), fs::Permissions::from_mode(0o555)).unwrap();
    }
    fs::write(job.path().join("b.csv"), log(2)).unwrap();
    done(&run_as_nobody(&["report", "--no-cache"], job.path()).expect("as before"));
    whole(job.path());
    let mut names: Vec<_> = fs::read_dir(job.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, [".grainfall-lock", "a.csv", "b.csv", "report"]);
}

/// What cannot be listed cannot be taken along: it would be lost.
#[test]
fn a_folder_in_the_report_that_may_not_be_read_stops_the_report() {
    let Some(job) = shared_job() else { return };
    let photos = job.path().join("report/photos");
    fs::create_dir(&photos).unwrap();
    fs::write(photos.join("hall.jpg"), "kept").unwrap();
    fs::set_permissions(&photos, fs::Permissions::from_mode(0o000)).unwrap();
    let before = fs::read(job.path().join("report/manifest.json")).unwrap();
    fs::write(job.path().join("b.csv"), log(2)).unwrap();
    let refused = run_as_nobody(&["report", "--no-cache"], job.path()).expect("as before");
    fs::set_permissions(&photos, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(refused.status.code(), Some(2));
    assert!(error(&refused).contains("report/photos`: could not list"), "{}", error(&refused));
    assert_eq!(fs::read(job.path().join("report/manifest.json")).unwrap(), before);
    assert_eq!(fs::read_to_string(photos.join("hall.jpg")).unwrap(), "kept");
    assert_eq!(fs::read_dir(job.path()).unwrap().count(), 4, "nothing is left beside the report");
}

#[test]
fn a_file_named_report_is_left_alone() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    fs::write(job.path().join("report"), log(2)).unwrap();
    let refused = report(job.path());
    assert_eq!(refused.status.code(), Some(2));
    assert!(error(&refused).contains("is a file, and the report goes into a folder"), "{}", error(&refused));
    assert_eq!(fs::read_to_string(job.path().join("report")).unwrap(), log(2));
}

#[test]
fn a_second_run_waits_and_says_so() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    let first = fs::File::create(job.path().join(".grainfall-lock")).unwrap();
    first.lock().unwrap();
    let mut second = program(&["report", "--no-cache"], job.path());
    let second = second.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    std::thread::sleep(Duration::from_millis(700));
    assert!(!job.path().join("report").exists(), "it waits");
    drop(first);
    let output = second.wait_with_output().unwrap();
    done(&output);
    let message = error(&output);
    assert_eq!(message.matches("another run is writing into").count(), 1, "{message}");
    assert!(job.path().join("report/report.pdf").exists());
}

#[test]
fn two_runs_at_once_leave_one_whole_report() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    let start =
        || program(&["report", "--no-cache"], job.path()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let runs = [start(), start(), start()];
    for run in runs {
        done(&run.wait_with_output().unwrap());
    }
    whole(job.path());
    let mut names: Vec<_> = fs::read_dir(job.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, [".grainfall-lock", "a.csv", "report"]);
}

/// Every output has the hash that the manifest gives it.
fn whole(folder: &Path) {
    let manifest: Value = serde_json::from_slice(&fs::read(folder.join("report/manifest.json")).unwrap()).unwrap();
    let outputs = manifest["outputs"].as_object().unwrap();
    assert!(outputs.len() > 5);
    for (path, hash) in outputs {
        let bytes = fs::read(folder.join("report").join(path)).unwrap();
        assert_eq!(hash.as_str().unwrap(), grainfall_report::manifest::sha256(&bytes), "{path}");
    }
}

#[test]
fn files_that_vanish_while_they_are_read() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    for number in 0..2000 {
        fs::write(job.path().join(format!("z{number:04}.csv")), log(number)).unwrap();
    }
    let run = program(&["report", "--no-cache"], job.path()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn();
    let run = run.unwrap();
    for number in (0..2000).rev() {
        fs::remove_file(job.path().join(format!("z{number:04}.csv"))).unwrap();
    }
    done(&run.wait_with_output().unwrap());
    let found = inputs(job.path());
    assert!(found.iter().any(|one| *one == ("a.csv".to_owned(), "read".to_owned())), "the rest is read");
    whole(job.path());
}

#[test]
fn a_clock_that_was_set_back_changes_nothing() {
    let (job, cache) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let place = job.path().join("a.csv");
    fs::write(&place, log(1)).unwrap();
    let kept = ["report", "--cache", cache.path().to_str().unwrap()];
    // A file from the future, then other bytes of the same length in a file that seems older.
    let set = |time| fs::File::options().write(true).open(&place).unwrap().set_modified(time).unwrap();
    set(SystemTime::now() + Duration::from_secs(400 * 86_400));
    done(&run(&kept, job.path()));
    let before = fs::read(job.path().join("report/summary.json")).unwrap();
    fs::write(&place, log(1).replace(",18.", ",19.")).unwrap();
    set(SystemTime::UNIX_EPOCH + Duration::from_secs(86_400));
    done(&run(&kept, job.path()));
    let after = fs::read(job.path().join("report/summary.json")).unwrap();
    assert_ne!(before, after, "the other values are seen whatever the clock says");
    done(&report(job.path()));
    assert_eq!(fs::read(job.path().join("report/summary.json")).unwrap(), after);
}

#[test]
fn fifty_thousand_files() {
    let job = tempfile::tempdir().unwrap();
    for folder in 0..50 {
        let within = job.path().join(format!("photos {folder:02}"));
        fs::create_dir(&within).unwrap();
        for number in 0..1000 {
            fs::write(within.join(format!("{number:03}.jpg")), format!("\u{0}\u{1}photo {folder} {number}")).unwrap();
        }
    }
    fs::write(job.path().join("a.csv"), log(1)).unwrap();
    let begun = Instant::now();
    done(&report(job.path()));
    let took = begun.elapsed();
    println!("report over 50,001 files: {:.1} s", took.as_secs_f64());
    assert!(took < Duration::from_secs(120), "{took:?}");
    assert_eq!(inputs(job.path()).len(), 50_001);
}
