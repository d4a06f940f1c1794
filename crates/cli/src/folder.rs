//! Reading a job folder: its own files, its exports, and from both the evidence.

use std::ffi::OsStr;
use std::fmt::Write as _;
use std::path::{Component, Path};

use anyhow::{Context, Result, bail};
use chrono::{DateTime, NaiveDateTime, TimeZone, Utc};
use chrono_tz::Tz;
use grainfall_analysis::Settings;
use grainfall_analysis::evidence::Analysis;
use grainfall_ingest::{IngestError, Reading};
use grainfall_job::Job;
use grainfall_keep::Store;
use grainfall_record::{Ledger, Outcome, TidyFrame};
use grainfall_report::manifest::sha256;
use grainfall_report::{JobFile, RenderInput};

use crate::args::Style;
use crate::commands::report::REPORT;
use crate::jobs_below::{Found, Sign, jobs_below};
use crate::progress::Progress;
use crate::terminal;

/// Jobs below a folder that are named where one was to be given; the rest is counted.
const NAMED: usize = 4;

/// A job folder read and judged.
pub struct Judged {
    pub job: Job,
    pub job_files: Vec<JobFile>,
    pub reading: Reading,
    pub analysis: Analysis,
    pub as_of: Option<DateTime<Utc>>,
}

impl Judged {
    /// What a report is made from.
    pub fn render_input<'a>(&'a self, settings: &'a grainfall_report::Settings) -> RenderInput<'a> {
        RenderInput {
            analysis: &self.analysis,
            frame: &self.reading.frame,
            ledger: &self.reading.ledger,
            job_files: &self.job_files,
            settings,
        }
    }
}

/// Reads the job's own files and its exports, but for those that `store` knows.
pub fn read(folder: &Path, store: &Store, progress: &Progress) -> Result<(Job, Vec<JobFile>, Reading)> {
    check_is_folder(folder)?;
    check_is_one_job(folder)?;
    progress.say("reading the job".to_owned());
    let (job, job_files) = job(folder)?;
    progress.say("reading exports".to_owned());
    let read = grainfall_ingest::read_folder_again(folder, &job.reading_hints(), store, &|step| {
        if let grainfall_ingest::Progress::Read { path, done, files } = step {
            progress.say(format!("reading exports: {done} of {files}, {path}"));
        }
    });
    let reading = match read {
        // Readings by hand are a record too: a folder of the job's own files alone is judged by them.
        Err(IngestError::Empty { .. }) if !job.files.is_empty() => {
            Reading { frame: TidyFrame::default(), ledger: Ledger::default() }
        }
        other => other?,
    };
    Ok((job, job_files, reading))
}

/// The job with the hashes of the files it was read from.
fn job(folder: &Path) -> Result<(Job, Vec<JobFile>)> {
    let (job, texts) = grainfall_job::load_with_texts(folder)?;
    let hashed =
        |(path, text): (String, String)| JobFile { path, sha256: sha256(text.as_bytes()), bytes: text.len() as u64 };
    Ok((job, texts.into_iter().map(hashed).collect()))
}

/// Refuses what is no folder.
pub fn check_is_folder(folder: &Path) -> Result<()> {
    if !folder.is_dir() {
        bail!("`{}` is not a folder; give the folder that holds the job's exports", folder.display());
    }
    Ok(())
}

/// Refuses a folder of jobs: their exports and reports would be judged as one.
fn check_is_one_job(folder: &Path) -> Result<()> {
    let found = jobs_below(folder).unwrap_or_default();
    let is_below = |one: &&Found| matches!(one.sign, Sign::JobToml) && !one.path.as_os_str().is_empty();
    let below: Vec<String> =
        found.iter().filter(is_below).map(|one| format!("`{}`", terminal::inert(&shown(&one.path)))).collect();
    if below.is_empty() {
        return Ok(());
    }
    let named = below.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    let more = below.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    bail!(
        "`{0}` has no job.toml and jobs below it: {named}{more}; give one of them, or show all with `grainfall jobs {0}`",
        folder.display()
    );
}

/// Reads and judges.
///
/// # Arguments
/// * `style`: how what is said of the record is written.
pub fn judge(folder: &Path, as_of: Option<&str>, style: Style, store: &Store, progress: &Progress) -> Result<Judged> {
    let mut read = progress.timings.of("reading", || read(folder, store, progress))?;
    written(&mut read.0, style);
    let as_of = as_of.map(|text| parse_time(text, read.0.zone.tz)).transpose()?;
    analyse(folder, read, Settings { as_of, folder: folder_name(folder) }, progress)
}

/// Chooses how what is said of a job is written.
fn written(job: &mut Job, style: Style) {
    job.zone.dates = style.dates;
    job.zone.words = style.words;
}

/// Reads everything anew and judges with the settings of an earlier report.
pub fn judge_with(folder: &Path, settings: Settings, style: Style, progress: &Progress) -> Result<Judged> {
    let mut read = read(folder, &Store::none(), progress)?;
    written(&mut read.0, style);
    analyse(folder, read, settings, progress)
}

fn analyse(
    folder: &Path,
    (job, job_files, reading): (Job, Vec<JobFile>, Reading),
    settings: Settings,
    progress: &Progress,
) -> Result<Judged> {
    progress.say("judging".to_owned());
    let analyse = || grainfall_analysis::analyse(&job, &reading.frame, &reading.ledger, &settings);
    let analysis = match progress.timings.of("judging", analyse) {
        Err(grainfall_analysis::Error::NothingRecorded) => bail!(nothing_recorded(folder, &reading)),
        other => other.with_context(|| format!("folder `{}`", folder.display()))?,
    };
    Ok(Judged { job, job_files, reading, analysis, as_of: settings.as_of })
}

/// Why there is nothing to judge: every file with what became of it.
fn nothing_recorded(folder: &Path, reading: &Reading) -> String {
    let mut text = format!("folder `{}` holds nothing to judge", folder.display());
    for input in &reading.ledger.inputs {
        match &input.outcome {
            Outcome::Refused { reason, remedy } => {
                let _ = write!(text, "\n  {}: not read: {reason}\n    to do: {remedy}", input.path);
            }
            Outcome::NotALog { reason } => {
                let _ = write!(text, "\n  {}: not an interval log: {reason}", input.path);
            }
            Outcome::Read { .. } | Outcome::SameAs { .. } => {}
        }
    }
    if reading.ledger.inputs.is_empty() {
        text.push_str("\n  it is empty");
    }
    text.push_str(
        "\nput logger exports into it (text with a column of times and columns of temperature and humidity, at any \
         depth), or readings.csv with job.toml",
    );
    text
}

/// A path as text, `/` between folders. Bytes that are none are written out, so that two paths stay two.
pub fn shown(path: &Path) -> String {
    let text = grainfall_ingest::shown(path.as_os_str());
    if cfg!(windows) { text.replace('\\', "/") } else { text }
}

/// The folder's own name, also for `.`.
pub fn folder_name(folder: &Path) -> String {
    let absolute = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    absolute.file_name().map_or_else(String::new, grainfall_ingest::shown)
}

/// A time as a person writes it: with an offset, else local to the job's zone.
fn parse_time(text: &str, tz: Tz) -> Result<DateTime<Utc>> {
    if let Ok(time) = DateTime::parse_from_rfc3339(&text.replacen(' ', "T", 1)) {
        return Ok(time.with_timezone(&Utc));
    }
    let forms = ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"];
    let Some(local) = forms.iter().find_map(|form| NaiveDateTime::parse_from_str(text, form).ok()) else {
        bail!("`--as-of {text}` is no time; write `2025-10-09 12:00` (in {tz}) or `2025-10-09T12:00:00-05:00`");
    };
    match tz.from_local_datetime(&local) {
        chrono::LocalResult::Single(time) => Ok(time.with_timezone(&Utc)),
        chrono::LocalResult::Ambiguous(first, second) => bail!(
            "`--as-of {text}` comes twice in {tz}; write it with its offset: `{}` or `{}`",
            first.to_rfc3339(),
            second.to_rfc3339()
        ),
        chrono::LocalResult::None => bail!("`--as-of {text}` does not exist in {tz}: clocks skip it"),
    }
}

/// Whether a report could rest on a path within a job folder: not what this program writes, nor dot-files.
pub fn is_input(within: &Path) -> bool {
    let mut parts = within.components();
    let first = parts.clone().next();
    first != Some(Component::Normal(OsStr::new(REPORT)))
        && parts.all(|part| !part.as_os_str().as_encoded_bytes().starts_with(b"."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outputs_and_dot_files_are_no_inputs() {
        for path in ["a.csv", "loggers/report/a.csv", "reports/a.csv", "report.csv", "loggers/a..b.csv"] {
            assert!(is_input(Path::new(path)), "{path}");
        }
        for path in ["report", "report/a.csv", ".a.csv", "loggers/.a.csv", ".git/a.csv", ".report-new-x/a.csv"] {
            assert!(!is_input(Path::new(path)), "{path}");
        }
    }

    #[test]
    fn times_are_local_unless_they_carry_an_offset() {
        let tz = chrono_tz::America::Chicago;
        let noon = parse_time("2025-10-09 12:00", tz).unwrap();
        assert_eq!(noon.to_rfc3339(), "2025-10-09T17:00:00+00:00");
        assert_eq!(parse_time("2025-10-09T12:00:00-05:00", tz).unwrap(), noon);
        assert!(parse_time("2025-11-02 01:30", tz).unwrap_err().to_string().contains("comes twice"));
        assert!(parse_time("2025-03-09 02:30", tz).unwrap_err().to_string().contains("does not exist"));
        assert!(parse_time("yesterday", tz).unwrap_err().to_string().contains("is no time"));
    }
}
