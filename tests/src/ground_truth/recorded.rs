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
tells of it, the day is `not shown` and stands in `days doubted by wetter air`. A later reading does not rewrite an earlier
day. One day of four units is left, in humid summer 18: 2.0 kg came to P5 while the air of chamber B was drying, which held
51 to 52 GPP in the hours before, 55.1 one hour after and 53.5 two hours after: over an hour less than the 3 GPP of the rule.
Where outdoor air has the enthalpy of the chamber's and a rise goes a large share of the way to it, an open door looks the
same in every log: no day here hangs on that.

What is short of 100 % in `equipment-day verdicts right`: those four, and days in doubt to which water had truly come, but
left no point above its goal by more than the meter's U in that day: ten in rewetting 12, 28 in seven houses of humid summer.

Everything at once, humid summer and winter cabin were looked at when the conditions for wetter air were chosen; what they
show of those rows is no proof by itself.

What a stricter rule would cost: every rise of 3 GPP put in doubt, explained or not, leaves no such day, but only 89.1 % of
verdicts right and 23 of 462 `not needed` days in a humid summer (10 houses of each of the first six scenarios set aside).
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
