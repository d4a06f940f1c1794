//! Drops files into watched job folders and counts what reaches the reports: `soak [--drops N] [--jobs N] [--steady N]
//! [--program PATH] [--poll SECONDS]`. Exit code 1 when something was missed.

use std::path::PathBuf;
use std::process::ExitCode;

use grainfall_tests::soak::{Plan, run};
use grainfall_tests::{program, told};

const USAGE: &str = "expected `soak [--drops N] [--jobs N] [--steady N] [--program PATH] [--poll SECONDS]`, for \
                     example `soak --drops 1000 --jobs 20 --steady 400`\n";

fn main() -> ExitCode {
    let Some((mut plan, named)) = plan(std::env::args().skip(1)) else { return told(USAGE, 2) };
    match program(named) {
        Ok(program) => plan.program = program,
        Err(error) => return told(&format!("{error}\n"), 2),
    }
    let root = match tempfile::tempdir() {
        Ok(root) => root,
        Err(error) => return told(&format!("no folder to work in: {error}\n"), 2),
    };
    let figures = run(&plan, root.path());
    told(&format!("{figures}\n"), u8::from(!figures.holds()))
}

/// What is asked for, and the program where one is named.
fn plan(mut arguments: impl Iterator<Item = String>) -> Option<(Plan, Option<PathBuf>)> {
    let mut named = None;
    let mut plan = Plan {
        program: PathBuf::new(),
        drops: 1000,
        jobs: 20,
        steady_reports: 400,
        watch_args: Vec::new(),
        longest_s: 900,
    };
    while let Some(name) = arguments.next() {
        let value = arguments.next()?;
        match name.as_str() {
            "--drops" => plan.drops = value.parse().ok()?,
            "--jobs" => plan.jobs = value.parse().ok().filter(|jobs| *jobs > 0)?,
            "--steady" => plan.steady_reports = value.parse().ok()?,
            "--program" => named = Some(PathBuf::from(value)),
            "--poll" => plan.watch_args = vec![name, value],
            _ => return None,
        }
    }
    Some((plan, named))
}
