//! A folder of files: walked in order, each byte sequence read once, all files at the same time, one result.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fmt::Write as _;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::TimeDelta;
use grainfall_keep::Store;
use grainfall_record::{InputFile, Ledger, Outcome, ReadingHints, TidyFrame};
use rayon::prelude::*;

use crate::error::IngestError;
use crate::file::{FileRead, Outside, note_joined, sha256};
use crate::hints::Said;
use crate::kept::Kept;
use crate::merge::{FilePart, loggers};
use crate::open::{open, same_content};
use crate::refused;
use crate::siblings;

/// What reading gives: all samples, and the record of how they were read.
#[derive(Debug, Clone, Default)]
pub struct Reading {
    /// The samples.
    pub frame: TidyFrame,
    /// Every file seen and every logger found.
    pub ledger: Ledger,
}

/// How far reading a folder has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress<'a> {
    /// The folder has been walked.
    Found {
        /// Files to read.
        files: usize,
    },
    /// One more file has been read; files end in no particular order.
    Read {
        /// Its path within the folder.
        path: &'a str,
        /// Files read so far, this one included.
        done: usize,
        /// Files in all.
        files: usize,
    },
}

/// Reads every file below a folder.
///
/// `report/` at the top, names that begin with a dot, and the paths in `hints.not_exports` are passed over. Links are
/// not followed out of the folder. The result does not depend on the order in which files end.
///
/// # Arguments
/// * `folder`: the job's folder.
/// * `hints`: what a person said; [`ReadingHints::default`] when nothing was.
/// * `progress`: called from several threads.
///
/// # Errors
/// [`IngestError::Unreadable`] when the folder cannot be opened, [`IngestError::Empty`] when there is no file in it.
/// A file that cannot be read is no error: it is in the ledger.
pub fn read_folder(
    folder: &Path,
    hints: &ReadingHints,
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Result<Reading, IngestError> {
    read_folder_again(folder, hints, &Store::none(), progress)
}

/// Reads every file below a folder as [`read_folder`] does, but for those whose bytes were read before under equal
/// hints. The result is the same.
///
/// # Arguments
/// * `store`: what was read before, and where what is read now is kept.
///
/// # Errors
/// As [`read_folder`].
pub fn read_folder_again(
    folder: &Path,
    hints: &ReadingHints,
    store: &Store,
    progress: &(dyn Fn(Progress<'_>) + Sync),
) -> Result<Reading, IngestError> {
    let unreadable = |source| IngestError::Unreadable { path: folder.to_owned(), source };
    let root = folder.canonicalize().map_err(unreadable)?;
    let mut found = Vec::new();
    walk(&root, &root, "", hints, &mut found).map_err(unreadable)?;
    found.sort_by(|a, b| a.path.cmp(&b.path));
    if found.is_empty() {
        return Err(IngestError::Empty { path: folder.to_owned() });
    }
    let files = found.len();
    progress(Progress::Found { files });
    let done = AtomicUsize::new(0);
    let firsts = first_of_each(&found);
    let kept = Kept::new(store, Said::by_job(hints));
    let read: Vec<Vec<FileRead>> = found
        .par_iter()
        .enumerate()
        .map(|(at, one)| {
            let same = firsts.get(&at).map(|first| found[*first].path.as_str());
            let read = read_found(one, same, &kept);
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress(Progress::Read { path: &one.path, done, files });
            read
        })
        .collect();
    let mut read: Vec<FileRead> = read.into_iter().flatten().collect();
    siblings::settle(&mut read, |told| {
        let said = Said { hints, others: Some(told) };
        let kept = Kept::new(store, said);
        let wanted = found.par_iter().filter(|one| said.is_wanted(&one.path));
        wanted.flat_map_iter(|one| read_found(one, None, &kept)).collect()
    });
    assemble(same_content(read))
}

/// Reads one file.
///
/// # Arguments
/// * `path`: where it is.
/// * `name`: its path within the job's folder, by which hints select it and the ledger names it.
/// * `hints`: what a person said.
///
/// # Errors
/// [`IngestError::Unreadable`] when the file cannot be opened.
pub fn read_file(path: &Path, name: &str, hints: &ReadingHints) -> Result<Reading, IngestError> {
    match load(path).map_err(|source| IngestError::Unreadable { path: path.to_owned(), source })? {
        Loaded::Bytes(bytes) => read_bytes(name, &bytes, hints),
        Loaded::TooLong(bytes) => assemble(vec![too_long(name, bytes)]),
    }
}

/// Reads the bytes of one file.
///
/// # Arguments
/// * `name`: the file's path within the job's folder.
/// * `bytes`: what it holds.
/// * `hints`: what a person said.
///
/// # Errors
/// [`IngestError::Frame`] when the samples break the rules of the frame, which no input should bring about.
///
/// # Examples
/// ```
/// use grainfall_ingest::read_bytes;
/// use grainfall_record::{Quantity, ReadingHints};
///
/// let log = "Time (UTC),Temp (°F),RH (%)\n2025-03-08 06:00,50,40\n2025-03-08 06:10,68,41\n";
/// let reading = read_bytes("hall.csv", log.as_bytes(), &ReadingHints::default())?;
/// let hall = reading.frame.logger("hall").expect("one logger");
/// // 50 degF is 10 degC, 68 degF is 20 degC.
/// let temps = hall.column(Quantity::AirTemp).expect("a temperature");
/// assert!((temps[0].unwrap_or(0.0) - 10.0).abs() < 1e-9);
/// assert!((temps[1].unwrap_or(0.0) - 20.0).abs() < 1e-9);
/// # Ok::<(), grainfall_ingest::IngestError>(())
/// ```
pub fn read_bytes(name: &str, bytes: &[u8], hints: &ReadingHints) -> Result<Reading, IngestError> {
    let mut read = open(name, bytes, Said::by_job(hints));
    siblings::settle(&mut read, |told| open(name, bytes, Said { hints, others: Some(told) }));
    assemble(read)
}

/// Loggers of all files, and the counts that need them.
fn assemble(read: Vec<FileRead>) -> Result<Reading, IngestError> {
    let mut read = read;
    read.sort_by(|a, b| a.input.path.cmp(&b.input.path));
    let mut inputs: Vec<InputFile> = Vec::with_capacity(read.len());
    let mut parts = Vec::new();
    for one in read {
        let file = one.input.path.clone();
        parts.extend(one.parts.into_iter().map(|part| FilePart { file: file.clone(), part }));
        inputs.push(one.input);
    }
    let mut series = Vec::new();
    let mut ledger = Ledger::default();
    let mut samples: BTreeMap<String, u64> = BTreeMap::new();
    let (loggers, notes) = loggers(parts);
    let mut moved: BTreeMap<String, TimeDelta> = BTreeMap::new();
    for note in notes {
        if let Some(input) = inputs.iter_mut().find(|input| input.path == note.file) {
            input.decisions.push(note.decision);
        }
        if !note.shift.is_zero() {
            moved.insert(note.file, note.shift);
        }
    }
    // What was refused moves with the samples beside it.
    for input in &mut inputs {
        if let Some(by) = moved.get(&input.path) {
            refused::shift(&mut input.refused, *by);
        }
    }
    for logger in loggers {
        let mut by_file: BTreeMap<u32, u64> = BTreeMap::new();
        for run in logger.series.file.chunk_by(|a, b| a == b) {
            *by_file.entry(run[0]).or_default() += run.len() as u64;
        }
        for (file, count) in by_file {
            if let Some(name) = logger.series.file_table.name(file) {
                *samples.entry(name.to_string()).or_default() += count;
            }
        }
        for (file, rows) in &logger.joined {
            if let Some(input) = inputs.iter_mut().find(|input| input.path == *file) {
                note_joined(input, *rows, &logger.read.id);
            }
        }
        ledger.loggers.push(logger.read);
        series.push(logger.series);
    }
    for input in &mut inputs {
        if let Outcome::Read { samples: count, .. } = &mut input.outcome {
            *count = samples.get(&input.path).copied().unwrap_or(0);
        }
    }
    ledger.inputs = inputs;
    Ok(Reading { frame: TidyFrame::new(series)?, ledger })
}

/// A file found.
#[derive(Debug)]
struct Found {
    path: String,
    place: Place,
}

/// Where its bytes are.
#[derive(Debug)]
enum Place {
    File(PathBuf),
    /// A link that leads out of the folder, or nowhere.
    Outside,
    /// A folder within that cannot be opened, with what the system said.
    Closed(String),
}

/// Files below `folder`, in the order of their names.
fn walk(root: &Path, folder: &Path, prefix: &str, hints: &ReadingHints, found: &mut Vec<Found>) -> io::Result<()> {
    let mut entries: Vec<std::fs::DirEntry> = std::fs::read_dir(folder)?.collect::<io::Result<_>>()?;
    entries.sort_by_key(std::fs::DirEntry::file_name);
    for entry in entries {
        let name = shown(&entry.file_name());
        let path = if prefix.is_empty() { name.clone() } else { format!("{prefix}/{name}") };
        if name.starts_with('.') || path == "report" || hints.not_exports.iter().any(|other| is_path(other, &path)) {
            continue;
        }
        let full = entry.path();
        let kind = entry.file_type()?;
        if kind.is_dir() {
            if let Err(source) = walk(root, &full, &path, hints, found) {
                found.push(Found { path, place: Place::Closed(source.to_string()) });
            }
        } else if kind.is_symlink() {
            let place = match full.canonicalize() {
                Ok(target) if target.starts_with(root) => {
                    // What it leads to is found on its own; a link to a folder could lead in a circle.
                    if !target.is_file() {
                        continue;
                    }
                    Place::File(target)
                }
                _ => Place::Outside,
            };
            found.push(Found { path, place });
        } else if kind.is_file() {
            found.push(Found { path, place: Place::File(full) });
        }
    }
    Ok(())
}

/// A name or path as text. Bytes that are none are written out as `\xFF`, so that two names stay two.
#[must_use]
pub fn shown(name: &OsStr) -> String {
    let mut text = String::new();
    for chunk in name.as_encoded_bytes().utf8_chunks() {
        text.push_str(chunk.valid());
        for byte in chunk.invalid() {
            let _ = write!(text, "\\x{byte:02X}");
        }
    }
    text
}

/// Whether a path of the job is this one.
fn is_path(wanted: &str, path: &str) -> bool {
    wanted.replace('\\', "/").trim_start_matches("./") == path
}

/// For every file that holds the same bytes as an earlier one, the number of that one. Only files of one size are
/// compared.
fn first_of_each(found: &[Found]) -> BTreeMap<usize, usize> {
    let mut by_size: BTreeMap<u64, Vec<(usize, &Path)>> = BTreeMap::new();
    for (at, one) in found.iter().enumerate() {
        if let Place::File(full) = &one.place
            && let Ok(data) = std::fs::metadata(full)
            && data.len() <= LONGEST_FILE
        {
            by_size.entry(data.len()).or_default().push((at, full));
        }
    }
    let alike: Vec<(usize, &Path)> = by_size.into_values().filter(|group| group.len() > 1).flatten().collect();
    let mut hashed: Vec<(usize, String)> =
        alike.into_par_iter().filter_map(|(at, full)| Some((at, sha256(&std::fs::read(full).ok()?)))).collect();
    hashed.sort_unstable();
    let mut firsts: BTreeMap<String, usize> = BTreeMap::new();
    let mut same = BTreeMap::new();
    for (at, hash) in hashed {
        let first = *firsts.entry(hash).or_insert(at);
        if first != at {
            same.insert(at, first);
        }
    }
    same
}

/// Bytes of the longest file that is read. A longer one is no log, or a log of many years that can be split.
const LONGEST_FILE: u64 = (4 << 30) - 1;

/// What a file holds.
enum Loaded {
    Bytes(Vec<u8>),
    /// More than is read; so many bytes, as far as is known.
    TooLong(u64),
}

/// The bytes of a file. What says nothing of its length (a pipe) is read no further than the longest file.
fn load(path: &Path) -> io::Result<Loaded> {
    let file = File::open(path)?;
    let size = file.metadata()?.len();
    if size > LONGEST_FILE {
        return Ok(Loaded::TooLong(size));
    }
    if let Some(bytes) =
        usize::try_from(size).ok().filter(|size| *size >= 2 * PIECE).and_then(|size| pieces(path, size))
    {
        return Ok(Loaded::Bytes(bytes));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0));
    file.take(LONGEST_FILE + 1).read_to_end(&mut bytes)?;
    let read = bytes.len() as u64;
    Ok(if read > LONGEST_FILE { Loaded::TooLong(read) } else { Loaded::Bytes(bytes) })
}

/// Bytes of a long file that are read at the same time in one piece.
const PIECE: usize = 4 << 20;

/// The bytes of a long file, in pieces at the same time; `None` when it has another size by now.
fn pieces(path: &Path, size: usize) -> Option<Vec<u8>> {
    let mut bytes = vec![0; size];
    let read = bytes.par_chunks_mut(PIECE).enumerate().try_for_each(|(at, piece)| {
        let mut file = File::open(path)?;
        file.seek(SeekFrom::Start((at * PIECE) as u64))?;
        file.read_exact(piece)
    });
    let same = std::fs::metadata(path).is_ok_and(|data| data.len() == size as u64);
    (read.is_ok() && same).then_some(bytes)
}

/// The entry of a file too long to be read; it has no hash.
fn too_long(name: &str, bytes: u64) -> FileRead {
    Outside { path: name.to_owned(), sha256: String::new(), bytes }.ended(Outcome::Refused {
        reason: "the file has 4 GiB or more".to_owned(),
        remedy: "take it out of the folder if it is no log; else split it into files of some months each".to_owned(),
    })
}

/// Reads a file found, or says why not. `same` is the path of an earlier file with the same bytes.
fn read_found(one: &Found, same: Option<&str>, kept: &Kept<'_>) -> Vec<FileRead> {
    let refused = |reason: String, remedy: &str| Outcome::Refused { reason, remedy: remedy.to_owned() };
    let full = match &one.place {
        Place::File(full) => full,
        Place::Outside => {
            let reason = "a link that leads out of the folder or nowhere".to_owned();
            return vec![unread(one, Vec::new(), refused(reason, "put the file itself into the folder"))];
        }
        Place::Closed(source) => {
            let reason = format!("the folder cannot be opened: {source}");
            return vec![unread(one, Vec::new(), refused(reason, "allow reading it"))];
        }
    };
    match load(full) {
        Ok(Loaded::TooLong(bytes)) => vec![too_long(&one.path, bytes)],
        Ok(Loaded::Bytes(bytes)) => match same {
            Some(path) => vec![unread(one, bytes, Outcome::SameAs { path: path.to_owned() })],
            None => kept.open(&one.path, &bytes),
        },
        Err(source) => {
            let reason = format!("the file cannot be opened: {source}");
            vec![unread(one, Vec::new(), refused(reason, "allow reading it, or copy it again"))]
        }
    }
}

/// The entry of a file whose content is not looked at; the hash of one that cannot be opened is empty.
fn unread(one: &Found, bytes: Vec<u8>, outcome: Outcome) -> FileRead {
    let opened = matches!(outcome, Outcome::SameAs { .. });
    let input = InputFile {
        path: one.path.clone(),
        sha256: if opened { sha256(&bytes) } else { String::new() },
        bytes: bytes.len() as u64,
        outcome,
        decisions: Vec::new(),
        refused: Vec::new(),
        facts: BTreeMap::new(),
    };
    FileRead { input, parts: Vec::new(), content: String::new(), packed: false, shown: None }
}
