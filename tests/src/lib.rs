//! What the whole-program cases share: reading and judging a job folder as the program does, and how right its answers
//! are about houses of which everything is known, and what happens when things go wrong.

pub mod faults;
pub mod ground_truth;
pub mod many_jobs;
pub mod soak;

use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use grainfall_analysis::Settings;
use grainfall_analysis::evidence::Analysis;
use grainfall_ingest::{IngestError, Reading};
use grainfall_job::Job;
use grainfall_record::{Ledger, TidyFrame};

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
    let job = grainfall_job::load(folder).unwrap_or_else(|error| panic!("{error}"));
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

/// Where the program lies when it was built beside the running one; `None` where that has no place.
#[must_use]
pub fn program() -> Option<PathBuf> {
    let here = std::env::current_exe().ok()?;
    let beside = here.parent()?.join("grainfall").with_extension(std::env::consts::EXE_EXTENSION);
    Some(beside)
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
