//! Drops files into watched job folders and counts what reaches the reports: `soak [--drops N] [--jobs N] [--steady N]
//! [--program PATH] [--poll SECONDS]`. Exit code 1 when something was missed.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use grainfall_tests::program;
use grainfall_tests::soak::{Plan, run};

const USAGE: &str = "expected `soak [--drops N] [--jobs N] [--steady N] [--program PATH] [--poll SECONDS]`, for \
                     example `soak --drops 1000 --jobs 20 --steady 400`\n";

fn main() -> ExitCode {
    let Some(plan) = plan(std::env::args().skip(1)) else { return told(USAGE, 2) };
    let root = match tempfile::tempdir() {
        Ok(root) => root,
        Err(error) => return told(&format!("no folder to work in: {error}\n"), 2),
    };
    let figures = run(&plan, root.path());
    told(&format!("{figures}\n"), u8::from(!figures.holds()))
}

fn plan(mut arguments: impl Iterator<Item = String>) -> Option<Plan> {
    let mut plan = Plan {
        program: program()?,
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
            "--program" => plan.program = PathBuf::from(value),
            "--poll" => plan.watch_args = vec![name, value],
            _ => return None,
        }
    }
    Some(plan)
}

fn told(text: &str, code: u8) -> ExitCode {
    // Nothing is left to do when the output is closed.
    let _ = std::io::stdout().write_all(text.as_bytes());
    ExitCode::from(code)
}
