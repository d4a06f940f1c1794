//! How files were understood, for programs, with a published schema: what `grainfall explain --json` prints.

use grainfall_record::{InputFile, Ledger, LoggerRead};
use schemars::JsonSchema;
use serde::Serialize;

use crate::Error;
use crate::summary::{Tool, pretty, schema_of};

/// Name of the document, in its `schema` field.
pub const SCHEMA: &str = "grainfall-explanation";

/// Version of the document; it changes when a program that reads an older one would misread a newer one.
pub const SCHEMA_VERSION: u32 = 1;

/// How each of some files was understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Explanation<'a> {
    /// Always `grainfall-explanation`.
    pub schema: &'static str,
    /// Version of this document's form.
    pub schema_version: u32,
    /// What wrote it.
    pub tool: Tool,
    /// The files, in the order they were given; what lies in an archive or a workbook is a file of its own.
    pub files: Vec<ExplainedFile<'a>>,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExplainedFile<'a> {
    /// What became of it, and what was decided.
    pub input: &'a InputFile,
    /// The loggers that have samples from it.
    pub loggers: Vec<&'a LoggerRead>,
}

/// The files of a ledger, each with its loggers.
#[must_use]
pub fn files(ledger: &Ledger) -> Vec<ExplainedFile<'_>> {
    let loggers = |input: &InputFile| ledger.loggers.iter().filter(|one| one.files.contains(&input.path)).collect();
    ledger.inputs.iter().map(|input| ExplainedFile { input, loggers: loggers(input) }).collect()
}

/// The document.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn json(files: Vec<ExplainedFile<'_>>) -> Result<Vec<u8>, Error> {
    let explanation = Explanation { schema: SCHEMA, schema_version: SCHEMA_VERSION, tool: Tool::THIS, files };
    pretty("explanation", &explanation)
}

/// The JSON Schema of the document, as published in `docs/explain.schema.json`.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn schema() -> Result<Vec<u8>, Error> {
    schema_of::<Explanation<'static>>(SCHEMA, "explain.schema.json")
}
