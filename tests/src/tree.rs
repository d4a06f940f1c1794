//! What lies below a folder.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use grainfall_report::manifest::sha256;

/// SHA-256 by path within the folder.
pub type Tree = BTreeMap<String, String>;

/// The hashes of all files below a folder; empty when it is not there.
///
/// # Errors
/// When a folder cannot be listed or a file cannot be read.
pub fn tree(folder: &Path) -> io::Result<Tree> {
    let hashed = |(path, bytes): (PathBuf, Vec<u8>)| (path.to_string_lossy().into_owned(), sha256(&bytes));
    Ok(files(folder)?.into_iter().map(hashed).collect())
}

/// All files below a folder, by path within it; empty when it is not there.
///
/// # Errors
/// When a folder cannot be listed or a file cannot be read.
pub fn files(folder: &Path) -> io::Result<BTreeMap<PathBuf, Vec<u8>>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![PathBuf::new()];
    while let Some(within) = folders.pop() {
        let entries = match fs::read_dir(folder.join(&within)) {
            Err(fault) if fault.kind() == io::ErrorKind::NotFound => continue,
            other => other?,
        };
        for entry in entries {
            let entry = entry?;
            let path = within.join(entry.file_name());
            if entry.file_type()?.is_dir() {
                folders.push(path);
            } else {
                files.insert(path, fs::read(entry.path())?);
            }
        }
    }
    Ok(files)
}
