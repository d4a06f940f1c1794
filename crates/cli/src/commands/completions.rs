//! `completions`: a completion script on stdout.

use anyhow::Result;
use clap::CommandFactory;
use clap_complete::Shell;

use crate::args::Cli;
use crate::exit_code::Outcome;
use crate::terminal;

/// Prints the script.
pub fn run(shell: Shell) -> Result<Outcome> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "grainfall", &mut script);
    terminal::print_bytes(&script)?;
    Ok(Outcome::Done)
}
