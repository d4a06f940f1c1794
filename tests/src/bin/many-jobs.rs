//! Generates jobs below a folder, lists them twice and prints what that took: `many-jobs [JOBS] [FOLDER] [PROGRAM]`,
//! 1,000 jobs in a folder of its own unless said otherwise. Jobs that are there already are taken as they are.

use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use grainfall_tests::many_jobs::{generate, list};
use grainfall_tests::{program, told};

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let jobs = match arguments.next().map(|text| text.parse::<u64>()) {
        None => 1000,
        Some(Ok(jobs)) if jobs > 0 => jobs,
        Some(_) => return told("expected `many-jobs [JOBS] [FOLDER] [PROGRAM]`, for example `many-jobs 1000`\n", 2),
    };
    let mut path = || arguments.next().map(PathBuf::from);
    match run(jobs, path(), path()) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => told("a job is not accounted for\n", 1),
        Err(error) => told(&format!("the runs could not be made: {error}\n"), 2),
    }
}

fn run(jobs: u64, folder: Option<PathBuf>, named: Option<PathBuf>) -> io::Result<bool> {
    let own = tempfile::tempdir()?;
    let folder = folder.unwrap_or_else(|| own.path().to_owned());
    let program = program(named)?;
    let begun = Instant::now();
    let broken = generate(&folder, jobs)?;
    told(&format!("{jobs} jobs generated in {:.1} s\n", begun.elapsed().as_secs_f64()), 0);
    let mut holds = true;
    for run in ["first run", "second run, nothing changed"] {
        let listing = list(&program, Path::new(&folder), usize::try_from(jobs).unwrap_or(0), &broken)?;
        holds &= listing.holds();
        told(&format!("{run}: {listing}\n"), 0);
    }
    Ok(holds)
}
