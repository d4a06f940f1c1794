//! The job folder's own files: what the technician knows, parsed and checked.
//!
//! `job.toml`, `readings.csv`, `air.csv`, `visits.csv` and `equipment.csv` become one [`Job`]; every fault in them
//! is reported with file, line and column, what was found, what is accepted and what to do.
//!
//! Reading order:
//! 1. [`model`]: the job as types, times already instants, quantities already in canonical units;
//! 2. [`keys`]: every key and column that the files may have, what it accepts and what it means;
//! 3. [`fault`]: what can be wrong, and how it is told;
//! 4. `folder` and `job_text`: [`load`] a folder, [`parse`] texts;
//! 5. `read`: from text to entries with positions, and one file per table;
//! 6. `check`: the checks that need the whole job;
//! 7. [`suggest()`]: the word that was probably meant.
//!
//! Left out: logger exports (`ingest`), any judgement (`analysis`), writing files.

mod check;
pub mod fault;
mod folder;
mod job_text;
pub mod keys;
pub mod model;
mod read;
mod suggest;

pub use fault::{Fault, FaultKind, Faults};
pub use folder::{LIMIT_MIB, LoadError, decode, load, load_with_texts};
pub use job_text::{JobFiles, parse};
pub use model::*;
pub use suggest::{suggest, suggest_serial};

/// Name of the job's main file.
pub const JOB_TOML: &str = "job.toml";

/// Name of the file of material readings by hand.
pub const READINGS_CSV: &str = "readings.csv";

/// Name of the file of air readings by hand.
pub const AIR_CSV: &str = "air.csv";

/// Name of the file of visits.
pub const VISITS_CSV: &str = "visits.csv";

/// Name of the file of equipment, instead of `[[equipment]]`.
pub const EQUIPMENT_CSV: &str = "equipment.csv";
