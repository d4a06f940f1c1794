//! The table as committed, with the thresholds it was made with.

use std::fs;
use std::io::Result;
use std::path::PathBuf;

use grainfall_report::manifest::sha256;

use super::Table;
use crate::root;

/// What the line with the hash begins with.
const THRESHOLDS: &str = "rules and thresholds, SHA-256: ";

/// Where the numbers stand that verdicts and findings rest on.
const FILES: [&str; 2] = ["crates/analysis/src/rules.rs", "crates/analysis/src/thresholds.rs"];

/// What the share of days with unread rewettings counted stays short by, and why.
const LIMIT: &str = "\
What is short of 100 % in `the same, unread rewettings counted`: a point got wet again after the reading that showed it
closed, and nobody looked before the period ended, or it had dried again by the next reading. Where the air of the chamber
tells of it, the day is `not shown` and stands in `days doubted by wetter air`. The air does not tell where outdoor air is
as wet as the chamber's (humid summer), for an open door looks the same in every log, nor of a rise that stays below the
5 GPP of the rule (everything at once). A later reading does not rewrite an earlier day.

What a stricter rule would cost, on 10 houses of each scenario, set aside: every rise of 5 GPP put in doubt, explained or
not: 99.3 % instead of 97.3 % of these days, verdicts right 93.0 % instead of 99.0 %. Every rise of 3 GPP: 100 % and 89.1 %;
only 15 of 100 days so doubted were truly open, and a humid summer kept 23 `not needed` days of 462. To believe a closed
reading after the period more than the air (20 houses): 95.9 %, for points got wet and dried again between two visits. That
is as far as daily readings beside air logs reach.
";

fn path() -> PathBuf {
    root().join("tests/ground-truth.txt")
}

/// The hash of the rules' and thresholds' numbers as they are.
///
/// # Errors
/// When a file of them cannot be read.
pub fn thresholds() -> Result<String> {
    let texts: Vec<Vec<u8>> = FILES.iter().map(|file| fs::read(root().join(file))).collect::<Result<_>>()?;
    Ok(sha256(&texts.concat()))
}

/// The hash of the thresholds that the committed table was made with; empty where it names none.
///
/// # Errors
/// When the table cannot be read.
pub fn recorded_thresholds() -> Result<String> {
    let text = fs::read_to_string(path())?;
    Ok(text.lines().find_map(|line| line.strip_prefix(THRESHOLDS)).unwrap_or_default().to_owned())
}

/// Writes a table as the one to commit.
///
/// # Errors
/// When the thresholds cannot be read or the table cannot be written.
pub fn record(table: &Table) -> Result<()> {
    let made = "made by `cargo run --release -p grainfall-tests --bin ground-truth -- --record`";
    fs::write(path(), format!("{made}\n{THRESHOLDS}{}\n\n{table}\n{LIMIT}", thresholds()?))
}
