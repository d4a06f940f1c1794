//! Every input seen: what was understood, with the reason, and what was refused and why.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Quantity, RowRef};

/// All inputs of one run, sorted by path, and all loggers found, sorted by id.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Ledger {
    /// One entry per file.
    pub inputs: Vec<InputFile>,
    /// One entry per logger.
    pub loggers: Vec<LoggerRead>,
}

impl Ledger {
    /// The entry of a logger.
    #[must_use]
    pub fn logger(&self, id: &str) -> Option<&LoggerRead> {
        self.loggers.iter().find(|logger| logger.id == id)
    }
}

/// One input file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct InputFile {
    /// Path relative to the folder, `/` between folders.
    pub path: String,
    /// SHA-256 of its bytes, lower-case hexadecimal.
    pub sha256: String,
    /// Size in bytes.
    pub bytes: u64,
    /// What became of it.
    pub outcome: Outcome,
    /// How it was understood, in the order the decisions were taken.
    pub decisions: Vec<Decision>,
    /// Rows or cells that were not used, in file order.
    pub refused: Vec<Refusal>,
    /// Facts found around the data (serial number, job number, interval), by the name the file gives them.
    pub facts: BTreeMap<String, String>,
}

/// What became of a file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Outcome {
    /// Samples were read.
    Read {
        /// Data rows in the file.
        rows: u64,
        /// Samples taken into the tidy frame.
        samples: u64,
    },
    /// It holds no interval log (a photo, a note): nothing is wrong.
    NotALog {
        /// Why it is taken to be none.
        reason: String,
    },
    /// It looks like a log and could not be read.
    Refused {
        /// What was found and where.
        reason: String,
        /// What to do about it: an exact line for job.toml where there is one.
        remedy: String,
    },
    /// Byte for byte the same as another input, read once.
    SameAs {
        /// The path that was read.
        path: String,
    },
}

/// One decision taken while reading, with its reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Decision {
    /// What was decided: `encoding`, `delimiter`, `header`, `clock`, `column RH`, ...
    pub topic: String,
    /// The answer.
    pub value: String,
    /// The evidence for it.
    pub reason: String,
    /// How sure it is.
    pub certainty: Certainty,
}

/// How sure a decision is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Certainty {
    /// Said by a person in the job.
    Stated,
    /// The file's own evidence leaves no other answer.
    Settled,
    /// Likely; shown as a guess.
    Guess,
}

/// A row or a cell that was not used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Refusal {
    /// Line in the file, from 1.
    pub row: u64,
    /// Column name; `None` when the whole row is refused.
    pub column: Option<String>,
    /// The text found, cut to 80 characters.
    pub found: String,
    /// Why it was not used.
    pub reason: String,
    /// The earliest instant it can be of: that of its row, where the row's own stamp could be read, else of the nearest rows
    /// above and below that have one. `None` when no row of the file has one.
    pub from: Option<DateTime<Utc>>,
    /// The latest instant it can be of; `from` itself where the row's own stamp could be read.
    pub to: Option<DateTime<Utc>>,
}

/// One logger, as read over all its files.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LoggerRead {
    /// Name in the tidy frame: the serial number where the file has one, else the file's stem, with `/channel`
    /// appended in a file of several loggers.
    pub id: String,
    /// Serial number found.
    pub serial: Option<String>,
    /// Channel within its files.
    pub channel: Option<String>,
    /// Files it was read from, sorted.
    pub files: Vec<String>,
    /// Quantities it has values for.
    pub quantities: Vec<Quantity>,
    /// Instants with at least one value.
    pub samples: u64,
    /// First instant.
    pub first: DateTime<Utc>,
    /// Last instant.
    pub last: DateTime<Utc>,
    /// Usual time between samples (the median step), seconds; `None` with fewer than two samples.
    pub interval_s: Option<u32>,
    /// Times longer than 1.5 intervals without a sample.
    pub gaps: Vec<Gap>,
    /// Rows that repeat an instant with the same values; used once.
    pub duplicates: Vec<Duplicate>,
    /// Rows that repeat an instant with other values; the first in file order was used.
    pub conflicts: Vec<RowConflict>,
    /// How its stamps became instants (`wall clock of America/Chicago`, `UTC`, `offset +02:00 in the header`).
    pub clock: String,
}

/// A stretch without samples.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Gap {
    /// Last sample before it.
    pub from: DateTime<Utc>,
    /// First sample after it.
    pub to: DateTime<Utc>,
    /// Samples that should have been there.
    pub missing: u64,
}

/// A row that repeats an earlier one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Duplicate {
    /// The instant repeated.
    pub time: DateTime<Utc>,
    /// The row used.
    pub kept: RowRef,
    /// The row left out.
    pub dropped: RowRef,
}

/// Two rows that give one instant different values.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RowConflict {
    /// The instant.
    pub time: DateTime<Utc>,
    /// The quantity they disagree on.
    pub quantity: Quantity,
    /// The row and value used.
    pub kept: (RowRef, f64),
    /// The row and value left out.
    pub dropped: (RowRef, f64),
}
