//! How a new folder takes the place of an old one.
//!
//! Old and new folder change places in one step where the system has one (Linux, macOS). Elsewhere it takes two, and a
//! run that ends between them leaves the old report aside, from where [`mend`] puts it back.
//!
//! What cannot be removed of a report that was replaced is no failure: network folders keep a file that somebody still
//! reads under another name until it is closed. It stays aside and goes with a later run.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::failed;
use crate::Error;

/// What the name of a report begins with while it is being written.
pub(super) const NEW: &str = ".report-new-";
/// What the name of the folder begins with in which an old report is moved aside.
pub(super) const OLD: &str = ".report-old-";
/// Name of the old report within that folder.
const ASIDE: &str = "report";
/// Its name once it was replaced, under which it is never put back.
const REPLACED: &str = "replaced";

/// A report that another took the place of.
pub(super) struct Replaced {
    /// Where its files are now.
    pub report: PathBuf,
    /// What goes when they do.
    holder: PathBuf,
}

impl Replaced {
    /// Removes it, as far as the system lets it.
    pub fn let_go(self) {
        let_go(&self.holder);
    }
}

/// An empty folder beside the report.
pub(super) fn fresh(report_dir: &Path) -> Result<TempDir, Error> {
    let path = || report_dir.display().to_string();
    match fs::symlink_metadata(report_dir) {
        Ok(data) if data.is_symlink() => return Err(Error::ReportLink { path: path() }),
        // Somebody's own: it would have to be moved away.
        Ok(data) if !data.is_dir() => return Err(Error::ReportFile { path: path() }),
        _ => {}
    }
    let parent = parent(report_dir);
    let mut builder = tempfile::Builder::new();
    builder.prefix(NEW);
    // Temporary folders are made for their owner alone; a report is a folder like any other that the person makes, under
    // their own mask. Nothing is set later: not every file system lets rights be set.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
    builder.tempdir_in(parent).map_err(|source| failed(parent, "make a folder for the report", source))
}

/// Puts right what a run that was killed left beside a report: an old report that was moved aside is put back, and what
/// was never finished is removed as far as the system lets it. Only for a run that knows no other to be at work on the folder.
///
/// # Errors
/// [`Error::Write`] when the system refuses.
pub fn mend(report_dir: &Path) -> Result<(), Error> {
    let parent = parent(report_dir);
    for aside in unfinished(parent, &[OLD])? {
        let old = aside.join(ASIDE);
        if fs::symlink_metadata(report_dir).is_err() && fs::symlink_metadata(&old).is_ok() {
            fs::rename(&old, report_dir).map_err(|source| failed(&old, "put the old report back from", source))?;
        }
    }
    remove_unfinished(parent)
}

/// Removes what a run that was killed left in a folder of reports that are all made again, as far as the system lets
/// it. Only for a run that knows no other to be at work on the folder.
///
/// # Errors
/// [`Error::Write`] when the folder cannot be listed.
pub fn remove_unfinished(folder: &Path) -> Result<(), Error> {
    for place in unfinished(folder, &[NEW, OLD])? {
        let_go(&place);
    }
    Ok(())
}

/// Takes a folder that was written as a whole away as a whole. What somebody still reads of it stays aside until
/// [`remove_unfinished`] comes by later.
///
/// # Errors
/// [`Error::Write`] when the system refuses.
pub fn remove_outputs(report_dir: &Path) -> Result<(), Error> {
    let_go(&move_aside(parent(report_dir), report_dir)?.keep());
    Ok(())
}

/// Removes what is needed no more, as far as the system lets it.
fn let_go(place: &Path) {
    let _ = fs::rename(place.join(ASIDE), place.join(REPLACED));
    if fs::remove_dir_all(place).is_err() {
        // A folder that somebody closed to writing would stay, and one more with each report.
        #[cfg(unix)]
        open_up(place);
        let _ = fs::remove_dir_all(place);
    }
}

/// Lets the owner write into a folder and all below it.
#[cfg(unix)]
fn open_up(place: &Path) {
    let mut folders = vec![place.to_owned()];
    while let Some(folder) = folders.pop() {
        let _ = fs::set_permissions(&folder, std::os::unix::fs::PermissionsExt::from_mode(0o700));
        let entries = fs::read_dir(&folder).into_iter().flatten().flatten();
        folders.extend(entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir())).map(|one| one.path()));
    }
}

/// Folders whose names begin so.
fn unfinished(folder: &Path, names: &[&str]) -> Result<Vec<PathBuf>, Error> {
    let mut places = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else { return Ok(places) };
    for entry in entries {
        let entry = entry.map_err(|source| failed(folder, "list", source))?;
        let name = entry.file_name();
        let is_ours = names.iter().any(|begin| name.as_encoded_bytes().starts_with(begin.as_bytes()));
        if is_ours && entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            places.push(entry.path());
        }
    }
    Ok(places)
}

fn parent(report_dir: &Path) -> &Path {
    match report_dir.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Puts the finished folder in the place of the old one; returns where that is now.
pub(super) fn swap(fresh: TempDir, report_dir: &Path) -> Result<Option<Replaced>, Error> {
    let parent = parent(report_dir);
    let aside = match fs::symlink_metadata(report_dir) {
        Err(_) => None,
        Ok(old) if old.is_dir() && exchange(fresh.path(), report_dir).is_ok() => {
            if let Err(fault) = sync(parent) {
                // What is not on disk is not there: the old report is put back.
                let _ = exchange(fresh.path(), report_dir);
                return Err(fault);
            }
            // The old report now has the name that the new one had.
            let holder = fresh.keep();
            return Ok(Some(Replaced { report: holder.clone(), holder }));
        }
        Ok(_) => Some(move_aside(parent, report_dir)?),
    };
    let placed = fs::rename(fresh.path(), report_dir)
        .map_err(|source| failed(report_dir, "put the new report in place at", source))
        .and_then(|()| sync(parent).inspect_err(|_| drop(fs::rename(report_dir, fresh.path()))));
    if let Err(fault) = placed {
        if let Some(aside) = aside
            && let Err(source) = fs::rename(aside.path().join(ASIDE), report_dir)
        {
            // Even that failed: the old report stays whole where it was moved aside, and the message says where.
            return Err(failed(&aside.keep().join(ASIDE), "move the old report back from", source));
        }
        return Err(fault);
    }
    // The folder has moved away from under its guard, which must not look for it any more.
    let _ = fresh.keep();
    Ok(aside.map(|aside| {
        let holder = aside.keep();
        Replaced { report: holder.join(ASIDE), holder }
    }))
}

/// Lets two folders change their names in one step; an error where the system cannot.
#[cfg(any(target_os = "linux", target_os = "macos"))]
fn exchange(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

#[cfg(not(any(target_os = "linux", target_os = "macos")))]
fn exchange(_one: &Path, _other: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// The old report in a folder of its own beside the job's files.
fn move_aside(parent: &Path, report_dir: &Path) -> Result<TempDir, Error> {
    let aside = tempfile::Builder::new()
        .prefix(OLD)
        .tempdir_in(parent)
        .map_err(|source| failed(parent, "make a folder for the report", source))?;
    fs::rename(report_dir, aside.path().join(ASIDE)).map_err(|source| failed(report_dir, "move aside", source))?;
    Ok(aside)
}

/// Puts the names in a folder and in those below it on disk. Links are not followed: they may lead anywhere.
pub(super) fn sync_folders(folder: &Path) -> Result<(), Error> {
    let entries = fs::read_dir(folder).map_err(|source| failed(folder, "list", source))?;
    for entry in entries {
        let entry = entry.map_err(|source| failed(folder, "list", source))?;
        if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            sync_folders(&entry.path())?;
        }
    }
    sync(folder)
}

/// Puts a folder's list of names on disk, where the system can do that.
fn sync(folder: &Path) -> Result<(), Error> {
    if cfg!(unix) {
        let opened = File::open(folder).map_err(|source| failed(folder, "open", source))?;
        match opened.sync_all() {
            // Some network folders, and some brought by programs of the user, know it for files alone.
            Err(fault) if matches!(fault.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {}
            other => other.map_err(|source| failed(folder, "put on disk", source))?,
        }
    }
    Ok(())
}
