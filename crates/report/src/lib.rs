//! One model to charts, PDF, page, tables and JSON.
//!
//! Given the evidence, the samples and the ledger of inputs, [`render()`] makes every file of a report in memory and
//! [`write_outputs`] puts them on disk as one folder, whole or not at all. Equal input gives equal bytes.
//!
//! Reading order:
//! 1. [`render()`] and the types below: what goes in, what comes out;
//! 2. [`model`]: what a report says; [`words`]: its fixed wording;
//! 3. [`number_format`], [`units_shown`], [`text_filter`]: numbers, units and characters as people read them;
//! 4. [`charts`], drawn with [`theme`] and [`fonts`], turned into images by [`raster`];
//! 5. [`pdf`] and [`page`]: the model set for paper and for the screen;
//! 6. [`tables`], [`samples`], [`summary`], [`manifest`], [`explanation`]: the same for programs;
//! 7. [`write`](mod@write): the folder; [`compare`]: whether a folder is still what its manifest says;
//! 8. [`jobs`]: many jobs on one page and in one Parquet set.
//!
//! Left out: any judgement (`analysis`), reading of files, the command line.

pub mod charts;
pub mod compare;
pub mod error;
pub mod explanation;
pub mod fonts;
pub mod jobs;
pub mod manifest;
pub mod model;
pub mod number_format;
pub mod page;
pub mod pdf;
pub mod raster;
mod render;
mod rows_hash;
#[doc(hidden)]
pub mod sample_evidence;
pub mod samples;
pub mod summary;
pub mod tables;
pub mod text_filter;
pub mod theme;
pub mod units_shown;
pub mod words;
pub mod write;

pub use error::Error;
pub use render::{
    JobFile, Outputs, Progress, RenderInput, SAMPLES, Settings, Stage, Step, Workbook, render, render_again,
};
pub use units_shown::UnitSystem;
pub use words::Manner;
pub use write::{mend, remove_outputs, remove_unfinished, write_outputs, write_summary_first};
