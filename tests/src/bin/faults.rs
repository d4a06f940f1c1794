//! Runs the program while things go wrong and prints what came of it: `faults [--short] [--part N] [--seed N]
//! [--program PATH]`.
//!
//! In full: 200 kills of `report` and 200 of `watch`, 200 limits on file size, 200 file systems that fill up, 200 of
//! either under `watch`, 1,000 inputs cut short and 1,000 with a wrong bit. `--short` does a twentieth of each, `--part` one
//! of these seven, by its number. Exit code 0 when nothing happened that must not, else 1.

use std::io;
use std::path::PathBuf;
use std::process::ExitCode;

use grainfall_tests::faults::{
    Bench, Damage, Tally, damaged, file_size_limit, killed, small_file_system, watch_failing, watch_killed,
};
use grainfall_tests::told;

const USAGE: &str = "expected `faults [--short] [--part N] [--seed N] [--program PATH]`\n";

/// Parts, numbered from 1.
const PARTS: usize = 7;

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let (mut share, mut part, mut seed, mut program) = (1, None, 20_251_006, None);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--short" => share = 20,
            "--part" => match arguments.next().and_then(|number| number.parse().ok()) {
                Some(number) if (1..=PARTS).contains(&number) => part = Some(number),
                _ => return told("`--part` takes a number from 1 to 7\n", 2),
            },
            "--seed" => match arguments.next().and_then(|number| number.parse().ok()) {
                Some(number) => seed = number,
                None => return told("`--seed` takes a whole number\n", 2),
            },
            "--program" => match arguments.next() {
                Some(path) => program = Some(PathBuf::from(path)),
                None => return told(USAGE, 2),
            },
            _ => return told(USAGE, 2),
        }
    }
    match run(share, part, seed, program) {
        Ok(0) => ExitCode::SUCCESS,
        Ok(faults) => told(&format!("{faults} faults\n"), 1),
        Err(error) => told(&format!("the suite itself failed: {error}\n"), 2),
    }
}

fn run(share: u32, only: Option<usize>, seed: u64, program: Option<PathBuf>) -> io::Result<usize> {
    let bench = Bench::new(program)?;
    let parts: [&dyn Fn() -> io::Result<Tally>; PARTS] = [
        &|| killed(&bench, 200 / share, seed),
        &|| watch_killed(&bench, 200 / share, seed),
        &|| file_size_limit(&bench, 200 / share, seed),
        &|| small_file_system(&bench, 200 / share, seed),
        &|| watch_failing(&bench, 200 / share, seed),
        &|| damaged(&bench, Damage::Truncated, 1000 / share, seed),
        &|| damaged(&bench, Damage::BitFlipped, 1000 / share, seed),
    ];
    let mut faults = 0;
    for (_, part) in (1..).zip(parts).filter(|(number, _)| only.is_none_or(|only| only == *number)) {
        let tally = part()?;
        faults += tally.faults.len();
        told(&tally.to_string(), 0);
    }
    Ok(faults)
}
