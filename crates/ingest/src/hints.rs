//! What the job says of one file, and of one logger in it.

use std::ops::Bound;

use grainfall_record::{Clock, ColumnHint, Hours, LoggerHint, LoggerSelector, ReadingHints};

use crate::siblings::{Told, ToldTo};

/// What is said of files before they are read: by the job, and in a second reading by other files.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Said<'h> {
    pub hints: &'h ReadingHints,
    pub others: Option<&'h ToldTo>,
}

impl<'h> Said<'h> {
    /// In a first reading.
    pub fn by_job(hints: &'h ReadingHints) -> Self {
        Self { hints, others: None }
    }

    /// What other files say of this one.
    pub fn told(self, path: &str) -> Option<&'h Told> {
        self.others?.get(path)
    }

    /// Whether a file is to be read: in a second reading only one that others say something of, or of what is within.
    pub fn is_wanted(self, path: &str) -> bool {
        self.others.is_none_or(|others| !within(others, path).is_empty())
    }
}

/// What is told to a path and to the paths within it.
pub(crate) fn within<'t>(told: &'t ToldTo, path: &str) -> Vec<(&'t String, &'t Told)> {
    let start = (Bound::Included(path), Bound::Unbounded);
    let beneath = |one: &str| one.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    told.range::<str, _>(start).take_while(|(one, _)| one.starts_with(path)).filter(|(one, _)| beneath(one)).collect()
}

/// The hints that can concern one file.
#[derive(Debug, Clone, Default)]
pub(crate) struct FileHints<'h> {
    hints: Vec<&'h LoggerHint>,
    /// Name of the sheet, or of the file within its folder.
    last: String,
}

impl<'h> FileHints<'h> {
    /// Hints that select the file by its path or name, or any logger by its serial number: whether that one is in
    /// the file is only known once it is read.
    pub fn of(hints: &'h ReadingHints, file: &str) -> Self {
        let hints = hints
            .loggers
            .iter()
            .filter(|hint| match &hint.select {
                LoggerSelector::Serial(_) => true,
                LoggerSelector::File { file: wanted, .. } => same_file(wanted, file),
            })
            .collect();
        Self { hints, last: file.rsplit('/').next().unwrap_or(file).to_owned() }
    }

    /// Only the hints that hold for a file with this text in it: a serial number that occurs nowhere is not meant.
    pub fn within(mut self, text: &str) -> Self {
        self.hints.retain(|hint| match &hint.select {
            LoggerSelector::Serial(serial) => !serial.trim().is_empty() && text.contains(serial.trim()),
            LoggerSelector::File { .. } => true,
        });
        self
    }

    /// What is said of a column, by any of its names.
    pub fn column(&self, name: &str, aliases: &[String]) -> Option<&'h ColumnHint> {
        let same = |wanted: &str| {
            let wanted = wanted.trim();
            std::iter::once(name)
                .chain(aliases.iter().map(String::as_str))
                .any(|n| n.trim().eq_ignore_ascii_case(wanted))
        };
        self.hints.iter().flat_map(|hint| &hint.columns).find(|(wanted, _)| same(wanted)).map(|(_, hint)| hint)
    }

    /// What the job says of hours from 1 to 12 without AM or PM.
    pub fn hours(&self) -> Option<Hours> {
        self.hints.iter().find_map(|hint| hint.hours)
    }

    /// The clock said for a logger: of this serial number, or of this channel of the file. `columns` are the names of
    /// its columns.
    pub fn clock(&self, serial: Option<&str>, channel: Option<&str>, columns: &[&str]) -> Option<Clock> {
        let fits = |hint: &&&LoggerHint| match &hint.select {
            LoggerSelector::Serial(wanted) => serial.is_some_and(|s| s.trim().eq_ignore_ascii_case(wanted.trim())),
            LoggerSelector::File { channel: None, .. } => true,
            LoggerSelector::File { channel: Some(wanted), .. } => {
                self.last.eq_ignore_ascii_case(wanted.trim())
                    || channel.is_some_and(|c| c.eq_ignore_ascii_case(wanted.trim()))
                    || columns.iter().any(|c| c.eq_ignore_ascii_case(wanted.trim()))
            }
        };
        self.hints.iter().filter(fits).find_map(|hint| hint.clock)
    }
}

impl<'h> FileHints<'h> {
    /// The channel by which the job asks for a logger: of this channel, or with one of these columns.
    pub fn channel(&self, channel: Option<&str>, columns: &[&str]) -> Option<&'h str> {
        let same = |name: &str, wanted: &str| name.trim().eq_ignore_ascii_case(wanted.trim());
        self.hints.iter().find_map(|hint| match &hint.select {
            LoggerSelector::File { channel: Some(wanted), .. } => {
                let meant = channel.is_some_and(|c| same(c, wanted)) || columns.iter().any(|c| same(c, wanted));
                meant.then_some(wanted.as_str())
            }
            _ => None,
        })
    }
}

/// Whether a path or a bare name in the job means this file.
pub(crate) fn same_file(wanted: &str, file: &str) -> bool {
    let wanted = wanted.trim().replace('\\', "/");
    let wanted = wanted.trim_start_matches("./");
    if wanted == file || !wanted.contains('/') && file.rsplit('/').next() == Some(wanted) {
        return true;
    }
    // A workbook or an archive means what is in it: `book.xlsx` means `a/book.xlsx/Sheet1`.
    wanted.contains('.')
        && file.match_indices('/').any(|(at, _)| {
            let outer = &file[..at];
            wanted == outer || !wanted.contains('/') && outer.rsplit('/').next() == Some(wanted)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_meant_by_path_or_by_name() {
        assert!(same_file("a/b.csv", "a/b.csv"));
        assert!(same_file("./b.csv", "a/b.csv"));
        assert!(same_file("a\\b.csv", "a/b.csv"));
        assert!(!same_file("c/b.csv", "a/b.csv"));
        assert!(same_file("book.xlsx", "a/book.xlsx/Sheet1"));
        assert!(same_file("a/book.xlsx", "a/book.xlsx/Sheet1"));
        assert!(!same_file("a", "a/b.csv"));
    }
}
