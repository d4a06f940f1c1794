//! `manifest.json`: what went in and what came out, with hashes, so that anyone can see whether both still match.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use chrono::{DateTime, Utc};
use grainfall_record::{InputFile, Ledger};
use grainfall_words::{DateStyle, Language};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::rows_hash::rows_sha256;
use crate::summary::{self, Tool, pretty};
use crate::{Error, JobFile, Outputs, RenderInput, UnitSystem, Workbook};

/// Name of the manifest in the report folder; it lists every other file there.
pub const MANIFEST: &str = "manifest.json";

/// Name of the summary in the report folder.
pub const SUMMARY: &str = "summary.json";

/// Name of the manifest's detached signature, where somebody signed it.
pub const SIGNATURE: &str = "manifest.json.minisig";

/// The `schema` of every manifest.
pub const SCHEMA: &str = "grainfall-manifest";

/// The largest document of a report that is read, bytes.
pub(crate) const MOST_BYTES: u64 = 256 << 20;

/// Version of the manifest's form; it changes when a program that reads an older one would misread a newer one.
pub const SCHEMA_VERSION: u32 = 1;

/// The manifest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Manifest<'a> {
    /// Always `grainfall-manifest`.
    pub schema: &'static str,
    /// Version of this document's form.
    pub schema_version: u32,
    /// What wrote it.
    pub tool: Tool,
    /// Versions of what the result rests on beside the program.
    pub versions: Versions,
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
    /// SHA-256 of the tidy frame's rows as lines of JSON, whatever file holds them: `docs/verifying.md` says which.
    pub tidy_rows_sha256: String,
    /// Characters written out as `[U+XXXX]`, by document.
    pub replaced_characters: BTreeMap<&'static str, u64>,
    /// SHA-256 of every output but this one, by path.
    pub outputs: BTreeMap<&'a str, String>,
    /// Outputs that still show the report before while theirs is being made; left out when there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub behind: Vec<&'a str>,
}

/// Versions of forms and data that a result rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Versions {
    /// Columns of the tidy frame.
    pub tidy_frame: u32,
    /// Form of `summary.json`.
    pub summary: u32,
    /// IANA time zone data.
    pub time_zones: &'static str,
}

impl Versions {
    /// Those of this program.
    pub const THIS: Self = Self {
        tidy_frame: grainfall_record::frame::SCHEMA_VERSION,
        summary: summary::SCHEMA_VERSION,
        time_zones: chrono_tz::IANA_TZDB_VERSION,
    };
}

/// Choices that change a report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManifestSettings {
    /// Name of the job folder, as the report prints it where the job has no title.
    pub folder: String,
    /// Units people read.
    pub units: UnitSystem,
    /// How dates are written for people.
    #[serde(default)]
    pub dates: DateStyle,
    /// Code of the language people read.
    #[serde(default = "english")]
    pub language: String,
    /// The clock asked for; `null` for the last sample.
    pub as_of: Option<DateTime<Utc>>,
    /// What becomes of the tables beside their CSV files.
    pub workbook: Workbook,
}

/// The language of a report whose manifest names none.
fn english() -> String {
    Language::ENGLISH.code().to_owned()
}

/// The manifest of finished outputs.
///
/// # Arguments
/// * `rows_sha256`: hash of the frame's rows.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub fn json(
    input: &RenderInput<'_>,
    outputs: &Outputs,
    rows_sha256: String,
    replaced_characters: BTreeMap<&'static str, u64>,
) -> Result<Vec<u8>, Error> {
    let hashes: BTreeMap<&str, String> =
        outputs.files.par_iter().map(|(path, bytes)| (path.as_str(), sha256(bytes))).collect();
    let manifest = Manifest {
        tidy_frame_sha256: hashes.get(crate::SAMPLES).cloned().unwrap_or_default(),
        tidy_rows_sha256: rows_sha256,
        replaced_characters,
        outputs: hashes,
        ..of_inputs(input)
    };
    pretty(MANIFEST, &manifest)
}

/// The manifest of a report whose summary is fresh and whose other outputs are still those of the report before.
///
/// # Arguments
/// * `old`: the manifest of that report.
/// * `summary`: the fresh summary.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub(crate) fn summary_first(input: &RenderInput<'_>, old: &Old, summary: &[u8]) -> Result<Vec<u8>, Error> {
    let mut outputs: BTreeMap<&str, String> =
        old.outputs.iter().map(|(path, hash)| (path.as_str(), hash.clone())).collect();
    outputs.insert(SUMMARY, sha256(summary));
    let manifest = Manifest {
        // The samples in place are the old ones.
        tidy_frame_sha256: old.tidy_frame_sha256.clone(),
        tidy_rows_sha256: old.tidy_rows_sha256.clone(),
        behind: outputs.keys().copied().filter(|path| *path != SUMMARY).collect(),
        outputs,
        ..of_inputs(input)
    };
    pretty(MANIFEST, &manifest)
}

/// What the manifest of an earlier report says of its outputs.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
pub(crate) struct Old {
    /// SHA-256 by path.
    pub outputs: BTreeMap<String, String>,
    #[serde(default)]
    tidy_frame_sha256: String,
    #[serde(default)]
    tidy_rows_sha256: String,
}

impl Old {
    /// Of the report in a folder; `None` without one that can be read.
    pub fn of(report_dir: &Path) -> Option<Self> {
        serde_json::from_slice(&document(report_dir, MANIFEST)?).ok()
    }
}

/// The bytes of a document of the report in a folder; `None` without one that is a plain file there: links are not
/// followed, and reading a pipe may never end.
#[must_use]
pub fn document(report_dir: &Path, name: &str) -> Option<Vec<u8>> {
    let path = report_dir.join(name);
    let is_link = fs::symlink_metadata(report_dir).ok()?.is_symlink();
    let data = fs::symlink_metadata(&path).ok()?;
    if is_link || !data.is_file() || data.len() > MOST_BYTES { None } else { fs::read(path).ok() }
}

/// Whether the report in a folder was made from just this by this program, with all of its files in place. Their
/// bytes are not looked at.
#[must_use]
pub fn is_current(report_dir: &Path, input: &RenderInput<'_>) -> bool {
    let current = || -> Option<bool> {
        let text = document(report_dir, MANIFEST)?;
        let mut found: serde_json::Value = serde_json::from_slice(&text).ok()?;
        let fields = found.as_object_mut()?;
        let outputs = fields.get("outputs")?.as_object()?.clone();
        let mut wanted = serde_json::to_value(of_inputs(input)).ok()?;
        let rows = fields.get("tidy_rows_sha256").cloned();
        for key in ["outputs", "tidy_frame_sha256", "tidy_rows_sha256", "replaced_characters"] {
            fields.remove(key);
            wanted.as_object_mut()?.remove(key);
        }
        let in_place = || outputs.keys().all(|path| report_dir.join(path).is_file());
        // The rows last: they take longest to look at.
        Some(found == wanted && in_place() && rows == Some(rows_sha256(input.frame).into()))
    };
    current().unwrap_or(false)
}

/// All of a manifest that rests on what goes in, but for the hash of the rows.
fn of_inputs<'a>(input: &RenderInput<'a>) -> Manifest<'a> {
    let Ledger { inputs, loggers } = input.ledger;
    let evidence = &input.analysis.evidence;
    Manifest {
        schema: SCHEMA,
        schema_version: SCHEMA_VERSION,
        tool: Tool::THIS,
        versions: Versions::THIS,
        settings: ManifestSettings {
            folder: evidence.job.folder.clone(),
            units: input.settings.units,
            dates: evidence.job.dates,
            language: input.settings.words.code().to_owned(),
            as_of: input.settings.as_of,
            workbook: input.settings.workbook,
        },
        clock: evidence.clock,
        job_files: input.job_files,
        inputs,
        loggers,
        refused: inputs.iter().map(|file| file.refused.len() as u64).sum(),
        tidy_frame_sha256: String::new(),
        tidy_rows_sha256: String::new(),
        replaced_characters: BTreeMap::new(),
        outputs: BTreeMap::new(),
        behind: Vec::new(),
    }
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
    hex(&Sha256::digest(bytes))
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
