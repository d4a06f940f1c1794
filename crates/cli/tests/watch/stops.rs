//! Ctrl-C, once and twice.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use super::{is_whole, log, report, watched_job};

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
