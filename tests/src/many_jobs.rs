//! Many generated jobs in one folder, some of them broken, listed by the built program: is every one of them accounted
//! for, how fast, and in how much memory.

#![allow(clippy::disallowed_types, reason = "the suite runs the program")]

use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::io;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use grainfall_simulate::{Made, export, scenarios};

use crate::memory;
use crate::parallel::side_by_side;

/// One job in this many is broken.
const BROKEN_EVERY: u64 = 50;

/// One run of `jobs`.
#[derive(Debug)]
pub struct Listing {
    /// Jobs there are.
    pub jobs: usize,
    /// Jobs the list names.
    pub listed: usize,
    /// Broken jobs there are.
    pub broken: usize,
    /// Whether the list names exactly these as not read, each with a reason.
    pub broken_told: bool,
    /// How long it took.
    pub time: Duration,
    /// Peak of resident memory, MiB; `None` where the system does not tell.
    pub peak_mib: Option<f64>,
    /// Exit code.
    pub code: Option<i32>,
}

impl Listing {
    /// Whether every job is accounted for.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.listed == self.jobs && self.broken_told && matches!(self.code, Some(0 | 1 | 3))
    }
}

impl fmt::Display for Listing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seconds = self.time.as_secs_f64();
        write!(
            f,
            "{} of {} jobs listed, {} broken ones {}, exit code {:?}; {seconds:.1} s, {:.0} jobs a minute, peak memory {}",
            self.listed,
            self.jobs,
            self.broken,
            if self.broken_told { "each told with its reason" } else { "NOT told as they should be" },
            self.code,
            self.jobs as f64 / seconds * 60.0,
            self.peak_mib.map_or_else(|| "not known".to_owned(), |mib| format!("{mib:.0} MiB"))
        )
    }
}

/// Writes `jobs` generated houses as job folders below `folder`, several at a time. Gives the names of the broken ones.
///
/// # Errors
/// When one cannot be written.
pub fn generate(folder: &Path, jobs: u64) -> io::Result<BTreeSet<String>> {
    side_by_side(jobs, |_| Ok(()), |(), at| write_one(folder, at))?;
    Ok((0..jobs).filter(|at| is_broken(*at)).map(name).collect())
}

fn name(at: u64) -> String {
    format!("{}/job-{at:04}", at % 10)
}

fn is_broken(at: u64) -> bool {
    at % BROKEN_EVERY == BROKEN_EVERY - 1
}

fn write_one(folder: &Path, at: u64) -> io::Result<()> {
    let place = folder.join(name(at));
    if place.join("job.toml").exists() {
        return Ok(());
    }
    let suite = scenarios::SUITE[usize::try_from(at).unwrap_or(0) % scenarios::SUITE.len()];
    let made = (suite.make)(at).and_then(Made::from_scenario).map_err(io::Error::other)?;
    export::write_job(made.simulation.scenario(), &made.record, &place).map_err(io::Error::other)?;
    if is_broken(at) {
        fs::write(place.join("job.toml"), "[job]\ntitle = \"no end\n")?;
    }
    Ok(())
}

/// Runs `jobs` on a folder of `jobs` jobs.
///
/// # Errors
/// When the program cannot be run or its list cannot be read.
pub fn list(program: &Path, folder: &Path, jobs: usize, broken: &BTreeSet<String>) -> io::Result<Listing> {
    let begun = Instant::now();
    let mut child =
        Command::new(program).arg("jobs").arg(folder).stdout(Stdio::null()).stderr(Stdio::null()).spawn()?;
    let mut peak_mib = None;
    let ended = loop {
        peak_mib = memory::peak_mib(child.id()).or(peak_mib);
        if let Some(ended) = child.try_wait()? {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(20));
    };
    let time = begun.elapsed();
    let text = fs::read(folder.join("report/jobs.json"))?;
    let list: serde_json::Value = serde_json::from_slice(&text)?;
    let entries = list["jobs"].as_array().cloned().unwrap_or_default();
    let told: BTreeSet<String> = entries
        .iter()
        .filter(|job| job["outcome"] == "not_read" && job["reason"].as_str().is_some_and(|text| !text.is_empty()))
        .filter_map(|job| Some(job["path"].as_str()?.to_owned()))
        .collect();
    Ok(Listing {
        jobs,
        listed: entries.len(),
        broken: broken.len(),
        broken_told: told == *broken,
        time,
        peak_mib,
        code: ended.code(),
    })
}
