//! What a job folder's files look like from outside: enough to see that one was added, changed, moved or removed.

use std::collections::BTreeMap;
use std::fs::{self, Metadata};
use std::io;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use crate::folder::is_input;

/// The files of a folder, by path.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Look(BTreeMap<PathBuf, Stamp>);

/// A file from outside. Times are compared for being the same, never for which is later: clocks are set back.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Stamp {
    bytes: u64,
    modified: Option<SystemTime>,
    /// Changes also when a file of the same size and time takes the place of another.
    identity: (u64, i64, i64),
}

impl Look {
    /// Looks at every file that a report could rest on. What vanishes or cannot be opened meanwhile is left out:
    /// reading says what it is about.
    ///
    /// # Errors
    /// When the folder itself cannot be listed.
    pub fn at(folder: &Path) -> io::Result<Self> {
        let mut look = Self::default();
        let mut folders = vec![PathBuf::new()];
        while let Some(within) = folders.pop() {
            let entries = match fs::read_dir(folder.join(&within)) {
                Ok(entries) => entries,
                Err(error) if within.as_os_str().is_empty() => return Err(error),
                Err(_) => continue,
            };
            for entry in entries.flatten() {
                let path = within.join(entry.file_name());
                // A link counts by what it leads to; a link to a folder is not followed.
                let Ok(kind) = entry.file_type() else { continue };
                if !is_input(&path) {
                    continue;
                }
                if kind.is_dir() {
                    folders.push(path);
                } else if let Ok(data) = fs::metadata(entry.path())
                    && data.is_file()
                {
                    look.0.insert(path, Stamp::of(&data));
                }
            }
        }
        Ok(look)
    }

    /// Whether there is no file.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl Stamp {
    fn of(data: &Metadata) -> Self {
        Self { bytes: data.len(), modified: data.modified().ok(), identity: identity(data) }
    }
}

/// Number of the file and time of its last change of any kind.
#[cfg(unix)]
fn identity(data: &Metadata) -> (u64, i64, i64) {
    use std::os::unix::fs::MetadataExt;
    (data.ino(), data.ctime(), data.ctime_nsec())
}

#[cfg(not(unix))]
fn identity(_data: &Metadata) -> (u64, i64, i64) {
    (0, 0, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn own_outputs_and_dot_files_are_not_looked_at() {
        let job = tempfile::tempdir().unwrap();
        let at = |path: &str| job.path().join(path);
        fs::create_dir_all(at("loggers/report")).unwrap();
        fs::write(at("loggers/report/a.csv"), "1").unwrap();
        let first = Look::at(job.path()).unwrap();
        assert_eq!(first.0.len(), 1, "`report` is an output at the top only");
        fs::create_dir_all(at("report/charts")).unwrap();
        fs::create_dir_all(at(".report-new-x")).unwrap();
        for path in ["report/summary.json", ".report-new-x/summary.json", ".grainfall-lock"] {
            fs::write(at(path), "1").unwrap();
        }
        assert_eq!(Look::at(job.path()).unwrap(), first);
    }

    #[cfg(unix)]
    #[test]
    fn a_file_of_the_same_size_and_time_renamed_into_place_is_seen() {
        let job = tempfile::tempdir().unwrap();
        let at = |path: &str| job.path().join(path);
        let time = SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000_000);
        let write = |path: &str, text: &str| {
            fs::write(at(path), text).unwrap();
            fs::File::options().write(true).open(at(path)).unwrap().set_modified(time).unwrap();
        };
        write("a.csv", "one");
        let before = Look::at(job.path()).unwrap();
        assert_eq!(Look::at(job.path()).unwrap(), before);
        write(".a.part", "two");
        fs::rename(at(".a.part"), at("a.csv")).unwrap();
        assert_ne!(Look::at(job.path()).unwrap(), before);
    }

    #[cfg(unix)]
    #[test]
    fn links_in_a_circle_end() {
        let job = tempfile::tempdir().unwrap();
        std::os::unix::fs::symlink(job.path(), job.path().join("again")).unwrap();
        std::os::unix::fs::symlink("me", job.path().join("me")).unwrap();
        fs::write(job.path().join("a.csv"), "1").unwrap();
        assert_eq!(Look::at(job.path()).unwrap().0.len(), 1);
    }
}
