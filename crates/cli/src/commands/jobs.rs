//! `jobs`: all jobs below a folder: what needs a person on the terminal and on one page, samples as one Parquet set.
//!
//! Each job is judged on its own and written as one folder of the set, whole or not at all; what is there already and
//! was made from the same bytes by the same program is not made again. So a run that was broken off goes on where it
//! stopped, and one job that fails does not stop the others.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write as _};
use std::num::NonZeroUsize;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use anyhow::{Context, Result, anyhow, bail};
use grainfall_analysis::needs::JobLine;
use grainfall_keep::Store;
use grainfall_report::jobs::{self, Job, JobOutcome, Jobs};
use grainfall_report::manifest::{MANIFEST, document, sha256};
use grainfall_report::{Outputs, UnitSystem, Workbook, remove_outputs, remove_unfinished, write_outputs};
use grainfall_words::Words;
use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use crate::args::JobsArgs;
use crate::commands::check;
use crate::commands::report::{self, REPORT};
use crate::exit_code::Outcome;
use crate::fingerprint::fingerprint;
use crate::folder::{self, Judged};
use crate::jobs_below::{Found, Sign, jobs_below};
use crate::kept::CODE;
use crate::progress::Progress;
use crate::terminal::{self, columns};
use crate::turn;

/// Folder of the Parquet set within the report folder.
const SAMPLES: &str = "samples";

/// What the name of list and page begins with while they are being written.
const UNFINISHED: &str = ".jobs-new-";

/// What was found of a job when it was last judged: `manifest.json` of its folder in the set.
#[derive(Serialize, Deserialize)]
struct Kept {
    schema: String,
    /// Hash of inputs, program and settings.
    made_from: String,
    /// Units of the job's own report, if it was written from the same.
    report: Option<UnitSystem>,
    line: JobLine,
    /// Files of the set, with their hashes.
    outputs: BTreeMap<String, String>,
}

const KEPT_SCHEMA: &str = "grainfall-job-samples";

/// What every job of one run shares.
struct Run<'a> {
    args: &'a JobsArgs,
    set: PathBuf,
}

/// Judges all jobs and writes list, page and set.
pub fn run(args: &JobsArgs) -> Result<Outcome> {
    if !args.folder.is_dir() {
        bail!("`{}` is not a folder; give the folder that holds the jobs", args.folder.display());
    }
    let found = jobs_below(&args.folder).with_context(|| format!("`{}` cannot be listed", args.folder.display()))?;
    if found.is_empty() {
        bail!(
            "no job lies below `{}`; a job is a folder with job.toml, or one with logger exports",
            args.folder.display()
        );
    }
    let target = args.folder.join(REPORT);
    let words = args.style.style().words;
    let run = Run { args, set: target.join(SAMPLES) };
    fs::create_dir_all(&run.set).with_context(|| format!("`{}` cannot be made", run.set.display()))?;
    let _turn = turn::wait(&args.folder)?;
    run.clear()?;
    let jobs = run.all(&found);
    run.remove_gone(&found)?;
    let jobs = Jobs::new(words, folder::folder_name(&args.folder), jobs);
    let list = jobs::json(&jobs)?;
    replace(&target, &[("jobs.json", &list), ("jobs.html", jobs::page::page(words, &jobs)?.as_bytes())])?;
    if args.json {
        terminal::print_bytes(&list)?;
    } else {
        terminal::print(text(&jobs).trim_end())?;
        terminal::print(&format!("\n{}", target.join("jobs.html").display()))?;
    }
    match jobs.verdict() {
        Some(verdict) => Ok(Outcome::Goals(verdict)),
        None => bail!("none of the {} jobs could be read", jobs.jobs.len()),
    }
}

impl Run<'_> {
    /// Removes what a run that was killed left unfinished.
    fn clear(&self) -> Result<()> {
        remove_unfinished(&self.set)?;
        let target = self.set.parent().unwrap_or(&self.set);
        let about = || format!("`{}` cannot be cleared of what was left unfinished", target.display());
        for entry in fs::read_dir(target).with_context(about)? {
            let entry = entry.with_context(about)?;
            if entry.file_name().as_encoded_bytes().starts_with(UNFINISHED.as_bytes()) {
                fs::remove_file(entry.path()).with_context(about)?;
            }
        }
        Ok(())
    }

    /// Every job, several at a time.
    fn all(&self, found: &[Found]) -> Vec<Job> {
        let progress = Progress::counting(found.len());
        let next = AtomicUsize::new(0);
        let take = || -> Vec<Job> {
            let mut own = Vec::new();
            while let Some(one) = found.get(next.fetch_add(1, Ordering::Relaxed)) {
                own.push(self.job(one));
                progress.done(folder::shown(&one.path));
            }
            own
        };
        // Plain threads: each has one job in hand, which bounds the memory. Within a job the work is shared further.
        let threads = std::thread::available_parallelism().map_or(1, NonZeroUsize::get).min(found.len());
        std::thread::scope(|scope| {
            let workers: Vec<_> = (0..threads).map(|_| scope.spawn(take)).collect();
            workers.into_iter().flat_map(|worker| worker.join().unwrap_or_default()).collect()
        })
    }

    /// One job; whatever goes wrong in it is said in its line.
    fn job(&self, found: &Found) -> Job {
        let line = match &found.sign {
            Sign::Closed(source) => Err(anyhow!("the folder cannot be opened: {source}; allow reading it")),
            Sign::JobToml | Sign::Exports => catch_unwind(AssertUnwindSafe(|| self.line(&found.path)))
                .unwrap_or_else(|_| Err(anyhow!("the program failed on it, which is a fault of the program"))),
        };
        let path = if found.path.as_os_str().is_empty() { ".".to_owned() } else { folder::shown(&found.path) };
        let report = self.args.folder.join(&found.path).join(REPORT).join("report.html");
        Job {
            path,
            href: encoded(&found.path, b"/-_.~"),
            has_report: report.is_file(),
            outcome: match line {
                Ok(line) => JobOutcome::Judged(line),
                Err(fault) => JobOutcome::NotRead { reason: format!("{fault:#}") },
            },
            needs: Vec::new(),
        }
    }

    fn line(&self, path: &Path) -> Result<JobLine> {
        let folder = self.args.folder.join(path);
        let place = self.set.join(self.set_name(path));
        // Taken before reading: a file that changes meanwhile makes the next run judge again.
        let as_of = self.args.as_of.as_deref().unwrap_or_default();
        let style = self.args.style.style();
        let dates = style.dates.to_string();
        let made_from = fingerprint(&folder, &[CODE, as_of, &dates, style.words.code()]).ok();
        if let Some(line) = made_from.as_deref().and_then(|made_from| self.kept(&folder, &place, made_from)) {
            return Ok(line);
        }
        match self.judge(&folder, &place, made_from.unwrap_or_default()) {
            Ok(line) => Ok(line),
            Err(fault) => {
                // Samples of an earlier state would stand for a job that is listed as not read.
                if kept(&place).is_some() {
                    let _ = remove_outputs(&place);
                }
                Err(fault)
            }
        }
    }

    /// The line kept from an earlier run, if it was made from the same and all its files are as they were written.
    fn kept(&self, folder: &Path, place: &Path, made_from: &str) -> Option<JobLine> {
        let kept = kept(place).filter(|kept| kept.made_from == made_from)?;
        let wanted = self.units_of_report();
        let report = wanted.is_none() || (kept.report == wanted && folder.join(REPORT).join(MANIFEST).is_file());
        let is_whole =
            |(path, hash): (&String, &String)| fs::read(place.join(path)).is_ok_and(|bytes| sha256(&bytes) == *hash);
        (report && kept.outputs.iter().all(is_whole)).then_some(kept.line)
    }

    /// Judges a job and writes its samples, and its report if asked for.
    fn judge(&self, folder: &Path, place: &Path, made_from: String) -> Result<JobLine> {
        let quiet = Progress::none();
        let judged =
            folder::judge(folder, self.args.as_of.as_deref(), self.args.style.style(), &Store::none(), &quiet)?;
        let units = self.units_of_report();
        if let Some(units) = units {
            // The folder of all jobs may be the only one; its turn is taken already.
            let _turn = (folder != self.args.folder.join("")).then(|| turn::wait(folder)).transpose()?;
            let outputs = report::outputs(&judged, units, Workbook::None, &Store::none(), &quiet)?;
            write_outputs(&folder.join(REPORT), &outputs)?;
        }
        grainfall_report::pdf::forget_earlier();
        let line = JobLine::of(&judged.analysis.evidence, check::refused_inputs(&judged) as u64);
        let outputs = set_files(&judged, &line, made_from, units)?;
        // A report of the very folder in which the set lies keeps its files, but no empty folders.
        fs::create_dir_all(&self.set).with_context(|| format!("`{}` cannot be made", self.set.display()))?;
        write_outputs(place, &outputs)?;
        Ok(line)
    }

    fn units_of_report(&self) -> Option<UnitSystem> {
        self.args.reports.then(|| self.args.units.into())
    }

    /// The folder of a job in the set: its path with all but plain letters percent-encoded, `/` too.
    fn set_name(&self, path: &Path) -> String {
        let name =
            if path.as_os_str().is_empty() { folder::folder_name(&self.args.folder).into() } else { path.to_owned() };
        format!("job={}", encoded(&name, b"-_.~"))
    }

    /// Removes from the set what an earlier run wrote for jobs that are no longer there.
    fn remove_gone(&self, found: &[Found]) -> Result<()> {
        let there: BTreeSet<String> = found.iter().map(|one| self.set_name(&one.path)).collect();
        let about = || format!("`{}` cannot be cleared of jobs that are gone", self.set.display());
        for entry in fs::read_dir(&self.set).with_context(about)? {
            let entry = entry.with_context(about)?;
            let gone = !there.contains(entry.file_name().to_string_lossy().as_ref());
            if gone && kept(&entry.path()).is_some() {
                remove_outputs(&entry.path()).with_context(about)?;
            }
        }
        Ok(())
    }
}

/// The files of one job in the set.
fn set_files(judged: &Judged, line: &JobLine, made_from: String, report: Option<UnitSystem>) -> Result<Outputs> {
    let days = jobs::samples::by_day(&judged.reading.frame, judged.job.zone.tz)?;
    let mut files: BTreeMap<String, Vec<u8>> =
        days.into_iter().map(|(day, bytes)| (format!("day={day}/samples.parquet"), bytes)).collect();
    let outputs = files.iter().map(|(path, bytes)| (path.clone(), sha256(bytes))).collect();
    let kept = Kept { schema: KEPT_SCHEMA.to_owned(), made_from, report, line: line.clone(), outputs };
    files.insert(MANIFEST.to_owned(), serde_json::to_vec_pretty(&kept)?);
    Ok(Outputs { files })
}

/// What an earlier run left in a folder of the set; `None` for anything else.
fn kept(place: &Path) -> Option<Kept> {
    let kept: Kept = serde_json::from_slice(&document(place, MANIFEST)?).ok()?;
    (kept.schema == KEPT_SCHEMA).then_some(kept)
}

/// Whole files in the place of earlier ones: none before all are on disk.
fn replace(folder: &Path, files: &[(&str, &[u8])]) -> Result<()> {
    let write = |bytes: &[u8]| -> io::Result<NamedTempFile> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(UNFINISHED);
        // For everyone who may read the folder, like a report; the person's own mask is kept.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
        let mut file = builder.tempfile_in(folder)?;
        // Written to the file itself, whose faults do not name it: its name is drawn anew each time.
        file.as_file_mut().write_all(bytes)?;
        file.as_file().sync_all()?;
        Ok(file)
    };
    let about = |name: &str| format!("`{}` was not written", folder.join(name).display());
    let mut written = Vec::new();
    for (name, bytes) in files {
        written.push((name, write(bytes).with_context(|| about(name))?));
    }
    for (name, file) in written {
        file.persist(folder.join(name)).map_err(|fault| fault.error).with_context(|| about(name))?;
    }
    Ok(())
}

/// Bytes of a path with all but letters, digits and `plain` percent-encoded (RFC 3986, section 2.1).
fn encoded(path: &Path, plain: &[u8]) -> String {
    let mut text = String::new();
    for byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            byte if byte.is_ascii_alphanumeric() || plain.contains(byte) => text.push(char::from(*byte)),
            byte => text.push_str(&format!("%{byte:02X}")),
        }
    }
    text
}

fn text(jobs: &Jobs) -> String {
    let mut out = format!("{}\n", jobs::page::answer(Words::default(), jobs));
    let rows: Vec<Vec<String>> = jobs
        .jobs
        .iter()
        .map(|job| {
            let needs: Vec<String> =
                job.needs.iter().map(|need| format!("{}: {}", need.kind.words(), need.text)).collect();
            let verdict = job.line().map_or("not read", |line| line.verdict.words());
            vec![job.path.clone(), verdict.to_owned(), needs.join("; ")]
        })
        .collect();
    out += &columns(&rows, 2);
    out
}
