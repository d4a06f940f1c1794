//! What happens when things go wrong: the program killed, writes that fail, inputs damaged. Each run is a run of the
//! built program on a job folder; what must hold afterwards is checked against hashes taken before.

#![allow(clippy::disallowed_types, reason = "the suite runs the program")]

mod damaged;
mod failing_writes;
mod killed;

pub use damaged::{Damage, damaged};
pub use failing_writes::{file_size_limit, small_file_system};
pub use killed::killed;

use std::collections::BTreeMap;
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
    /// Builds the program as this one was built.
    ///
    /// # Errors
    /// When it cannot be built.
    pub fn new() -> io::Result<Self> {
        Ok(Self { program: crate::program()?, work: tempfile::tempdir()? })
    }

    /// The program.
    #[must_use]
    pub fn program(&self) -> &Path {
        &self.program
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
        command.args(arguments).arg(folder);
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

/// The two reports that a job can have here: in US and in SI units.
struct Reports {
    us: Tree,
    si: Tree,
    /// How long one takes.
    time: Duration,
    /// Bytes of the larger one, and of its largest file.
    bytes: u64,
    largest: u64,
}

impl Reports {
    /// Makes both; the folder then has the one in SI units.
    fn make(bench: &Bench, job: &Path) -> io::Result<Self> {
        let report = job.join("report");
        let mut made = Vec::new();
        let mut time = Duration::ZERO;
        for units in ["us", "si"] {
            let begun = Instant::now();
            let run = bench.run(&["report", "--units", units], job)?;
            time = begun.elapsed();
            if run.status.code() != Some(0) {
                return Err(io::Error::other(format!("no report to begin with: {}", run.stderr)));
            }
            made.push(tree(&report)?);
        }
        let sizes: Vec<u64> =
            made[1].keys().map(|path| Ok(fs::metadata(report.join(path))?.len())).collect::<io::Result<_>>()?;
        let (bytes, largest) = (sizes.iter().sum(), sizes.iter().copied().max().unwrap_or(0));
        let si = made.pop().unwrap_or_default();
        let us = made.pop().unwrap_or_default();
        if us == si {
            return Err(io::Error::other("both reports are the same, so that old and new cannot be told"));
        }
        Ok(Self { us, si, time, bytes, largest })
    }

    /// Which of the two a folder has; `None` when neither.
    fn which(&self, report: &Path) -> io::Result<Option<&'static str>> {
        let found = tree(report)?;
        Ok(if found == self.us {
            Some("us")
        } else if found == self.si {
            Some("si")
        } else {
            None
        })
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
