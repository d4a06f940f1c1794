//! Whether `grainfall watch` keeps up: many exports dropped into many job folders in every way files arrive, then a
//! count of what reached the reports.
//!
//! Reading order: this file (the run and its figures), `drops` (what is dropped and how it arrives).

#![allow(clippy::disallowed_types, reason = "the suite runs the program")]

mod drops;

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use drops::{Drop, Good};

use crate::memory;
use crate::tree::tree;
use crate::watch::Watch;

/// What a soak does.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The program under test.
    pub program: PathBuf,
    /// Files dropped, over all jobs.
    pub drops: usize,
    /// Job folders.
    pub jobs: usize,
    /// Reports made with folders of one size after the drops, to see whether memory grows.
    pub steady_reports: usize,
    /// Further arguments to `watch`.
    pub watch_args: Vec<String>,
    /// Longest time after the last drop until every good file must be in a report, s.
    pub longest_s: u64,
}

/// What came of it.
#[derive(Debug, Clone, Default)]
pub struct Figures {
    /// Files that hold samples no other file holds.
    pub good: usize,
    /// Files that are copies of good ones.
    pub copies: usize,
    /// Files that cannot be read.
    pub bad: usize,
    /// Good files and copies that are in no report in the end, with their bytes as they were dropped.
    pub missing: Vec<String>,
    /// Good files whose samples are not all in the report: written slowly, and read once too early.
    pub short: Vec<String>,
    /// Files of a report that differ from those of `report --no-cache` on the same folder.
    pub differing: Vec<String>,
    /// Reports told while files were dropped and until all were in.
    pub reports: usize,
    /// Time in which the files were dropped, s.
    pub dropping_s: f64,
    /// Time from the last drop until all good files were in reports, s.
    pub catching_up_s: f64,
    /// Exit code of the watch after Ctrl-C.
    pub exit: Option<i32>,
    /// Time from Ctrl-C to the end, s.
    pub stopping_s: f64,
    /// Most memory held, MiB; `None` where the system does not tell.
    pub peak_mib: Option<f64>,
    /// Memory gained for each 100 reports with folders of one size, MiB; `None` without such reports.
    pub slope_mib: Option<f64>,
    /// Reports that slope rests on.
    pub steady_reports: usize,
}

impl Figures {
    /// Whether nothing was missed and the watch ended as it should. Memory is judged by whoever reads the slope.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.missing.is_empty() && self.short.is_empty() && self.differing.is_empty() && self.exit == Some(0)
    }
}

impl std::fmt::Display for Figures {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let all = self.good + self.copies + self.bad;
        writeln!(f, "dropped           {all}: {} good, {} copies, {} bad", self.good, self.copies, self.bad)?;
        writeln!(f, "missing           {}", self.missing.len())?;
        writeln!(f, "read too early    {}", self.short.len())?;
        writeln!(f, "differing files   {} (against a report without a cache)", self.differing.len())?;
        writeln!(f, "reports           {}", self.reports)?;
        writeln!(f, "dropping          {:.1} s", self.dropping_s)?;
        writeln!(f, "catching up       {:.1} s", self.catching_up_s)?;
        writeln!(f, "stopped           exit {:?} after {:.2} s", self.exit, self.stopping_s)?;
        let number = |value: Option<f64>| value.map_or("not known".to_owned(), |mib| format!("{mib:.1} MiB"));
        writeln!(f, "memory, peak      {}", number(self.peak_mib))?;
        let slope =
            self.slope_mib.map_or("not measured".to_owned(), |mib| format!("{mib:+.2} MiB for each 100 reports"));
        write!(f, "memory, slope     {slope} (over {} reports with folders of one size)", self.steady_reports)?;
        for one in self.missing.iter().chain(&self.short).chain(&self.differing) {
            write!(f, "\n  {one}")?;
        }
        Ok(())
    }
}

/// Runs a soak below a folder, which must be empty.
///
/// # Panics
/// When a folder cannot be written or the program cannot be started: in a test that is the failure.
#[must_use]
pub fn run(plan: &Plan, root: &Path) -> Figures {
    let jobs: Vec<PathBuf> = (0..plan.jobs).map(|number| root.join(format!("jobs/job {number:02}"))).collect();
    for (number, folder) in jobs.iter().enumerate() {
        drops::write_job(folder, number);
    }
    let cache = root.join("cache");
    let mut arguments: Vec<&OsStr> = ["--settle", "0.5", "--cache"].map(OsStr::new).to_vec();
    arguments.push(cache.as_os_str());
    arguments.extend(plan.watch_args.iter().map(OsStr::new));
    let mut watch = Watch::start(&plan.program, &arguments, &root.join("jobs"));
    watch.wait_for(plan.jobs, Duration::from_secs(plan.longest_s));
    let (drops, mut figures) = drops::plan(plan.drops, plan.jobs);
    let begun = Instant::now();
    let good = deliver(&drops, &jobs);
    figures.dropping_s = begun.elapsed().as_secs_f64();
    let begun = Instant::now();
    while begun.elapsed().as_secs() < plan.longest_s {
        (figures.missing, figures.short) = absent(&good, &jobs);
        if figures.missing.is_empty() && figures.short.is_empty() {
            break;
        }
        thread::sleep(Duration::from_millis(250));
    }
    figures.catching_up_s = begun.elapsed().as_secs_f64();
    watch.come_to_rest();
    figures.reports = watch.told_reports().len();
    if plan.steady_reports > 0 {
        let samples = steady(&mut watch, &jobs, plan);
        figures.steady_reports = samples.len();
        figures.slope_mib = memory::slope(&samples).map(|per_report| per_report * 100.0);
    }
    figures.peak_mib = memory::peak_mib(watch.id());
    let begun = Instant::now();
    figures.exit = watch.interrupt();
    figures.stopping_s = begun.elapsed().as_secs_f64();
    figures.differing = jobs.iter().flat_map(|folder| differing(&plan.program, folder, root)).collect();
    figures
}

/// Drops the files from several threads, so that slow ones overlap with the rest.
fn deliver(drops: &[Drop], jobs: &[PathBuf]) -> Vec<Good> {
    let next = Mutex::new(drops.iter());
    let good = Mutex::new(Vec::new());
    thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                loop {
                    let Some(drop) = next.lock().expect("no thread panics").next() else { break };
                    let delivered = drop.deliver(&jobs[drop.job]);
                    good.lock().expect("no thread panics").extend(delivered);
                }
            });
        }
    });
    good.into_inner().expect("no thread panics")
}

/// Good files that are not in their report with their bytes, and those of which it holds too few rows.
fn absent(good: &[Good], jobs: &[PathBuf]) -> (Vec<String>, Vec<String>) {
    let manifests: Vec<Value> = jobs
        .iter()
        .map(|folder| fs::read(folder.join("report/manifest.json")).unwrap_or_default())
        .map(|text| serde_json::from_slice(&text).unwrap_or_default())
        .collect();
    let inputs: Vec<BTreeMap<&str, &Value>> = manifests
        .iter()
        .map(|manifest| {
            let list = manifest["inputs"].as_array().into_iter().flatten();
            list.filter_map(|input| Some((input["path"].as_str()?, input))).collect()
        })
        .collect();
    let (mut missing, mut short) = (Vec::new(), Vec::new());
    for one in good {
        match inputs[one.job].get(one.path.as_str()) {
            Some(input) if input["sha256"] == one.sha256.as_str() => {
                let rows = input["outcome"]["rows"].as_u64();
                let is_copy = input["outcome"]["kind"] == "same_as";
                if !is_copy && rows != Some(one.rows) {
                    short.push(format!("job {:02}, {}: {rows:?} of {} rows", one.job, one.path, one.rows));
                }
            }
            _ => missing.push(format!("job {:02}, {}", one.job, one.path)),
        }
    }
    (missing, short)
}

/// Changes one file of one job after the other to and fro, so that the folders keep their size. Returns the memory
/// held after each report, MiB.
fn steady(watch: &mut Watch, jobs: &[PathBuf], plan: &Plan) -> Vec<f64> {
    let mut samples = Vec::new();
    for round in 0..plan.steady_reports {
        let folder = &jobs[round % jobs.len()];
        let before = watch.told_reports().len();
        // The jobs were made with the first state.
        drops::write_changing(folder, (round / jobs.len() + 1) % 2);
        watch.wait_for(before + 1, Duration::from_secs(plan.longest_s));
        samples.extend(memory::held_mib(watch.id()));
    }
    samples
}

/// Files of a job's report that a run without a cache makes otherwise.
fn differing(program: &Path, folder: &Path, root: &Path) -> Vec<String> {
    let kept = root.join("watched");
    let _ = fs::remove_dir_all(&kept);
    fs::rename(folder.join("report"), &kept).expect("a report is there");
    let made = Command::new(program).args(["report", "--no-cache"]).arg(folder).output().expect("the program starts");
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let files = |folder: &Path| tree(folder).expect("a report that can be read");
    let (watched, fresh) = (files(&kept), files(&folder.join("report")));
    let paths = watched.keys().chain(fresh.keys()).filter(|path| watched.get(*path) != fresh.get(*path));
    paths.map(|path| format!("{}: {path}", folder.display())).collect()
}
