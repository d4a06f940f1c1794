//! What is written down while a file is read: decisions and refusals, in the order they are taken.

use grainfall_record::{Certainty, Decision, Refusal};

use crate::siblings::Shown;

/// The running record of one file.
#[derive(Debug, Clone, Default)]
pub(crate) struct Notes {
    pub decisions: Vec<Decision>,
    pub refused: Vec<Refusal>,
    /// What its stamps show of the way they are written, for files like it.
    pub shown: Option<Shown>,
}

impl Notes {
    pub fn decide(
        &mut self,
        topic: impl Into<String>,
        value: impl Into<String>,
        reason: impl Into<String>,
        certainty: Certainty,
    ) {
        self.decisions.push(Decision { topic: topic.into(), value: value.into(), reason: reason.into(), certainty });
    }

    pub fn settled(&mut self, topic: impl Into<String>, value: impl Into<String>, reason: impl Into<String>) {
        self.decide(topic, value, reason, Certainty::Settled);
    }

    pub fn guess(&mut self, topic: impl Into<String>, value: impl Into<String>, reason: impl Into<String>) {
        self.decide(topic, value, reason, Certainty::Guess);
    }

    pub fn refuse(&mut self, row: u64, column: Option<&str>, found: &str, reason: impl Into<String>) {
        self.refused.push(refusal(row, column, found, reason));
    }
}

/// A row or cell that is not used. Of what time it is, is known when the clock of its file is.
pub(crate) fn refusal(row: u64, column: Option<&str>, found: &str, reason: impl Into<String>) -> Refusal {
    let column = column.map(str::to_owned);
    Refusal { row, column, found: cut(found, 80), reason: reason.into(), from: None, to: None }
}

/// At most `limit` characters of a text, without control characters.
pub(crate) fn cut(text: &str, limit: usize) -> String {
    text.chars().take(limit).map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// Names between backticks, separated by commas; more than `limit` are counted.
pub(crate) fn quoted<'a>(names: impl IntoIterator<Item = &'a str>, limit: usize) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    let shown: Vec<String> = names.iter().take(limit).map(|name| format!("`{}`", cut(name, 40))).collect();
    let more = names.len().saturating_sub(limit);
    if more > 0 { format!("{} and {more} more", shown.join(", ")) } else { shown.join(", ") }
}

/// `1 row`, `2 rows`.
pub(crate) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A job.toml entry for one file, to be added as it stands.
pub(crate) fn logger_line(file: &str, line: &str) -> String {
    format!("`[[logger]]` with `file = \"{}\"` and `{line}`", file.replace('\\', "/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_are_counted() {
        assert_eq!(quoted(["a", "b", "c"], 2), "`a`, `b` and 1 more");
        assert_eq!(quoted(["a"], 2), "`a`");
    }

    #[test]
    fn texts_are_cut_and_cleaned() {
        assert_eq!(cut("a\tb\u{0}c", 4), "a b ");
    }
}
