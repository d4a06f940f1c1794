//! The table as committed, with the thresholds it was made with.

use std::fs;
use std::io::Result;
use std::path::PathBuf;

use grainfall_report::manifest::sha256;

use super::Table;
use crate::root;

/// What the line with the hash begins with.
const THRESHOLDS: &str = "thresholds, SHA-256: ";

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
    fs::write(path(), format!("{made}\n{THRESHOLDS}{}\n\n{table}", thresholds()?))
}
