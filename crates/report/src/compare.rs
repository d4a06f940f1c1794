//! Whether a report is still what its manifest says, and whether its inputs still lead to it.
//!
//! [`Recorded`] is a manifest as found on disk. [`files`] compares the files of the report folder with it; [`again`]
//! compares it with the manifest of a report made anew; [`inputs`] compares the hashes of inputs alone, for when they
//! can no longer be read.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use serde::{Deserialize as _, Serialize};
use serde_json::Value;
use sha2::{Digest as _, Sha256};

use crate::manifest::{MANIFEST, MOST_BYTES, ManifestSettings, SCHEMA, SCHEMA_VERSION, hex, sha256};
use crate::write::inside;

/// Why a manifest cannot be compared.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ManifestError {
    /// It cannot be read.
    #[error("`{}` cannot be read; `grainfall report` writes one", .path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// It or its folder is a link, or it is no plain file.
    #[error("`{}` is no plain file of this folder: links are not followed; write the report again", .path.display())]
    NoFile {
        /// The file.
        path: PathBuf,
    },
    /// It is larger than any manifest.
    #[error("`{}` holds {bytes} bytes, and no manifest is larger than {MOST_BYTES}", .path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// Its size.
        bytes: u64,
    },
    /// It is no manifest, or one of another version.
    #[error("`{}` is no manifest that this program can compare: {reason}; write the report again", .path.display())]
    Form {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        reason: String,
    },
}

/// A manifest as found in a report folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The settings it was made with.
    pub settings: ManifestSettings,
    manifest: Value,
}

/// One place at which two things differ.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Difference {
    /// What was compared.
    pub kind: DifferenceKind,
    /// Where: a file, or the way to a value in the manifest with ` > ` between its steps.
    pub place: String,
    /// What the manifest says; `None` when it has nothing there.
    pub recorded: Option<String>,
    /// What was found; `None` when nothing was.
    pub found: Option<String>,
}

/// What was compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DifferenceKind {
    /// The manifest's signature.
    Signature,
    /// Program, versions or settings.
    Setting,
    /// An input.
    Input,
    /// A file of the report folder.
    ReportFile,
    /// A result of computing again.
    Result,
}

impl DifferenceKind {
    /// The words people read.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Signature => "signature",
            Self::Setting => "setting",
            Self::Input => "input",
            Self::ReportFile => "report file",
            Self::Result => "result",
        }
    }
}

impl Recorded {
    /// The manifest of a report folder.
    ///
    /// # Errors
    /// [`ManifestError`] when it cannot be read or is none of this version.
    pub fn read(report_dir: &Path) -> Result<Self, ManifestError> {
        let path = report_dir.join(MANIFEST);
        let unreadable = |source| ManifestError::Unreadable { path: path.clone(), source };
        let data = fs::symlink_metadata(&path).map_err(unreadable)?;
        if !data.is_file() || fs::symlink_metadata(report_dir).map_err(unreadable)?.is_symlink() {
            return Err(ManifestError::NoFile { path });
        }
        let length = data.len();
        if length > MOST_BYTES {
            return Err(ManifestError::TooLarge { path, bytes: length });
        }
        let bytes = fs::read(&path).map_err(unreadable)?;
        Self::parse(bytes).map_err(|reason| ManifestError::Form { path, reason })
    }

    /// A manifest's bytes, understood.
    fn parse(bytes: Vec<u8>) -> Result<Self, String> {
        let manifest: Value = serde_json::from_slice(&bytes).map_err(|fault| fault.to_string())?;
        if manifest["schema"] != SCHEMA || manifest["schema_version"] != SCHEMA_VERSION {
            return Err(format!(
                "`schema` is {} of version {}, expected \"{SCHEMA}\" of version {SCHEMA_VERSION}",
                manifest["schema"], manifest["schema_version"]
            ));
        }
        let settings =
            ManifestSettings::deserialize(&manifest["settings"]).map_err(|fault| format!("`settings`: {fault}"))?;
        Ok(Self { bytes, settings, manifest })
    }

    /// Whether only the summary is of these inputs, and the rest of the report before them.
    #[must_use]
    pub fn is_behind(&self) -> bool {
        self.manifest["behind"].as_array().is_some_and(|behind| !behind.is_empty())
    }

    /// Files and their hashes, by path.
    #[must_use]
    pub fn outputs(&self) -> BTreeMap<&str, &str> {
        let listed = self.manifest["outputs"].as_object().into_iter().flatten();
        listed.map(|(path, hash)| (path.as_str(), hash.as_str().unwrap_or_default())).collect()
    }
}

/// Where the files of a report folder are not those the manifest lists. Files it does not list are left alone: others
/// may keep theirs there.
#[must_use]
pub fn files(report_dir: &Path, recorded: &Recorded) -> Vec<Difference> {
    let outputs = recorded.outputs();
    outputs.iter().filter_map(|(path, hash)| file(report_dir, path, hash, DifferenceKind::ReportFile)).collect()
}

/// Where inputs have other bytes than the manifest says. What lies within an archive or workbook is left to the file
/// around it.
#[must_use]
pub fn inputs(folder: &Path, recorded: &Recorded) -> Vec<Difference> {
    let lists = ["job_files", "inputs"].into_iter().filter_map(|list| recorded.manifest[list].as_array()).flatten();
    let hashes: BTreeMap<&str, &str> =
        lists.filter_map(|entry| Some((entry["path"].as_str()?, entry["sha256"].as_str()?))).collect();
    hashes
        .iter()
        .filter(|(path, hash)| !hash.is_empty() && !lies_in_a_file(folder, path))
        .filter_map(|(path, hash)| file(folder, path, hash, DifferenceKind::Input))
        .collect()
}

fn lies_in_a_file(folder: &Path, path: &str) -> bool {
    path.match_indices('/').any(|(at, _)| folder.join(&path[..at]).is_file())
}

/// Where a report made anew from the inputs differs from the recorded one.
#[must_use]
pub fn again(recorded: &Recorded, made: &[u8]) -> Vec<Difference> {
    if recorded.bytes == made {
        return Vec::new();
    }
    let fresh: Value = serde_json::from_slice(made).unwrap_or(Value::Null);
    let mut found = Vec::new();
    values(Some(&recorded.manifest), Some(&fresh), &mut Vec::new(), &mut found);
    if found.is_empty() {
        found.push(Difference {
            kind: DifferenceKind::ReportFile,
            place: format!("{MANIFEST}: the same values, written otherwise than this program writes them"),
            recorded: Some(sha256(&recorded.bytes)),
            found: Some(sha256(made)),
        });
    }
    found.sort();
    found
}

fn file(folder: &Path, path: &str, hash: &str, kind: DifferenceKind) -> Option<Difference> {
    let found = match inside(path).map(|path| hash_plain(folder, &path)) {
        Ok(Ok(found)) => Some(found),
        Ok(Err(source)) if source.kind() == io::ErrorKind::NotFound => None,
        Ok(Err(source)) => Some(format!("cannot be read: {source}")),
        Err(_) => Some("a path that leads out of the folder".to_owned()),
    };
    let same = found.as_deref() == Some(hash);
    (!same).then(|| Difference { kind, place: path.to_owned(), recorded: Some(hash.to_owned()), found })
}

/// SHA-256 of a file within a folder, however long it is. What a link out of it leads to is no part of it, and reading a
/// pipe may never end.
fn hash_plain(folder: &Path, within: &Path) -> io::Result<String> {
    let place = folder.join(within).canonicalize()?;
    if !place.starts_with(folder.canonicalize()?) {
        return Err(io::Error::other("it is a link that leads out of the folder"));
    }
    if !place.is_file() {
        return Err(io::Error::other("it is no plain file"));
    }
    let (mut file, mut hash) = (fs::File::open(place)?, Sha256::new());
    let mut buffer = vec![0; 1 << 16];
    loop {
        match file.read(&mut buffer)? {
            0 => return Ok(hex(&hash.finalize())),
            read => hash.update(&buffer[..read]),
        }
    }
}

/// Every place at which two values differ.
fn values(recorded: Option<&Value>, found: Option<&Value>, way: &mut Vec<String>, out: &mut Vec<Difference>) {
    match (recorded, found) {
        (Some(Value::Object(a)), Some(Value::Object(b))) => {
            for key in a.keys().chain(b.keys().filter(|key| !a.contains_key(*key))) {
                way.push(key.clone());
                values(a.get(key), b.get(key), way, out);
                way.pop();
            }
        }
        (Some(Value::Array(a)), Some(Value::Array(b))) => {
            let (a, b) = (named(a), named(b));
            for key in a.keys().chain(b.keys()).collect::<BTreeSet<_>>() {
                way.push(key.1.clone());
                values(a.get(key).copied(), b.get(key).copied(), way, out);
                way.pop();
            }
        }
        (a, b) if a == b => {}
        (a, b) => {
            let text =
                |value: Option<&Value>| value.map(|value| value.as_str().map_or_else(|| brief(value), str::to_owned));
            out.push(Difference { kind: kind_of(way), place: way.join(" > "), recorded: text(a), found: text(b) });
        }
    }
}

/// The elements of a list by their path or id, where each has its own; else by their place.
fn named(list: &[Value]) -> BTreeMap<(usize, String), &Value> {
    let name = |value: &Value| ["path", "id"].iter().find_map(|key| Some(value.get(key)?.as_str()?.to_owned()));
    let names: BTreeSet<String> = list.iter().filter_map(name).collect();
    let by_name = names.len() == list.len();
    let key = |at: usize, value: &Value| match name(value) {
        Some(name) if by_name => (0, name),
        _ => (at, format!("{}", at + 1)),
    };
    list.iter().enumerate().map(|(at, value)| (key(at, value), value)).collect()
}

fn kind_of(way: &[String]) -> DifferenceKind {
    match way.first().map(String::as_str) {
        Some("schema" | "schema_version" | "tool" | "versions" | "settings") => DifferenceKind::Setting,
        Some("job_files" | "inputs") => DifferenceKind::Input,
        _ => DifferenceKind::Result,
    }
}

/// A value that is no text, cut to what a line can hold.
fn brief(value: &Value) -> String {
    let text = value.to_string();
    match text.char_indices().nth(120) {
        Some((at, _)) => format!("{}...", &text[..at]),
        None => text,
    }
}
