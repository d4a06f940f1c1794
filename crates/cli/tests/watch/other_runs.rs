//! Other runs on the same folder.

use std::fs;
use std::time::Duration;

use serde_json::Value;

use super::{is_whole, log, report, start, stop, watched_job};

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
