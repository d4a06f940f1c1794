//! `jobs`: every job is accounted for, what is unchanged is kept, and what is kept never changes a result.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]
#![allow(clippy::disallowed_types, reason = "the tests run the program")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, SystemTime};

use grainfall_tests::tree::files;
use serde_json::Value;

struct Jobs {
    place: tempfile::TempDir,
}

impl Jobs {
    /// Copies of command-line cases, by the folder each goes to.
    fn new(cases: &[(&str, &str)]) -> Self {
        let jobs = Self { place: tempfile::tempdir().unwrap() };
        for (folder, case) in cases {
            let from = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../tests/cli/{case}.in/job"));
            fs::create_dir_all(jobs.path(folder)).unwrap();
            for entry in fs::read_dir(from).unwrap() {
                let entry = entry.unwrap();
                fs::copy(entry.path(), jobs.path(folder).join(entry.file_name())).unwrap();
            }
        }
        jobs
    }

    fn path(&self, name: &str) -> PathBuf {
        self.place.path().join(name)
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_grainfall"))
            .arg("jobs")
            .arg(self.place.path())
            .args(arguments)
            .output()
            .unwrap()
    }

    /// Runs, and gives exit code and list.
    fn list(&self) -> (Option<i32>, Value) {
        let output = self.run(&["--json"]);
        (output.status.code(), serde_json::from_slice(&output.stdout).unwrap())
    }

    /// Every file below the report folder with its bytes.
    fn written(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        files(&self.path("report")).unwrap()
    }

    fn written_at(&self, job: &str) -> SystemTime {
        fs::metadata(self.path(&format!("report/samples/job={job}/manifest.json"))).unwrap().modified().unwrap()
    }
}

fn needs(list: &Value, path: &str) -> Vec<String> {
    let job = list["jobs"].as_array().unwrap().iter().find(|job| job["path"] == path).unwrap();
    let kinds = job["needs"].as_array().unwrap().iter().map(|need| need["kind"].as_str().unwrap().to_owned());
    kinds.collect()
}

#[test]
fn a_job_that_fails_is_listed_and_stops_no_other() {
    let jobs = Jobs::new(&[("bad", "unknown-key"), ("north/a", "met"), ("north/b", "not-met")]);
    let (code, list) = jobs.list();
    assert_eq!(code, Some(1));
    assert_eq!(list["jobs"].as_array().unwrap().len(), 3);
    assert_eq!(list["jobs"][0]["path"], "bad", "what could not be read comes first");
    assert_eq!(needs(&list, "bad"), ["not_read"]);
    assert!(list["jobs"][0]["reason"].as_str().unwrap().contains("elevaton"), "{list:#}");
    assert!(jobs.path("report/samples/job=north%2Fa").is_dir());
    let page = fs::read_to_string(jobs.path("report/jobs.html")).unwrap();
    assert!(page.contains("3 jobs, 1 of them could not be read"));
    fs::remove_dir_all(jobs.path("north")).unwrap();
    let output = jobs.run(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("none of the 1 jobs could be read"));
    assert!(!jobs.path("report/samples/job=north%2Fa").exists(), "jobs that are gone leave the set");
}

#[test]
fn what_is_unchanged_is_not_made_again_and_what_is_kept_changes_no_result() {
    let jobs = Jobs::new(&[("a", "met"), ("b", "not-met"), ("c", "unplaced-logger"), ("d", "met")]);
    jobs.run(&[]);
    let first = jobs.written();
    let times = ["a", "b", "c"].map(|job| jobs.written_at(job));
    jobs.run(&[]);
    assert_eq!(["a", "b", "c"].map(|job| jobs.written_at(job)), times, "nothing was made again");
    assert!(jobs.written() == first);
    // Broken off, damaged, of something else: made again, and the same.
    fs::remove_file(jobs.path("report/jobs.html")).unwrap();
    fs::remove_dir_all(jobs.path("report/samples/job=a")).unwrap();
    let (of_d, samples) = first.iter().find(|(path, _)| path.starts_with("samples/job=d/day=2025-10-06")).unwrap();
    let mut changed = samples.clone();
    *changed.last_mut().unwrap() ^= 1;
    fs::write(jobs.path("report").join(of_d), changed).unwrap();
    let kept = jobs.path("report/samples/job=b/manifest.json");
    let text = fs::read_to_string(&kept).unwrap();
    fs::write(&kept, &text[..text.len() / 2]).unwrap();
    jobs.run(&[]);
    assert!(jobs.written() == first);
    assert_eq!(jobs.written_at("c"), times[2]);
    fs::remove_dir_all(jobs.path("report")).unwrap();
    jobs.run(&[]);
    assert!(jobs.written() == first, "without anything kept");
    // A changed input changes its job alone.
    let times = ["a", "b", "c"].map(|job| jobs.written_at(job));
    let log = jobs.path("a/a.csv");
    let text = fs::read_to_string(&log).unwrap();
    let changed = text.replacen(".0,", ".4,", 1);
    fs::write(&log, if changed == text { format!("{text}\n") } else { changed }).unwrap();
    jobs.run(&[]);
    assert_ne!(jobs.written_at("a"), times[0]);
    assert_eq!([jobs.written_at("b"), jobs.written_at("c")], [times[1], times[2]]);
}

#[test]
fn reports_are_written_only_when_asked_for_and_linked() {
    let jobs = Jobs::new(&[("north/a b", "met")]);
    jobs.run(&[]);
    assert!(!jobs.path("north/a b/report").exists());
    jobs.run(&["--reports"]);
    assert!(jobs.path("north/a b/report/manifest.json").is_file());
    // The template engine writes `/` as a character reference, which is the same to a browser.
    let page = fs::read_to_string(jobs.path("report/jobs.html")).unwrap().replace("&#x2f;", "/");
    assert!(page.contains("href=\"../north/a%20b/report/report.html\""), "{page}");
    // The report is the one that `report` writes.
    let before = fs::read(jobs.path("north/a b/report/manifest.json")).unwrap();
    let alone = Command::new(env!("CARGO_BIN_EXE_grainfall")).arg("report").arg(jobs.path("north/a b")).output();
    assert!(alone.unwrap().status.success());
    assert!(fs::read(jobs.path("north/a b/report/manifest.json")).unwrap() == before);
}

#[test]
fn a_second_run_waits_and_clears_what_a_killed_one_left() {
    let jobs = Jobs::new(&[("a", "met"), ("b", "not-met")]);
    jobs.run(&[]);
    let first = jobs.written();
    // Left by runs that were killed: a part of the set, the list, an old part moved aside.
    fs::create_dir_all(jobs.path("report/samples/.report-new-Ab1/day=2025-10-06")).unwrap();
    fs::create_dir_all(jobs.path("report/samples/.report-old-Cd2/report")).unwrap();
    fs::write(jobs.path("report/.jobs-new-Ef3"), "{\"jo").unwrap();
    let other = fs::File::open(jobs.path(".grainfall-lock")).unwrap();
    other.lock().unwrap();
    let mut second = Command::new(env!("CARGO_BIN_EXE_grainfall"));
    let second = second.arg("jobs").arg(jobs.place.path()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn();
    let mut second = second.unwrap();
    std::thread::sleep(Duration::from_millis(700));
    assert!(second.try_wait().unwrap().is_none(), "it waits");
    drop(other);
    let output = second.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(said.matches("another run is writing into").count(), 1, "{said}");
    assert!(jobs.written() == first, "nothing is left of the killed ones");
}

/// A limit on the size of files, by `prlimit` (Debian package `util-linux`), stands for a disk that is full.
#[test]
#[allow(clippy::print_stderr)] // A skipped test says so.
fn a_list_that_cannot_be_written_leaves_list_and_page_as_they_were() {
    let jobs = Jobs::new(&[("a", "met"), ("b", "not-met")]);
    jobs.run(&[]);
    let both = || ["jobs.json", "jobs.html"].map(|name| fs::read(jobs.path("report").join(name)).unwrap());
    let before = both();
    let log = jobs.path("a/a.csv");
    fs::write(&log, format!("{}\n", fs::read_to_string(&log).unwrap())).unwrap();
    // The list has room, the page has not.
    let limit = format!("--fsize={}", u64::midpoint(before[0].len() as u64, before[1].len() as u64));
    assert!(before[0].len() < before[1].len());
    let limited = Command::new("prlimit")
        .args([&limit, env!("CARGO_BIN_EXE_grainfall"), "jobs", "--as-of", "2025-10-05 12:00"])
        .arg(jobs.path(""))
        .output();
    let Ok(output) = limited else {
        eprintln!("skipped: no limit can be set here (needs prlimit)");
        return;
    };
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("jobs.html` was not written: File too large") && !said.contains(".jobs-new-"), "{said}");
    assert!(both() == before);
    let names = fs::read_dir(jobs.path("report")).unwrap().map(|entry| entry.unwrap().file_name());
    assert_eq!(names.filter(|name| name.as_encoded_bytes().starts_with(b".")).count(), 0);
}

#[test]
fn a_folder_that_is_itself_the_job_takes_its_turn_once() {
    let jobs = Jobs::new(&[("", "met")]);
    let output = jobs.run(&["--reports"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(jobs.path("report/report.pdf").is_file() && jobs.path("report/jobs.html").is_file());
}

#[cfg(unix)]
#[test]
fn names_of_any_kind_are_text_and_nothing_else() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;

    let jobs = Jobs::new(&[("a", "met")]);
    let names: [&[u8]; 6] = [
        b"<script>alert(1)<",
        b"new\nline \"quoted\" & 'more'",
        b"bytes \xff\xfe",
        b"bytes \xff\xfd",
        b"{{ 7*7 }}{% raw %}",
        b"\x1b[31mred",
    ];
    for name in names {
        let folder = jobs.place.path().join(OsStr::from_bytes(name));
        fs::create_dir(&folder).unwrap();
        for file in ["job.toml", "readings.csv", "a.csv"] {
            fs::copy(jobs.path("a").join(file), folder.join(file)).unwrap();
        }
        // Without a title the folder's name is shown in its place.
        let text = fs::read_to_string(folder.join("job.toml")).unwrap();
        fs::write(folder.join("job.toml"), text.replace("title = \"Case\"\n", "")).unwrap();
    }
    let (code, list) = jobs.list();
    let paths: BTreeSet<&str> =
        list["jobs"].as_array().unwrap().iter().map(|job| job["path"].as_str().unwrap()).collect();
    assert_eq!((code, paths.len()), (Some(0), 7), "{list:#}");
    assert!(paths.contains("bytes \\xFF\\xFE"), "{paths:?}");
    let shown = jobs.run(&[]).stdout;
    assert!(!shown.contains(&0x1b), "nothing in a name steers the terminal");
    assert!(String::from_utf8_lossy(&shown).contains("[U+001B][31mred"));
    let page = fs::read_to_string(jobs.path("report/jobs.html")).unwrap();
    assert!(!page.contains("<script") && page.contains("&lt;script&gt;alert(1)"), "{page}");
    assert!(page.contains("{{ 7*7 }}{% raw %}"));
    assert!(jobs.path("report/samples/job=bytes%20%FF%FE").is_dir());
    assert!(jobs.path("report/samples/job=new%0Aline%20%22quoted%22%20%26%20%27more%27").is_dir());
}

#[test]
fn a_folder_without_jobs_says_what_a_job_is() {
    let jobs = Jobs::new(&[]);
    let output = jobs.run(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("a job is a folder with job.toml"));
    assert!(!jobs.path("report").exists());
}
