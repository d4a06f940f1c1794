//! `watch` killed at random moments of a running refresh.

use std::ffi::OsStr;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use grainfall_report::manifest::{MANIFEST, SUMMARY};
use grainfall_simulate::rng::Rng;

use super::{Bench, LONGEST, Reports, Tally, Writing, inputs, left_beside, torn, write_house};
use crate::tree::{Tree, tree};
use crate::watch::Watch;

/// Rest before a folder is read, s.
pub(super) const SETTLE_S: &str = "0.1";

/// States of the job: with and without one of its exports.
pub(super) const STATES: [&str; 2] = ["without", "with"];

/// Kills a watch `times` times after an export was dropped in or taken out: at any moment, while the fresh summary is
/// put in place, and while the rest is. Looks at what is there.
///
/// # Errors
/// When the runs themselves cannot be made.
pub fn watch_killed(bench: &Bench, times: u32, seed: u64) -> io::Result<Tally> {
    let place = bench.work.path().join("watched");
    let job = place.join("job");
    write_house(&job, 1)?;
    let report = job.join("report");
    let dropped = Dropped::of(&job, &place)?;
    let reports = Reports::make(&report, STATES, |state| {
        dropped.put(state)?;
        bench.run(&["report"], &job)
    })?;
    let cache = place.join("cache");
    let arguments = [OsStr::new("--settle"), OsStr::new(SETTLE_S), OsStr::new("--cache"), cache.as_os_str()];
    let start = || {
        let mut watch = Watch::start(&bench.program, &arguments, &job);
        watch.wait_until("watching", 1, LONGEST);
        watch
    };
    let mut rng = Rng::stream(seed, "watch killed");
    let mut tally = Tally::new("watch, killed by SIGKILL at a random moment of a refresh");
    let mut whole = STATES[1];
    for at in 0..times {
        let wanted = reports.other(whole);
        dropped.put(whole)?;
        let mut writing = Writing::of(&job)?;
        let watch = start();
        dropped.put(wanted)?;
        let given = inputs(&job)?;
        // The summary is written first, in a few milliseconds, then everything.
        let (parts, longest_s) = [(0, reports.time.as_secs_f64() * 2.0), (1, 0.010), (2, 0.200)][at as usize % 3];
        for _ in 0..parts {
            writing.wait_for_next(reports.time * 3)?;
        }
        std::thread::sleep(Duration::from_secs_f64(rng.between(0.0, longest_s)));
        let said = watch.kill()?;
        tally.runs += 1;
        if said.contains("panicked at") {
            tally.faults.push(format!("run {at}: panicked: {said}"));
        }
        if inputs(&job)? != given {
            tally.faults.push(format!("run {at}: an input changed"));
        }
        let found = tree(&report)?;
        if let Some(state) = reports.which(&report)? {
            tally.count(if state == wanted { "the new report" } else { "the old report" });
            whole = state;
        } else if is_summary_ahead(&report, &found, &reports)? {
            tally.count("the fresh summary, and the manifest says that the rest is of the report before");
        } else {
            let state = if report.exists() { "a torn report" } else { "no report" };
            tally.count(state);
            tally.faults.push(format!("run {at}: {state}; beside it {:?}", left_beside(&job)?));
        }
    }
    let wanted = reports.other(whole);
    dropped.put(wanted)?;
    let mut watch = start();
    watch.wait_for(1, LONGEST);
    let ended = watch.interrupt();
    if ended != Some(0) || reports.which(&report)? != Some(wanted) {
        tally.faults.push(format!("after all kills a watch did not bring the report up to date (exit code {ended:?})"));
    }
    let left = left_beside(&job)?;
    if !left.is_empty() {
        tally.faults.push(format!("after a whole refresh half-made folders are left beside the report: {left:?}"));
    }
    Ok(tally)
}

/// Whether the summary is that of one state and everything else that of one, with a manifest that lists just these
/// files and says which are behind.
pub(super) fn is_summary_ahead(report: &Path, found: &Tree, reports: &Reports) -> io::Result<bool> {
    let rest = |tree: &Tree| -> Tree {
        let others = tree.iter().filter(|(path, _)| ![SUMMARY, MANIFEST].contains(&path.as_str()));
        others.map(|(path, hash)| (path.clone(), hash.clone())).collect()
    };
    let is_one = |of: &dyn Fn(&Tree) -> bool| reports.two.iter().any(|(_, tree)| of(tree));
    if !is_one(&|tree| rest(tree) == rest(found)) || !is_one(&|tree| tree.get(SUMMARY) == found.get(SUMMARY)) {
        return Ok(false);
    }
    let manifest: serde_json::Value = serde_json::from_slice(&fs::read(report.join(MANIFEST))?)?;
    let behind = manifest["behind"].as_array().map_or(0, Vec::len);
    Ok(behind == found.len() - 2 && torn(found, report)?.is_none())
}

/// An export that comes and goes, each time by one rename.
pub(super) struct Dropped {
    within: PathBuf,
    aside: PathBuf,
}

impl Dropped {
    pub(super) fn of(job: &Path, place: &Path) -> io::Result<Self> {
        let export = inputs(job)?.into_keys().find(|path| path.contains('/') && path.ends_with(".csv"));
        let export = export.ok_or_else(|| io::Error::other("the house has no export"))?;
        Ok(Self { within: job.join(export), aside: place.join("aside.csv") })
    }

    pub(super) fn put(&self, state: &str) -> io::Result<()> {
        let (from, to) = if state == STATES[1] { (&self.aside, &self.within) } else { (&self.within, &self.aside) };
        if from.exists() { fs::rename(from, to) } else { Ok(()) }
    }
}
