//! The one function that touches the disk: the job's own files of a folder, as text.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::fault::{Fault, FaultKind, Faults, Spot};
use crate::job_text::{JobFiles, Names, parse_named};
use crate::model::Job;
use crate::{AIR_CSV, EQUIPMENT_CSV, JOB_TOML, READINGS_CSV, VISITS_CSV};

/// The largest file that is read: far more than anybody writes by hand.
pub const LIMIT_MIB: u64 = 16;

/// Why the job of a folder could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LoadError {
    /// The folder itself cannot be read.
    #[error("`{}` cannot be read as a folder; check the path and that it may be read", .folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// What the system said.
        #[source]
        source: io::Error,
    },
    /// Something in the files is wrong.
    #[error(transparent)]
    Faults(#[from] Faults),
}

/// Reads, parses and checks the job's own files of a folder (`job.toml`, `readings.csv`, `air.csv`, `visits.csv`,
/// `equipment.csv`, upper or lower case). A folder without any is an empty job in UTC. Nothing else is opened.
///
/// # Errors
/// [`LoadError::Folder`] when the folder cannot be listed; [`LoadError::Faults`] with everything that is wrong in the
/// files, a file larger than [`LIMIT_MIB`], unreadable or not in UTF-8 among it.
pub fn load(folder: &Path) -> Result<Job, LoadError> {
    Ok(load_with_texts(folder)?.0)
}

/// Reads the job of a folder as [`load`] does, and gives the texts it was read from by the names in [`Job::files`], each
/// byte for byte what its file holds.
///
/// # Errors
/// As [`load`].
pub fn load_with_texts(folder: &Path) -> Result<(Job, BTreeMap<String, String>), LoadError> {
    let listing = names_in(folder).map_err(|source| LoadError::Folder { folder: folder.to_owned(), source })?;
    let mut faults = Vec::new();
    let mut text = |name: &str| match find(&listing, name) {
        Found::Nothing => (name.to_owned(), None),
        Found::One(found) => {
            let text = read(folder, found).map_err(|kind| faults.push(fault(found, kind))).ok();
            (found.to_owned(), text)
        }
        Found::Two(first, second) => {
            let kind = FaultKind::TwoNames { first: first.to_owned(), second: second.to_owned() };
            faults.push(fault(name, kind));
            (name.to_owned(), None)
        }
    };
    let job_toml = text(JOB_TOML);
    let readings = text(READINGS_CSV);
    let air = text(AIR_CSV);
    let visits = text(VISITS_CSV);
    let equipment = text(EQUIPMENT_CSV);
    let names =
        Names { job_toml: job_toml.0, readings: readings.0, air: air.0, visits: visits.0, equipment: equipment.0 };
    let files =
        JobFiles { job_toml: job_toml.1, readings: readings.1, air: air.1, visits: visits.1, equipment: equipment.1 };
    let job = parse_named(&files, &names, faults)?;
    let texts = [
        (names.job_toml, files.job_toml),
        (names.readings, files.readings),
        (names.air, files.air),
        (names.visits, files.visits),
        (names.equipment, files.equipment),
    ];
    Ok((job, texts.into_iter().filter_map(|(name, text)| Some((name, text?))).collect()))
}

/// The text of one file's bytes.
///
/// # Errors
/// [`FaultKind::NotUtf8`] for anything but UTF-8, with or without a byte order mark.
pub fn decode(bytes: Vec<u8>) -> Result<String, FaultKind> {
    let found = match bytes.as_slice() {
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => Some("UTF-16 text".to_owned()),
        _ if bytes.contains(&0) => Some("zero bytes, as in UTF-16 text or a spreadsheet".to_owned()),
        [b'P', b'K', 3, 4, ..] => Some("a spreadsheet or zip file".to_owned()),
        _ => None,
    };
    if let Some(found) = found {
        return Err(FaultKind::NotUtf8 { found });
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = 1 + error.as_bytes().iter().take(at).filter(|byte| **byte == b'\n').count();
        FaultKind::NotUtf8 { found: format!("a byte on line {line} that is not UTF-8") }
    })
}

fn names_in(folder: &Path) -> io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder)? {
        if let Ok(name) = entry?.file_name().into_string() {
            names.push(name);
        }
    }
    names.sort();
    Ok(names)
}

enum Found<'a> {
    Nothing,
    One(&'a str),
    Two(&'a str, &'a str),
}

fn find<'a>(listing: &'a [String], name: &str) -> Found<'a> {
    let mut same = listing.iter().map(String::as_str).filter(|other| other.eq_ignore_ascii_case(name));
    match (same.next(), same.next()) {
        (None, _) => Found::Nothing,
        (Some(one), None) => Found::One(one),
        (Some(first), Some(second)) => Found::Two(first, second),
    }
}

fn read(folder: &Path, name: &str) -> Result<String, FaultKind> {
    let unreadable = |error: io::Error| FaultKind::Unreadable { reason: error.kind().to_string() };
    let path = &folder.join(name).canonicalize().map_err(unreadable)?;
    if !path.starts_with(folder.canonicalize().map_err(unreadable)?) {
        return Err(FaultKind::LeadsOut);
    }
    if !fs::metadata(path).map_err(unreadable)?.is_file() {
        return Err(FaultKind::Unreadable { reason: "not a file".to_owned() });
    }
    let limit = LIMIT_MIB * 1024 * 1024;
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(limit + 1).read_to_end(&mut bytes)).map_err(unreadable)?;
    if u64::try_from(bytes.len()).is_ok_and(|length| length > limit) {
        return Err(FaultKind::TooLarge { limit_mib: LIMIT_MIB });
    }
    decode(bytes)
}

fn fault(file: &str, kind: FaultKind) -> Fault {
    Fault { at: Spot::file(&Arc::from(file)), kind }
}
