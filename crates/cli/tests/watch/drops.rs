//! Exports that are dropped in, by whatever way and name, and taken out.

use std::fs;
use std::time::Duration;

use serde_json::Value;

use super::{is_whole, log, start, stop, watched_job};

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
fn after_a_failure_a_file_that_came_and_went_is_a_drop() {
    let job = tempfile::tempdir().unwrap();
    fs::write(job.path().join("a.csv"), log("S1", 2)).unwrap();
    fs::write(job.path().join("report"), "in the way").unwrap();
    let mut watch = start(&[], job.path());
    watch.next("watching", "");
    let reason = watch.next("no_report", "")["reason"].to_string();
    assert!(reason.contains("is a file, and the report goes into a folder"), "{reason}");
    fs::remove_file(job.path().join("report")).unwrap();
    // It is there for less than the folder must be at rest, and nothing looks other than before.
    fs::write(job.path().join("b.csv"), log("S1", 3)).unwrap();
    fs::remove_file(job.path().join("b.csv")).unwrap();
    let event = watch.next_within(Duration::from_secs(30)).expect("sooner than without a drop, which is a minute");
    assert_eq!((&event["event"], &event["added"]), (&"report".into(), &serde_json::json!(["a.csv"])), "{event}");
    is_whole(job.path());
    stop(watch, "INT");
}
