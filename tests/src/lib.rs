//! What the whole-program cases share: reading and judging a job folder as the program does, and how right its answers
//! are about houses of which everything is known, and what happens when things go wrong.

pub mod claims;
pub mod faults;
pub mod ground_truth;
pub mod many_jobs;
pub mod memory;
pub mod rights;
pub mod soak;
pub mod tree;
pub mod watch;

mod parallel;

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use chrono::{DateTime, Utc};
use grainfall_analysis::Settings;
use grainfall_analysis::evidence::Analysis;
use grainfall_ingest::{IngestError, Reading};
use grainfall_job::Job;
use grainfall_record::{Ledger, TidyFrame};
use grainfall_words::Words;

/// A job folder, read and judged.
pub struct Judged {
    /// The job's own files.
    pub job: Job,
    /// Samples and ledger.
    pub reading: Reading,
    /// The evidence.
    pub analysis: Analysis,
}

/// Reads and judges a folder as `grainfall check` does.
///
/// # Panics
/// When the folder cannot be read or judged: in a test that is the failure.
#[must_use]
pub fn judge(folder: &Path, as_of: Option<DateTime<Utc>>) -> Judged {
    judge_in(folder, as_of, Words::default())
}

/// The same, told in a language.
///
/// # Panics
/// When the folder cannot be read or judged: in a test that is the failure.
#[must_use]
pub fn judge_in(folder: &Path, as_of: Option<DateTime<Utc>>, words: Words) -> Judged {
    let mut job = grainfall_job::load(folder).unwrap_or_else(|error| panic!("{error}"));
    job.zone.words = words;
    let reading = match grainfall_ingest::read_folder(folder, &job.reading_hints(), &|_| {}) {
        // Readings by hand are a record too.
        Err(IngestError::Empty { .. }) => Reading { frame: TidyFrame::default(), ledger: Ledger::default() },
        other => other.unwrap_or_else(|error| panic!("{error}")),
    };
    let settings = Settings { as_of, folder: "test".to_owned() };
    let analysis = grainfall_analysis::analyse(&job, &reading.frame, &reading.ledger, &settings)
        .unwrap_or_else(|error| panic!("{error}"));
    Judged { job, reading, analysis }
}

/// The program named, else one built as the running one was: its place.
///
/// # Errors
/// When it cannot be built.
#[allow(clippy::disallowed_types, reason = "it runs the builder")]
pub fn program(named: Option<PathBuf>) -> io::Result<PathBuf> {
    if let Some(named) = named {
        return Ok(named);
    }
    let own = std::env::current_exe()?;
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let built = std::process::Command::new(cargo)
        .args(["build", "--release", "--quiet", "-p", "grainfall-cli"])
        .current_dir(root())
        .status()?;
    let name = Path::new("grainfall").with_extension(std::env::consts::EXE_EXTENSION);
    // A test's executable lies in `deps`, a level below the program.
    let program = own.ancestors().skip(1).map(|folder| folder.join(&name)).find(|path| path.is_file());
    program
        .filter(|_| built.success())
        .ok_or_else(|| io::Error::other("`cargo build --release -p grainfall-cli` gave no program"))
}

/// Prints a text, and gives the exit code of a program that ends with it.
#[allow(clippy::must_use_candidate, reason = "it prints")]
pub fn told(text: &str, code: u8) -> ExitCode {
    // Nothing is left to do when the output is closed.
    let _ = io::stdout().write_all(text.as_bytes());
    ExitCode::from(code)
}

/// The root of the repository.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A real log that lies beside the repository, or `None` with a message when it is not there.
#[must_use]
#[allow(clippy::print_stderr)] // A skipped test says so.
pub fn open_log(name: &str) -> Option<PathBuf> {
    let path = root().join("../shared/data").join(name);
    if path.is_file() {
        return Some(path);
    }
    eprintln!("skipped: {} is not there", path.display());
    None
}
