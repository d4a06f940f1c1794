//! Every key of `job.toml` and every column of the CSV files, with what it accepts and what it means.
//!
//! The parsers accept exactly these keys, so the table cannot fall behind them. It is also what a first, commented
//! `job.toml` is written from. The page for users follows, kept equal to the table by a test.
#![doc = ""]
#![doc = include_str!("../../../../docs/job-folder.md")]

mod equipment;
mod files;
mod job_toml;

pub use equipment::{BILLED, CONDENSATE, EQUIPMENT, HOUR_METER, PAUSE};
pub use files::{AIR, READINGS, VISITS};
pub use job_toml::{
    AIR_GOAL, CATEGORY, CHAMBER, CLASS, COLUMN, GOAL_VALUE, JOB, LOGGER, MATERIAL, METER, MOVED, POINT, SIDE_BY_SIDE,
};

/// One table of `job.toml`, or one CSV file of the job folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TableInfo {
    /// Its name: `chamber` for `[[chamber]]`, the file name for a CSV file.
    pub name: &'static str,
    /// How it is written.
    pub form: TableForm,
    /// What it is for, in one line.
    pub meaning: &'static str,
    /// Its keys or columns, the usual order.
    pub keys: &'static [KeyInfo],
}

impl TableInfo {
    /// How it is written in a message: `[job]`, `[[chamber]]`, `readings.csv`.
    ///
    /// ```
    /// use grainfall_job::keys;
    /// assert_eq!(keys::CHAMBER.heading(), "[[chamber]]");
    /// assert_eq!(keys::READINGS.heading(), "readings.csv");
    /// ```
    #[must_use]
    pub fn heading(&self) -> String {
        match self.form {
            TableForm::Once => format!("[{}]", self.name),
            TableForm::Repeated => format!("[[{}]]", self.name),
            TableForm::Inline | TableForm::File => self.name.to_owned(),
        }
    }

    /// The key of this name.
    #[must_use]
    pub fn key(&self, name: &str) -> Option<&'static KeyInfo> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// How a table is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableForm {
    /// `[job]`, at most once.
    Once,
    /// `[[chamber]]`, any number of times.
    Repeated,
    /// `{ ... }` as a value of a key.
    Inline,
    /// A CSV file whose first line names the columns.
    File,
}

/// One key or column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KeyInfo {
    /// Its name.
    pub name: &'static str,
    /// Whether an entry must have it.
    pub need: Need,
    /// What it accepts, as a message says it: `a length with its unit such as "620 ft"`.
    pub accepts: &'static str,
    /// An example value as it is written in `job.toml`, or in a cell of a CSV file.
    pub example: &'static str,
    /// What it means, in one line.
    pub meaning: &'static str,
}

/// Whether an entry must have a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Every entry must have it.
    Required,
    /// It may be left out.
    Optional,
}

const TIME: &str = "a time such as `\"2025-03-08 06:30\"`, local to the job's zone unless it carries an offset or `Z`";
const DATE: &str = "a date such as `\"2025-01-15\"`";
const TEXT: &str = "text in quotes";
const TEXT_CELL: &str = "text";
const TIME_CELL: &str = "a time such as `2025-03-08 06:30` or `3/8/2025 6:30 AM`";
const ID: &str = "a short id in quotes";
const HOURS: &str = "a length of time up to 100 days, such as `\"4 h\"` or `\"30 min\"`";
const SCALE: &str = "a scale: `\"wood\"`, `\"wme\"`, `\"gypsum\"`, `\"concrete-rh\"` or `\"relative\"`";
const GOAL: &str = "a number on the point's scale, or `{ value = 15, scale = \"wood\" }`";

const fn need(name: &'static str, accepts: &'static str, example: &'static str, meaning: &'static str) -> KeyInfo {
    KeyInfo { name, need: Need::Required, accepts, example, meaning }
}

const fn may(name: &'static str, accepts: &'static str, example: &'static str, meaning: &'static str) -> KeyInfo {
    KeyInfo { name, need: Need::Optional, accepts, example, meaning }
}

/// The tables of `job.toml` in the order they are usually written.
pub const JOB_TOML: [&TableInfo; 14] = [
    &JOB,
    &CATEGORY,
    &CLASS,
    &CHAMBER,
    &LOGGER,
    &SIDE_BY_SIDE,
    &METER,
    &MATERIAL,
    &POINT,
    &EQUIPMENT,
    &CONDENSATE,
    &HOUR_METER,
    &PAUSE,
    &BILLED,
];

/// The tables written as `{ ... }` inside others.
pub const INLINE: [&TableInfo; 4] = [&AIR_GOAL, &COLUMN, &GOAL_VALUE, &MOVED];

/// The CSV files that have columns of their own; `equipment.csv` has the keys of [`EQUIPMENT`].
pub const FILES: [&TableInfo; 3] = [&READINGS, &AIR, &VISITS];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_within_a_table_and_nothing_is_empty() {
        for table in JOB_TOML.into_iter().chain(INLINE).chain(FILES) {
            let mut names: Vec<_> = table.keys.iter().map(|key| key.name).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), table.keys.len(), "{}", table.heading());
            for key in table.keys {
                assert!(!key.accepts.is_empty() && !key.meaning.is_empty() && !key.example.is_empty(), "{}", key.name);
                assert_eq!(table.key(key.name), Some(key));
            }
        }
    }
}
