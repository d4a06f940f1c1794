//! What happens when things go wrong: the program killed, writes that fail, inputs damaged. Each run is a run of the
//! built program on a job folder; what must hold afterwards is checked against hashes taken before.

#![allow(clippy::disallowed_types, reason = "the suite runs the program")]

mod damaged;
mod failing_writes;
mod killed;
mod watch_failing;
mod watch_killed;

pub use damaged::{Damage, damaged};
pub use failing_writes::{file_size_limit, small_file_system};
pub use killed::killed;
pub use watch_failing::watch_failing;
pub use watch_killed::watch_killed;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Output, Stdio};
use std::time::{Duration, Instant};

use grainfall_simulate::{Made, scenarios};

use crate::tree::{Tree, tree};

/// A run that takes longer than this hangs.
const LONGEST: Duration = Duration::from_secs(120);

/// What many runs came to.
#[derive(Debug, Default)]
pub struct Tally {
    /// What was done.
    pub title: String,
    /// Runs.
    pub runs: u32,
    /// Runs by what was found after them.
    pub outcomes: BTreeMap<String, u32>,
    /// What must not be, each with what was found.
    pub faults: Vec<String>,
    /// Why nothing could be run, if so.
    pub skipped: Option<String>,
}

impl Tally {
    fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), ..Self::default() }
    }

    fn skipped(title: impl Into<String>, why: impl Into<String>) -> Self {
        Self { skipped: Some(why.into()), ..Self::new(title) }
    }

    fn count(&mut self, outcome: impl Into<String>) {
        *self.outcomes.entry(outcome.into()).or_default() += 1;
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(why) = &self.skipped {
            return writeln!(f, "{}: skipped: {why}", self.title);
        }
        writeln!(f, "{}: {} runs, {} faults", self.title, self.runs, self.faults.len())?;
        for (outcome, count) in &self.outcomes {
            writeln!(f, "  {count:>6}  {outcome}")?;
        }
        for fault in self.faults.iter().take(20) {
            writeln!(f, "  FAULT   {fault}")?;
        }
        Ok(())
    }
}

/// The built program and a place for job folders.
#[derive(Debug)]
pub struct Bench {
    program: PathBuf,
    work: tempfile::TempDir,
}

impl Bench {
    /// With the program named, else with one built as this one was.
    ///
    /// # Errors
    /// When it cannot be built.
    pub fn new(program: Option<PathBuf>) -> io::Result<Self> {
        Ok(Self { program: crate::program(program)?, work: tempfile::tempdir()? })
    }

    /// A new job folder: an invented house.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn job(&self, name: &str) -> io::Result<PathBuf> {
        let folder = self.work.path().join(name);
        write_house(&folder, 1)?;
        Ok(folder)
    }

    fn command(&self, arguments: &[&str], folder: &Path) -> Command {
        let mut command = Command::new(&self.program);
        command.args(arguments).arg(folder).env("GRAINFALL_CACHE", self.work.path().join("cache"));
        command
    }

    fn run(&self, arguments: &[&str], folder: &Path) -> io::Result<Run> {
        finish(&mut self.command(arguments, folder))
    }
}

/// Writes an invented house as a job folder.
fn write_house(folder: &Path, seed: u64) -> io::Result<()> {
    let made = scenarios::clean(seed).and_then(Made::from_scenario).map_err(io::Error::other)?;
    let scenario = made.simulation.scenario();
    grainfall_simulate::export::write_job(scenario, &made.record, folder).map_err(io::Error::other)
}

/// How one run ended.
struct Run {
    status: ExitStatus,
    stderr: String,
    hung: bool,
}

impl Run {
    /// What is wrong with the way it ended, whatever it was asked.
    fn fault(&self) -> Option<String> {
        let said = self.stderr.trim();
        if self.hung {
            return Some("did not end".to_owned());
        }
        if self.stderr.contains("panicked at") || self.status.code() == Some(101) {
            return Some(format!("panicked: {said}"));
        }
        match self.status.code() {
            None => Some(format!("ended by {}", self.status)),
            Some(0 | 1 | 3) => None,
            Some(2) if said.starts_with("error: ") && said.len() > 20 => None,
            Some(2) => Some(format!("failed without saying why: `{said}`")),
            Some(code) => Some(format!("exit code {code}, which no command has: `{said}`")),
        }
    }
}

/// Runs to the end, or kills what does not end.
fn finish(command: &mut Command) -> io::Result<Run> {
    let mut child = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn()?;
    let begun = Instant::now();
    let mut hung = false;
    // What a failing run says fits a pipe; what does not would make it hang, which is told.
    while child.try_wait()?.is_none() {
        if begun.elapsed() > LONGEST {
            hung = true;
            child.kill()?;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
    let Output { status, stderr, .. } = child.wait_with_output()?;
    Ok(Run { status, stderr: String::from_utf8_lossy(&stderr).into_owned(), hung })
}

/// What lies in a job folder beside its report and what a report leaves while it is made.
fn inputs(folder: &Path) -> io::Result<Tree> {
    let mut tree = tree(folder)?;
    tree.retain(|path, _| !path.starts_with("report/") && !path.starts_with('.'));
    Ok(tree)
}

/// The two reports that a job can have here.
struct Reports {
    /// Name and files of each.
    two: [(&'static str, Tree); 2],
    /// How long one takes: the shorter time of both, since a busy machine only adds to it.
    time: Duration,
    /// Bytes of the second, and of its largest file.
    bytes: u64,
    largest: u64,
}

impl Reports {
    /// One in US and one in SI units; the folder then has the latter.
    fn in_units(bench: &Bench, job: &Path) -> io::Result<Self> {
        Self::make(&job.join("report"), ["us", "si"], |units| bench.run(&["report", "--units", units], job))
    }

    /// Makes both by name; the folder then has the second.
    fn make(
        report: &Path,
        names: [&'static str; 2],
        mut make: impl FnMut(&'static str) -> io::Result<Run>,
    ) -> io::Result<Self> {
        let mut time = Duration::MAX;
        let mut made = |name| -> io::Result<(&'static str, Tree)> {
            let begun = Instant::now();
            let run = make(name)?;
            time = time.min(begun.elapsed());
            if run.status.code() != Some(0) {
                return Err(io::Error::other(format!("no report to begin with: {}", run.stderr)));
            }
            Ok((name, tree(report)?))
        };
        let two = [made(names[0])?, made(names[1])?];
        let sizes: Vec<u64> =
            two[1].1.keys().map(|path| Ok(fs::metadata(report.join(path))?.len())).collect::<io::Result<_>>()?;
        let (bytes, largest) = (sizes.iter().sum(), sizes.iter().copied().max().unwrap_or(0));
        if two[0].1 == two[1].1 {
            return Err(io::Error::other("both reports are the same, so that old and new cannot be told"));
        }
        Ok(Self { two, time, bytes, largest })
    }

    /// Name of the one that is not this.
    fn other(&self, name: &str) -> &'static str {
        if self.two[0].0 == name { self.two[1].0 } else { self.two[0].0 }
    }

    /// Which of the two a folder has; `None` when neither.
    fn which(&self, report: &Path) -> io::Result<Option<&'static str>> {
        let found = tree(report)?;
        Ok(self.two.iter().find(|(_, files)| *files == found).map(|(name, _)| *name))
    }
}

/// What is wrong with a report by its own manifest.
fn torn(files: &Tree, report: &Path) -> io::Result<Option<String>> {
    let manifest: serde_json::Value = serde_json::from_slice(&fs::read(report.join("manifest.json"))?)?;
    let listed = manifest["outputs"].as_object().cloned().unwrap_or_default();
    let wrong = listed.iter().find(|(path, hash)| files.get(*path).map(String::as_str) != hash.as_str());
    Ok(match wrong {
        Some((path, _)) => Some(format!("`{path}` is not the file its manifest lists")),
        None if listed.len() + 1 != files.len() => Some("the report holds files its manifest does not list".to_owned()),
        None => None,
    })
}

/// Folders in which reports are being made, as they appear.
struct Writing<'a> {
    job: &'a Path,
    seen: BTreeSet<String>,
}

impl<'a> Writing<'a> {
    /// What is there now counts as seen: killed runs leave theirs.
    fn of(job: &'a Path) -> io::Result<Self> {
        Ok(Self { job, seen: left_beside(job)?.into_iter().collect() })
    }

    /// Waits until another one is there, no longer than asked.
    fn wait_for_next(&mut self, longest: Duration) -> io::Result<()> {
        let begun = Instant::now();
        while begun.elapsed() < longest {
            if let Some(name) = left_beside(self.job)?.into_iter().find(|name| !self.seen.contains(name)) {
                self.seen.insert(name);
                return Ok(());
            }
            std::thread::sleep(Duration::from_micros(300));
        }
        Ok(())
    }
}

/// Names beside the report that are none of the job's.
fn left_beside(folder: &Path) -> io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder)? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if name.starts_with(".report-") {
            names.push(name);
        }
    }
    Ok(names)
}
