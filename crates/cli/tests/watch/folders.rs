//! Folders that are deleted, renamed, closed, empty.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::time::Duration;

use grainfall_tests::rights::as_nobody;
use grainfall_tests::watch::Watch;

use super::{is_whole, log, start, stop};

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
