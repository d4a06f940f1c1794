//! Many jobs: one page, one list for programs, and the samples as a Parquet set by job and day.
//!
//! [`Jobs`] is what there is to say; [`page::page`] sets it as one HTML file that needs no network and no script,
//! [`json`] writes it for programs, [`samples::by_day`] makes the files of one job in the Parquet set.

pub mod page;
pub mod samples;

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::GoalVerdict;
use grainfall_analysis::needs::{JobLine, Need, NeedKind};
use serde::Serialize;

use crate::Error;
use crate::summary::{Tool, pretty};
use crate::words::Words;

/// All jobs below a folder.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Jobs {
    /// Always `grainfall-jobs`.
    pub schema: &'static str,
    /// Version of this document's form.
    pub schema_version: u32,
    /// What wrote it.
    pub tool: Tool,
    /// Name of the folder.
    pub folder: String,
    /// The instant whose day counts as today: the latest clock of any job; `None` when none could be read.
    pub now: Option<DateTime<Utc>>,
    /// The jobs, the most pressing first, then by path.
    pub jobs: Vec<Job>,
}

/// One of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Job {
    /// Path below the folder, `/` between folders; `.` for the folder itself.
    pub path: String,
    /// The same as a relative address, percent-encoded.
    pub href: String,
    /// Whether its `report/report.html` is there.
    pub has_report: bool,
    /// What became of it.
    #[serde(flatten)]
    pub outcome: JobOutcome,
    /// What needs a person, the most pressing first.
    pub needs: Vec<Need>,
}

/// What became of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "outcome", rename_all = "snake_case")]
pub enum JobOutcome {
    /// It was judged.
    Judged(JobLine),
    /// It could not be read.
    NotRead {
        /// Why.
        reason: String,
    },
}

impl Job {
    /// What its record shows; `None` when it could not be read.
    #[must_use]
    pub fn line(&self) -> Option<&JobLine> {
        match &self.outcome {
            JobOutcome::Judged(line) => Some(line),
            JobOutcome::NotRead { .. } => None,
        }
    }
}

impl Jobs {
    /// Jobs with their needs in words, sorted.
    #[must_use]
    pub fn new(words: Words, folder: String, mut jobs: Vec<Job>) -> Self {
        let now = jobs.iter().filter_map(Job::line).map(|line| line.clock).max();
        for job in &mut jobs {
            job.needs = match (&job.outcome, now) {
                (JobOutcome::Judged(line), Some(now)) => line.needs(words, now),
                (JobOutcome::Judged(_), None) => Vec::new(),
                (JobOutcome::NotRead { reason }, _) => vec![Need { kind: NeedKind::NotRead, text: brief(reason) }],
            };
        }
        jobs.sort_by(|a, b| (pressing(a), &a.path).cmp(&(pressing(b), &b.path)));
        Self { schema: "grainfall-jobs", schema_version: 1, tool: Tool::THIS, folder, now, jobs }
    }

    /// The verdict over all jobs: `not met` if any is, else `not shown` if any is or could not be read, else `met`;
    /// `None` when none could be read.
    #[must_use]
    pub fn verdict(&self) -> Option<GoalVerdict> {
        let verdicts = || self.jobs.iter().filter_map(Job::line).map(|line| line.verdict);
        verdicts().next()?;
        Some(if verdicts().any(|verdict| verdict == GoalVerdict::NotMet) {
            GoalVerdict::NotMet
        } else if self.failed() > 0 || verdicts().any(|verdict| verdict == GoalVerdict::NotShown) {
            GoalVerdict::NotShown
        } else {
            GoalVerdict::Met
        })
    }

    /// Jobs that could not be read.
    #[must_use]
    pub fn failed(&self) -> usize {
        self.jobs.iter().filter(|job| job.line().is_none()).count()
    }

    /// Jobs that need a person.
    #[must_use]
    pub fn needing(&self) -> usize {
        self.jobs.iter().filter(|job| !job.needs.is_empty()).count()
    }
}

/// A reason of many lines by its first one.
#[must_use]
pub fn brief(reason: &str) -> String {
    match reason.trim().split_once('\n') {
        None => reason.trim().to_owned(),
        Some((first, rest)) => match rest.lines().count() {
            1 => format!("{first} (and 1 line more)"),
            lines => format!("{first} (and {lines} lines more)"),
        },
    }
}

/// The most pressing need and the number of needs; jobs without any last.
fn pressing(job: &Job) -> (usize, std::cmp::Reverse<usize>) {
    let first = job.needs.first().and_then(|need| NeedKind::ALL.iter().position(|kind| *kind == need.kind));
    (first.unwrap_or(NeedKind::ALL.len()), std::cmp::Reverse(job.needs.len()))
}

/// The list for programs.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn json(jobs: &Jobs) -> Result<Vec<u8>, Error> {
    pretty("jobs.json", jobs)
}
