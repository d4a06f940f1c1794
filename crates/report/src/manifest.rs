//! `manifest.json`: what went in and what came out, with hashes, so that anyone can see whether both still match.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_record::{InputFile, Ledger};
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::summary::{Tool, pretty};
use crate::{Error, JobFile, Outputs, RenderInput, UnitSystem};

/// Name of the manifest in the report folder; it lists every other file there.
pub const MANIFEST: &str = "manifest.json";

/// The manifest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Manifest<'a> {
    /// Always `grainfall-manifest`.
    pub schema: &'static str,
    /// Version of this document's form.
    pub schema_version: u32,
    /// What wrote it.
    pub tool: Tool,
    /// What the person who asked for the report chose.
    pub settings: ManifestSettings,
    /// The report's clock.
    pub clock: DateTime<Utc>,
    /// The job's own files, by path.
    pub job_files: &'a [JobFile],
    /// Every other input, by path: its hash, what became of it, how it was understood, what was not used.
    pub inputs: &'a [InputFile],
    /// Loggers found, with gaps, repeated rows and conflicts.
    pub loggers: &'a [grainfall_record::LoggerRead],
    /// Rows or cells not used, over all inputs.
    pub refused: u64,
    /// SHA-256 of the tidy frame: that of `samples.parquet`.
    pub tidy_frame_sha256: String,
    /// Characters written out as `[U+XXXX]`, by document.
    pub replaced_characters: BTreeMap<&'static str, u64>,
    /// SHA-256 of every output but this one, by path.
    pub outputs: BTreeMap<&'a str, String>,
}

/// Choices that change a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct ManifestSettings {
    /// Units people read.
    pub units: UnitSystem,
    /// The clock asked for; `null` for the last sample.
    pub as_of: Option<DateTime<Utc>>,
}

/// The manifest of finished outputs.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn json(
    input: &RenderInput<'_>,
    outputs: &Outputs,
    replaced_characters: BTreeMap<&'static str, u64>,
) -> Result<Vec<u8>, Error> {
    let Ledger { inputs, loggers } = input.ledger;
    let hashes: BTreeMap<&str, String> =
        outputs.files.iter().map(|(path, bytes)| (path.as_str(), sha256(bytes))).collect();
    let manifest = Manifest {
        schema: "grainfall-manifest",
        schema_version: 1,
        tool: Tool::THIS,
        settings: ManifestSettings { units: input.settings.units, as_of: input.settings.as_of },
        clock: input.analysis.evidence.clock,
        job_files: input.job_files,
        inputs,
        loggers,
        refused: inputs.iter().map(|file| file.refused.len() as u64).sum(),
        tidy_frame_sha256: hashes.get(crate::SAMPLES).cloned().unwrap_or_default(),
        replaced_characters,
        outputs: hashes,
    };
    pretty(MANIFEST, &manifest)
}

/// SHA-256 in lower-case hexadecimal.
///
/// ```
/// // FIPS 180-2, appendix B.1.
/// let want = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
/// assert_eq!(grainfall_report::manifest::sha256(b"abc"), want);
/// ```
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
