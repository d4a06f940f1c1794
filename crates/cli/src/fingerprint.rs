//! One hash over everything a job folder is judged by, so that an unchanged job need not be judged again.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::folder::is_input;

/// SHA-256 over names and content of all files that a report could rest on, and over `besides`: whatever else the
/// result depends on.
///
/// # Errors
/// When a folder cannot be listed or a file cannot be read.
pub fn fingerprint(folder: &Path, besides: &[&str]) -> io::Result<String> {
    let mut hash = Sha256::new();
    for text in besides {
        part(&mut hash, text.as_bytes());
    }
    let root = folder.canonicalize()?;
    add(&root, Path::new(""), &mut hash)?;
    Ok(hex(hash))
}

fn add(root: &Path, within: &Path, hash: &mut Sha256) -> io::Result<()> {
    let mut entries: Vec<fs::DirEntry> = fs::read_dir(root.join(within))?.collect::<io::Result<_>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = entry.file_name();
        let below = within.join(&name);
        if !is_input(&below) {
            continue;
        }
        let kind = entry.file_type()?;
        part(hash, name.as_encoded_bytes());
        let mut path = entry.path();
        if kind.is_symlink() {
            // Only what lies within the job is ever read through a link.
            match path.canonicalize() {
                Ok(target) if target.starts_with(root) && target.is_file() => path = target,
                _ => {
                    part(hash, b"link");
                    continue;
                }
            }
        }
        if kind.is_dir() {
            part(hash, b"folder");
            add(root, &below, hash)?;
            part(hash, b"end");
        } else if path.is_file() {
            let mut own = Sha256::new();
            content(&path, &mut own)?;
            part(hash, &own.finalize());
        }
    }
    Ok(())
}

/// Adds bytes with their length, so that no two lists of parts run into each other.
fn part(hash: &mut Sha256, bytes: &[u8]) {
    hash.update((bytes.len() as u64).to_le_bytes());
    hash.update(bytes);
}

fn content(path: &Path, hash: &mut Sha256) -> io::Result<()> {
    let mut file = File::open(path)?;
    let mut buffer = vec![0; 1 << 16];
    loop {
        match file.read(&mut buffer)? {
            0 => return Ok(()),
            read => hash.update(&buffer[..read]),
        }
    }
}

fn hex(hash: Sha256) -> String {
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn content_and_names_count_and_times_and_reports_do_not() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::create_dir_all(at("loggers")).unwrap();
        fs::write(at("loggers/a.csv"), "1").unwrap();
        let first = fingerprint(folder.path(), &["us"]).unwrap();
        fs::create_dir(at("report")).unwrap();
        fs::write(at("report/x"), "x").unwrap();
        fs::write(at(".hidden"), "x").unwrap();
        fs::write(at("loggers/a.csv"), "1").unwrap();
        assert_eq!(fingerprint(folder.path(), &["us"]).unwrap(), first);
        assert_ne!(fingerprint(folder.path(), &["si"]).unwrap(), first);
        fs::write(at("loggers/a.csv"), "2").unwrap();
        assert_ne!(fingerprint(folder.path(), &["us"]).unwrap(), first);
        fs::write(at("loggers/a.csv"), "1").unwrap();
        fs::rename(at("loggers/a.csv"), at("loggers/b.csv")).unwrap();
        assert_ne!(fingerprint(folder.path(), &["us"]).unwrap(), first);
        fs::rename(at("loggers/b.csv"), at("a.csv")).unwrap();
        assert_ne!(fingerprint(folder.path(), &["us"]).unwrap(), first, "a file moved out of its folder");
    }
}
