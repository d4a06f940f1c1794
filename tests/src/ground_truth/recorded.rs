//! The table as committed, with the thresholds it was made with.

use std::fs;
use std::io::Result;
use std::path::PathBuf;

use grainfall_report::manifest::sha256;

use super::Table;
use crate::root;

/// What the line with the hash begins with.
const THRESHOLDS: &str = "thresholds, SHA-256: ";

/// What the share of days with unread rewettings counted stays short by, and why.
const LIMIT: &str = "\
What is short of 100 % in `the same, unread rewettings counted`: a point got wet again after the reading that showed it
closed, and nobody looked before the period ended. Where the air of the chamber tells of it, the day is `not shown` and
stands in `days doubted by wetter air`. The air does not tell where outdoor air is as wet as the chamber's (humid summer),
for an open door looks the same in every log, nor of a rise that stays below the 5 GPP of the rule (everything at once):
to take either for water would put days in doubt on which only a door stood open or the weather changed. A later reading
does not rewrite an earlier day. That is as far as daily readings beside air logs reach.
";

fn path() -> PathBuf {
    root().join("tests/ground-truth.txt")
}

/// The hash of the thresholds as they are.
///
/// # Errors
/// When their file cannot be read.
pub fn thresholds() -> Result<String> {
    let bytes = fs::read(root().join("crates/analysis/src/thresholds.rs"))?;
    Ok(sha256(&bytes))
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
