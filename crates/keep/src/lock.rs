//! One run at a time on a job folder.
//!
//! The lock is the system's own on an empty file beside the job's files: it ends with the process, however that ends,
//! and the file stays, since removing it would let two runs hold two files of one name.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

/// Name of the lock's file; a dot-file, so that it is no input.
pub const LOCK_FILE: &str = ".grainfall-lock";

/// Why a folder's lock could not be had.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LockError {
    /// No file can be made or opened in the folder.
    #[error("`{}`: nothing can be written into this folder; allow it, or use `grainfall check`, which needs none", .folder.display())]
    Closed {
        /// The job folder.
        folder: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Something else stands where the lock's file goes.
    #[error("`{}` is not a plain file; remove it, it is only used to keep two runs apart", .place.display())]
    NoFile {
        /// The path.
        place: PathBuf,
    },
    /// The file system has no locks, as some network folders.
    #[error("`{}`: this file system has no locks; see that only one run is at work there", .folder.display())]
    Unsupported {
        /// The job folder.
        folder: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

/// Held while a run writes into a job folder; let go when dropped.
#[derive(Debug)]
pub struct RunLock {
    _file: File,
}

impl RunLock {
    /// The lock of a job folder; `None` while another run holds it.
    ///
    /// # Errors
    /// [`LockError`]; after [`LockError::Unsupported`] a run may go on without.
    pub fn try_take(folder: &Path) -> Result<Option<Self>, LockError> {
        let place = folder.join(LOCK_FILE);
        match fs::symlink_metadata(&place) {
            // A link is not followed: it could make a file anywhere.
            Ok(data) if !data.is_file() => return Err(LockError::NoFile { place }),
            _ => {}
        }
        let closed = |source| LockError::Closed { folder: folder.to_owned(), source };
        // Nothing is ever written into it. Of somebody else who shares the folder it may be open to reading alone.
        let file = match File::options().create(true).truncate(false).write(true).open(&place) {
            Err(fault) if fault.kind() == io::ErrorKind::PermissionDenied => {
                File::open(&place).map_err(|_| closed(fault))?
            }
            other => other.map_err(closed)?,
        };
        match file.try_lock() {
            Ok(()) => Ok(Some(Self { _file: file })),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(source)) => Err(LockError::Unsupported { folder: folder.to_owned(), source }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_run_at_a_time() {
        let folder = tempfile::tempdir().unwrap();
        let first = RunLock::try_take(folder.path()).unwrap().expect("free");
        assert!(RunLock::try_take(folder.path()).unwrap().is_none());
        drop(first);
        let again = RunLock::try_take(folder.path()).unwrap();
        assert!(again.is_some());
        assert_eq!(fs::metadata(folder.path().join(LOCK_FILE)).unwrap().len(), 0);
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let gone = folder.path().join("gone");
        let fault = RunLock::try_take(&gone).unwrap_err().to_string();
        assert!(fault.starts_with(&format!("`{}`: nothing can be written into this folder; ", gone.display())));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_not_followed() {
        let folder = tempfile::tempdir().unwrap();
        let outside = folder.path().join("outside");
        std::os::unix::fs::symlink(&outside, folder.path().join(LOCK_FILE)).unwrap();
        let fault = RunLock::try_take(folder.path()).unwrap_err();
        assert!(matches!(fault, LockError::NoFile { .. }), "{fault}");
        assert!(!outside.exists());
    }
}
