//! What reading and judging share, and nothing else.
//!
//! `ingest` turns files into a [`TidyFrame`] and a [`Ledger`]; `analysis` turns a tidy frame into evidence.
//! Neither knows the other: the types here are all that passes between them.
//!
//! Reading order:
//! 1. [`quantity`]: the measured quantities a tidy frame has columns for, with their canonical units;
//! 2. [`frame`]: one row per sample per logger, as a data frame and as plain series;
//! 3. [`source`]: which line of which file a number came from;
//! 4. [`ledger`]: every input seen, what was understood, what was refused and why;
//! 5. [`hints`]: what a person said that helps to read a file.
//!
//! Left out: reading files (`ingest`), the job (`job`), any judgement (`analysis`).

pub mod frame;
pub mod hints;
pub mod ledger;
pub mod quantity;
pub mod source;

pub use frame::{FrameError, LoggerSeries, TidyFrame};
pub use hints::{Clock, ColumnHint, DateOrder, Hours, LoggerHint, LoggerSelector, ReadingHints};
pub use ledger::{Certainty, Decision, Duplicate, Gap, InputFile, Ledger, LoggerRead, Outcome, Refusal, RowConflict};
pub use quantity::Quantity;
pub use source::{FileTable, RowRef};
