//! The `grainfall` program: arguments, progress, messages and exit codes.
//!
//! Data goes to stdout, everything else to stderr; progress only on a terminal.
//!
//! Reading order: `args`, `exit_code`, then `commands` (one file each), which share `folder` (reading a job folder),
//! `signature` (of a manifest), `jobs_below` (which folders are jobs), `fingerprint` (whether one has changed),
//! `kept` (where results are kept), `turn` (one run at a time), `progress`, `timings` and `terminal` (tables that fit 80
//! columns).

mod args;
mod commands;
mod exit_code;
mod fingerprint;
mod folder;
mod jobs_below;
mod kept;
mod progress;
mod signature;
mod terminal;
mod timings;
mod turn;

use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};
use exit_code::Outcome;

fn main() -> ExitCode {
    quiet_refusals();
    let cli = Cli::parse();
    write_faults_are_errors();
    let outcome = match cli.command {
        Command::Start(args) => commands::start::run(&args),
        Command::Report(args) => commands::report::run(&args),
        Command::Check(args) => commands::check::run(&args),
        Command::Jobs(args) => commands::jobs::run(&args),
        Command::Verify(args) => commands::verify::run(&args),
        Command::Watch(args) => commands::watch::run(&args),
        Command::Explain(args) => commands::explain::run(&args),
        Command::Air(args) => commands::air::run(&args),
        Command::Completions { shell } => commands::completions::run(shell),
    };
    match outcome {
        Ok(outcome) => outcome.code(),
        Err(error) if terminal::is_broken_pipe(&error) => Outcome::Done.code(),
        Err(error) => {
            terminal::note(&format!("error: {error:#}"));
            Outcome::failed()
        }
    }
}

/// A damaged workbook that stops its reader is refused in the ledger; there is nothing to tell beside that.
fn quiet_refusals() {
    let tell = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !grainfall_ingest::panic_is_a_refusal() {
            tell(panic);
        }
    }));
}

/// A file that grows past a limit of the system shall be an error with a message, like a full disk, not a silent end.
fn write_faults_are_errors() {
    #[cfg(unix)]
    {
        let met = std::sync::Arc::default();
        // Where no handler can be set, the system's own way of ending stays.
        let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, met);
    }
}
