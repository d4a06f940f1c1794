//! How soon one new export is in the reports of a 14-day job with 10 loggers: `refresh-times [ROUNDS] [PROGRAM]`.
//!
//! The job is watched while one export is replaced by longer ones, a day longer in the end, each of which was never seen
//! before: what is kept of an earlier state would make it look quicker. Printed are the times from the folder's coming to
//! rest to the new summary and to the new report, beside that of `report --no-cache` on a copy of the folder with the same
//! export, taken just before, and what both used of the processor. Exit code 1 when a summary takes more than 0.7 s or a
//! report more than 60 % of the time without a cache, by the middle of all, 2 when a report is not byte for byte the one
//! made without.

#![allow(clippy::disallowed_types, reason = "it runs the program")]

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};

use grainfall_simulate::generate::{Size, scenario};
use grainfall_simulate::{Made, export};
use grainfall_tests::memory::ended_processor_s;
use grainfall_tests::tree::files;
use grainfall_tests::watch::Watch;
use grainfall_tests::{program, told};

/// The most from rest to summary, s.
const SUMMARY_S: f64 = 0.7;
/// The most of a run without a cache.
const SHARE: f64 = 0.6;
/// How long a report may take on a busy machine.
const LONGEST: Duration = Duration::from_secs(300);
/// The export that is replaced.
const EXPORT: &str = "loggers/outdoor.csv";

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let rounds = arguments.next().map_or(Some(6), |text| text.parse().ok().filter(|rounds| *rounds > 0));
    let program = program(arguments.next().map(PathBuf::from)).ok();
    let (text, code) = match (rounds, program) {
        (Some(rounds), Some(program)) => match measure(rounds, &program) {
            Ok((text, holds)) => (text, u8::from(!holds)),
            Err(error) => (format!("error: {error}\n"), 2),
        },
        _ => ("expected `refresh-times [ROUNDS] [PROGRAM]`, for example `refresh-times 6`\n".to_owned(), 2),
    };
    told(&text, code)
}

fn measure(rounds: usize, program: &Path) -> Result<(String, bool), Box<dyn std::error::Error>> {
    let root = tempfile::tempdir()?;
    // Of one name, which the report says.
    let (job, copy) = (root.path().join("watched/job"), root.path().join("copy/job"));
    let longer = write_job(&job)?;
    write_job(&copy)?;
    let shorter = fs::read_to_string(job.join(EXPORT))?;
    let added = longer.strip_prefix(&shorter).ok_or("the longer export does not begin as the shorter one")?;
    let rows: Vec<&str> = added.split_inclusive('\n').collect();
    // Programs and files are read from the disk the first time.
    without_cache(program, &copy)?;
    let cache = root.path().join("cache");
    let arguments = ["--settle", "0.5", "--cache"].map(OsStr::new);
    let mut watch = Watch::start(program, &[&arguments[..], &[cache.as_os_str()]].concat(), &job);
    watch.wait_for(1, LONGEST);
    let first_s = watch.processor_s().unwrap_or_default();
    let mut used_s = first_s;
    let mut taken = Taken::default();
    for round in 0..rounds {
        let export = format!("{shorter}{}", rows[..rows.len() * (round + 1) / rounds].concat());
        fs::write(copy.join(EXPORT), &export)?;
        let before = ended_processor_s().unwrap_or_default();
        taken.cold.push(without_cache(program, &copy)?);
        taken.cold_processor.push(ended_processor_s().unwrap_or_default() - before);
        let part = job.join("loggers/.part");
        fs::write(&part, &export)?;
        fs::rename(&part, job.join(EXPORT))?;
        watch.wait_for(round + 2, LONGEST);
        // What is tidied up after a report counts with the next.
        let now_s = watch.processor_s().unwrap_or_default();
        taken.processor.push(now_s - std::mem::replace(&mut used_s, now_s));
        if files(&job.join("report"))? != files(&copy.join("report"))? {
            return Err("the refreshed report is not the one made without a cache".into());
        }
    }
    let of = |key: &str| -> Vec<f64> { watch.told_reports().iter().skip(1).filter_map(|e| e[key].as_f64()).collect() };
    (taken.summary, taken.report) = (of("summary_s"), of("report_s"));
    watch.interrupt();
    let holds = middle(&taken.summary) <= SUMMARY_S && middle(&taken.report) <= SHARE * middle(&taken.cold);
    Ok((taken.words(rounds, first_s), holds))
}

/// What each round took, s.
#[derive(Default)]
struct Taken {
    cold: Vec<f64>,
    cold_processor: Vec<f64>,
    summary: Vec<f64>,
    report: Vec<f64>,
    processor: Vec<f64>,
}

impl Taken {
    fn words(&self, rounds: usize, first_s: f64) -> String {
        let share = |one: &[f64], other: &[f64]| 100.0 * middle(one) / middle(other);
        format!(
            "14 days, 10 loggers, one export replaced {rounds} times; middle (least to most)\n\
             report without a cache   {}\n\
             new summary after rest   {}, at most {SUMMARY_S} s\n\
             new report after rest    {}, {:.0} % of the one without a cache, at most {:.0} %\n\
             processor time           first report {first_s:.2} s, each new one {},\n\
             {:25}{:.0} % of the {} without a cache\n",
            range(&self.cold),
            range(&self.summary),
            range(&self.report),
            share(&self.report, &self.cold),
            100.0 * SHARE,
            range(&self.processor),
            "",
            share(&self.processor, &self.cold_processor),
            range(&self.cold_processor),
        )
    }
}

/// Time of a report that is made of nothing kept, s.
fn without_cache(program: &Path, job: &Path) -> Result<f64, Box<dyn std::error::Error>> {
    let begun = Instant::now();
    let made = Command::new(program).args(["report", "--no-cache"]).arg(job).output()?;
    let took_s = begun.elapsed().as_secs_f64();
    if !made.status.success() {
        return Err(String::from_utf8_lossy(&made.stderr).into());
    }
    Ok(took_s)
}

/// Writes the job as it is a day before its end; returns the export as it is at the end.
fn write_job(job: &Path) -> Result<String, Box<dyn std::error::Error>> {
    let size = Size { days: 14, points: 16, units: 6, interval_min: 5 };
    let whole = scenario(size, 7)?;
    let mut cut = whole.clone();
    let last = whole.to - chrono::TimeDelta::days(1);
    cut.loggers.iter_mut().for_each(|logger| logger.to = last);
    cut.visits.retain(|visit| visit.at < last);
    let files = |scenario| -> Result<Vec<(String, String)>, grainfall_simulate::Error> {
        let made = Made::from_scenario(scenario)?;
        Ok(export::job_files(made.simulation.scenario(), &made.record))
    };
    for (path, text) in files(cut)? {
        let place = job.join(path);
        fs::create_dir_all(place.parent().ok_or("a file without a folder")?)?;
        fs::write(place, text)?;
    }
    let longer = files(whole)?.into_iter().find(|(path, _)| path == EXPORT);
    Ok(longer.ok_or("the export is not there")?.1)
}

fn middle(times: &[f64]) -> f64 {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::INFINITY)
}

fn range(times: &[f64]) -> String {
    let (least, most) = times.iter().fold((f64::INFINITY, 0.0_f64), |(least, most), s| (least.min(*s), most.max(*s)));
    format!("{:.2} s ({least:.2} to {most:.2})", middle(times))
}
