//! `summary.json`: the whole evidence for programs, with a published schema.

use grainfall_analysis::evidence::Evidence;
use schemars::JsonSchema;
use serde::Serialize;

use crate::{Error, UnitSystem};

/// Name of the document, in its `schema` field.
pub const SCHEMA: &str = "grainfall-summary";

/// Version of the document; it changes when a program that reads an older one would misread a newer one.
pub const SCHEMA_VERSION: u32 = 1;

/// Everything a report rests on, as data.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Summary<'a> {
    /// Always `grainfall-summary`.
    pub schema: &'static str,
    /// Version of this document's form.
    pub schema_version: u32,
    /// What wrote it.
    pub tool: Tool,
    /// Units of the report that was written with it; the values here keep the units their names end in.
    pub units: UnitSystem,
    /// What the record shows.
    pub evidence: &'a Evidence,
}

/// The program that wrote a document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Tool {
    /// Its name.
    pub name: &'static str,
    /// Its version.
    pub version: &'static str,
}

impl Tool {
    /// This program.
    pub const THIS: Self = Self { name: "grainfall", version: env!("CARGO_PKG_VERSION") };
}

/// The document.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn json(evidence: &Evidence, units: UnitSystem) -> Result<Vec<u8>, Error> {
    let summary = Summary { schema: SCHEMA, schema_version: SCHEMA_VERSION, tool: Tool::THIS, units, evidence };
    pretty("summary.json", &summary)
}

/// The JSON Schema of the document, as published in `docs/summary.schema.json`.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn schema() -> Result<Vec<u8>, Error> {
    schema_of::<Summary<'static>>(SCHEMA, "summary.schema.json")
}

/// The JSON Schema of what a type writes.
pub(crate) fn schema_of<T: JsonSchema>(title: &str, document: &'static str) -> Result<Vec<u8>, Error> {
    let mut settings = schemars::generate::SchemaSettings::draft2020_12();
    settings.contract = schemars::generate::Contract::Serialize;
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("title".to_owned(), title.into());
    pretty(document, &schema)
}

/// A document as indented JSON with a line end.
pub(crate) fn pretty(document: &'static str, value: &impl Serialize) -> Result<Vec<u8>, Error> {
    let mut bytes =
        serde_json::to_vec_pretty(value).map_err(|fault| Error::Json { document, reason: fault.to_string() })?;
    bytes.push(b'\n');
    Ok(bytes)
}
