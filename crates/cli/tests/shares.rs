//! Folders that lie elsewhere: others put files in from the far side, of which the system tells nothing; old and new
//! report change places in two steps; a file that somebody reads stays under another name when it is removed.
//!
//! A mirror of a folder by `bindfs` (Debian package) behaves so in all three, as NFS and shares over SSH do. Where it is
//! not there, or may not be mounted, these tests say so and do nothing.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::disallowed_types, reason = "a test stops where it fails")]

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use grainfall_tests::watch::Watch;

/// A folder, and a mirror of it as another machine sees it.
struct Share {
    root: tempfile::TempDir,
}

impl Share {
    /// `None` with a message where none can be mounted.
    #[allow(clippy::print_stderr)] // A skipped test says so.
    fn new(options: &[&str]) -> Option<Self> {
        let share = Self { root: tempfile::tempdir().unwrap() };
        for side in [share.far(), share.near()] {
            fs::create_dir(side).unwrap();
        }
        let mounted = Command::new("bindfs").args(options).arg(share.far()).arg(share.near()).output();
        if mounted.is_ok_and(|output| output.status.success()) {
            return Some(share);
        }
        eprintln!("skipped: no share can be mounted here (needs bindfs and FUSE)");
        None
    }

    /// The folder itself.
    fn far(&self) -> PathBuf {
        self.root.path().join("far")
    }

    /// As it is seen here.
    fn near(&self) -> PathBuf {
        self.root.path().join("near")
    }

    /// Puts an export into job `larch` from the far side, where no lock is held and no event is told.
    fn put(&self, name: &str, day: u32) {
        let rows =
            (0..144).map(|row| format!("2025-03-{day:02} {:02}:{:02},18.5,5{}\n", row / 6, row % 6 * 10, row % 7));
        let text = format!("Serial: S1\nTime (UTC),Air temp (C),RH (%)\n{}", rows.collect::<String>());
        fs::create_dir_all(self.far().join("larch")).unwrap();
        fs::write(self.far().join("larch").join(name), text).unwrap();
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_grainfall")).args(arguments).current_dir(self.near()).output().unwrap()
    }
}

impl Drop for Share {
    fn drop(&mut self) {
        for unmount in ["fusermount3", "fusermount"] {
            if Command::new(unmount).arg("-uz").arg(self.near()).output().is_ok_and(|output| output.status.success()) {
                return;
            }
        }
        let _ = Command::new("umount").arg("--lazy").arg(self.near()).output();
    }
}

/// Names in a folder but for the job's lock.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = entries.filter(|name| name != ".grainfall-lock").collect();
    names.sort();
    names
}

/// Opens a file and reads its first byte.
fn reader_of(path: &Path) -> fs::File {
    let mut file = fs::File::open(path).unwrap();
    assert_eq!(file.read(&mut [0]).unwrap(), 1);
    file
}

#[test]
fn what_others_put_into_a_share_is_found_and_a_page_that_is_open_holds_nothing_up() {
    let Some(share) = Share::new(&[]) else { return };
    share.put("a.csv", 2);
    fs::write(share.far().join("larch/job.toml"), "[job]\ntime_zone = \"UTC\"\n").unwrap();
    let program = Path::new(env!("CARGO_BIN_EXE_grainfall"));
    let mut watch = Watch::start(program, &["--settle", "0.5", "--no-cache"], &share.near());
    watch.next("watching", "larch");
    watch.next("report", "larch");
    assert!(watch.notes().contains("is a network folder"), "{}", watch.notes());
    let page = reader_of(&share.near().join("larch/report/report.html"));
    for (name, day) in [("b.csv", 3), ("c.csv", 4)] {
        share.put(name, day);
        assert_eq!(watch.next("report", "larch")["added"], serde_json::json!([name]));
        let there = names(&share.far().join("larch"));
        assert_eq!(there.iter().filter(|name| name.starts_with(".report-")).count(), 1, "the page: {there:?}");
    }
    // Somebody removes the report: what is left of an old one does not take its place.
    fs::remove_dir_all(share.far().join("larch/report")).unwrap();
    watch.next("report", "larch");
    assert_eq!(share.run(&["verify", "larch"]).status.code(), Some(0));
    drop(page);
    share.put("d.csv", 5);
    watch.next("report", "larch");
    assert_eq!(names(&share.far().join("larch")), ["a.csv", "b.csv", "c.csv", "d.csv", "job.toml", "report"]);
    watch.signal("INT");
    assert_eq!(watch.ended(), Some(0));
}

#[test]
fn samples_that_are_being_read_do_not_stop_the_list_of_jobs() {
    let Some(share) = Share::new(&[]) else { return };
    share.put("a.csv", 2);
    let list = || {
        let output = share.run(&["jobs", "."]);
        (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
    };
    let shown = (Some(3), String::new());
    assert_eq!(list(), shown);
    let samples = share.far().join("report/samples");
    let near = |day: &str| share.near().join("report/samples/job=larch").join(day).join("samples.parquet");
    let first = reader_of(&near("day=2025-03-02"));
    share.put("a.csv", 3);
    assert_eq!(list(), shown);
    assert_eq!(names(&samples.join("job=larch")), ["day=2025-03-03", "manifest.json"]);
    let second = reader_of(&near("day=2025-03-03"));
    fs::rename(share.far().join("larch"), share.far().join("elm")).unwrap();
    assert_eq!(list(), shown);
    assert!(!samples.join("job=larch").exists() && samples.join("job=elm").exists(), "{:?}", names(&samples));
    drop((first, second));
    assert_eq!(list(), shown);
    assert_eq!(names(&samples), ["job=elm"]);
}

#[test]
fn a_file_system_that_lets_no_rights_be_set_holds_reports() {
    let Some(share) = Share::new(&["--chmod-deny"]) else { return };
    share.put("a.csv", 2);
    for units in ["us", "si"] {
        let output = share.run(&["report", "--units", units, "larch"]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    }
    assert_eq!(share.run(&["jobs", "--reports", "."]).status.code(), Some(3));
    assert_eq!(share.run(&["verify", "larch"]).status.code(), Some(0));
    assert_eq!(names(&share.far().join("larch")), ["a.csv", "report"]);
}
