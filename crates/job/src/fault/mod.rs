//! What can be wrong in the job folder's own files, and how it is told.

use std::fmt;
use std::sync::Arc;

mod kind;

pub use kind::FaultKind;

/// Where in a file a fault lies.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// File name in the job folder.
    pub file: Arc<str>,
    /// Line as an editor counts it, from 1; `None` when the fault is about the whole file.
    pub line: Option<u64>,
    /// Where in the line; `None` when the fault is about the whole line or entry.
    pub column: Option<Column>,
}

/// Where in a line.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// The character, from 1.
    Character(u64),
    /// A column of a CSV file, by its header: its position counted from 0, then the header as written.
    Header(usize, String),
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, " line {line}")?;
        }
        match &self.column {
            Some(Column::Character(column)) => write!(f, ", column {column}"),
            Some(Column::Header(_, header)) => write!(f, ", column `{header}`"),
            None => Ok(()),
        }
    }
}

/// One fault: where, and what.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{at}: {}", told(.at, .kind))]
pub struct Fault {
    /// Where it lies.
    pub at: Spot,
    /// What is wrong, what is accepted and what to do.
    pub kind: FaultKind,
}

/// The fault beside its place: a quantity in a column is not named a second time.
fn told(at: &Spot, kind: &FaultKind) -> String {
    match (&at.column, kind) {
        (Some(Column::Header(..)), FaultKind::Quantity { problem, .. }) => problem.clone(),
        _ => kind.to_string(),
    }
}

/// Every fault found, `job.toml` first, then by file, line and column.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Faults(pub Vec<Fault>);

impl Faults {
    /// These faults in the order they are told, equal ones once.
    #[must_use]
    pub fn sorted(mut faults: Vec<Fault>) -> Self {
        faults.sort_by_cached_key(|fault| {
            (!fault.at.file.eq_ignore_ascii_case(crate::JOB_TOML), fault.at.clone(), fault.kind.to_string())
        });
        faults.dedup();
        Self(faults)
    }
}

impl fmt::Display for Faults {
    /// One fault a line.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

/// A word that is not known, with the nearest known one and all that are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// What was found.
    pub found: String,
    /// The known word it was probably meant to be.
    pub nearest: Option<String>,
    /// The known words.
    pub known: Vec<String>,
}

impl Unknown {
    /// An unknown word beside the known ones.
    #[must_use]
    pub fn new<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Self {
        let known: Vec<&str> = known.into_iter().collect();
        Self {
            found: cut(found),
            nearest: crate::suggest(found, known.iter().copied()).map(str::to_owned),
            known: known.into_iter().map(str::to_owned).collect(),
        }
    }

    fn hint(&self) -> String {
        self.nearest.as_ref().map_or_else(String::new, |nearest| format!("; did you mean `{}`?", cut(nearest)))
    }

    /// Suggestion and list, after `what`: `; did you mean `A`? known chambers: `A`, `B``.
    pub(crate) fn list(&self, what: &str) -> String {
        let joint = if self.nearest.is_some() { " " } else { "; " };
        format!("{}{joint}{what}: {}", self.hint(), ticked(&self.known))
    }
}

/// The two ways a date of slashes reads, or the two instants of a wall time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TwoWays {
    /// The first.
    pub first: String,
    /// The second.
    pub second: String,
}

/// A text short enough for a message: one line, at most 60 characters.
pub(crate) fn cut(text: &str) -> String {
    let line = text.trim().lines().next().unwrap_or_default();
    let shown: String = line.chars().take(60).collect();
    if shown.len() < text.trim().len() { format!("{shown}...") } else { shown }
}

/// Words in backticks, joined by commas; at most 24 of them.
pub(crate) fn ticked<T: AsRef<str>>(words: &[T]) -> String {
    const SHOWN: usize = 24;
    let mut list =
        words.iter().take(SHOWN).map(|word| format!("`{}`", cut(word.as_ref()))).collect::<Vec<_>>().join(", ");
    if words.len() > SHOWN {
        list.push_str(&format!(" and {} more", words.len() - SHOWN));
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_over_several_lines_is_told_on_one() {
        let unknown = Unknown::new("K11", ["K1\nK11", "kitchen"]);
        assert_eq!(unknown.list("known"), "; known: `K1...`, `kitchen`");
    }
}
