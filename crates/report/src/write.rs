//! The report folder, whole or not at all.
//!
//! Everything is written into a folder beside the report's own and put on disk before it takes its place by a rename.
//! A reader sees the old report or the new one, never a mixture; a failure leaves the old one as it was. What somebody
//! else put into the folder is carried over: only files that an earlier report wrote, by its own manifest, are replaced.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use rayon::prelude::*;

use crate::manifest::{MANIFEST, SIGNATURE};
use crate::{Error, Outputs};

/// Writes all outputs as the folder `report_dir`, which is replaced as a whole if it exists.
///
/// # Errors
/// [`Error::OutputPath`] for a path that leads out of the folder, [`Error::ReportLink`] when the folder is a link;
/// [`Error::Write`] when the system refuses. In each case an existing report stays as it was.
pub fn write_outputs(report_dir: &Path, outputs: &Outputs) -> Result<(), Error> {
    if fs::symlink_metadata(report_dir).is_ok_and(|data| data.is_symlink()) {
        return Err(Error::ReportLink { path: report_dir.display().to_string() });
    }
    let parent = match report_dir.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let fresh = tempfile::Builder::new()
        .prefix(".report-new-")
        .tempdir_in(parent)
        .map_err(|source| failed(parent, "make a folder beside the report in", source))?;
    // Waiting for the disk is most of the time, so files are written side by side.
    outputs.files.par_iter().try_for_each(|(path, bytes)| write_file(fresh.path(), path, bytes))?;
    carry_over(report_dir, fresh.path(), outputs)?;
    sync_folders(fresh.path())?;
    swap(parent, fresh, report_dir)
}

/// Takes along every file of the old folder that no report wrote. A file
/// that stands where a new output goes is replaced.
fn carry_over(report_dir: &Path, fresh: &Path, outputs: &Outputs) -> Result<(), Error> {
    let written = written_before(report_dir);
    let mut folders = vec![PathBuf::new()];
    while let Some(folder) = folders.pop() {
        let place = report_dir.join(&folder);
        let Ok(entries) = fs::read_dir(&place) else { continue };
        for entry in entries {
            let entry = entry.map_err(|source| failed(&place, "list", source))?;
            let path = folder.join(entry.file_name());
            let kind = entry.file_type().map_err(|source| failed(&entry.path(), "look at", source))?;
            if kind.is_dir() {
                folders.push(path);
                continue;
            }
            let name = path.to_string_lossy().replace('\\', "/");
            if written.contains(&name) || outputs.files.contains_key(&name) {
                continue;
            }
            let target = fresh.join(&path);
            if let Some(parent) = target.parent() {
                fs::create_dir_all(parent).map_err(|source| failed(parent, "make the folder", source))?;
            }
            // A second name for the same file costs nothing; where the file system has none, a copy does.
            fs::hard_link(entry.path(), &target)
                .or_else(|_| fs::copy(entry.path(), &target).map(|_| ()))
                .map_err(|source| failed(&entry.path(), "keep", source))?;
        }
    }
    Ok(())
}

/// The files an earlier report wrote, by its manifest; empty without one that can be read.
fn written_before(report_dir: &Path) -> BTreeSet<String> {
    let read = || -> Option<BTreeSet<String>> {
        let text = fs::read(report_dir.join(MANIFEST)).ok()?;
        let manifest: serde_json::Value = serde_json::from_slice(&text).ok()?;
        let outputs = manifest.get("outputs")?.as_object()?;
        // A signature is of one manifest and must not outlive it.
        Some(outputs.keys().cloned().chain([MANIFEST, SIGNATURE].map(str::to_owned)).collect())
    };
    read().unwrap_or_default()
}

/// Puts the finished folder in the place of the old one.
fn swap(parent: &Path, fresh: tempfile::TempDir, report_dir: &Path) -> Result<(), Error> {
    set_open_to_read(fresh.path())?;
    let old = if fs::symlink_metadata(report_dir).is_ok() {
        let aside = tempfile::Builder::new()
            .prefix(".report-old-")
            .tempdir_in(parent)
            .map_err(|source| failed(parent, "make a folder beside the report in", source))?;
        let place = aside.path().join("report");
        fs::rename(report_dir, &place).map_err(|source| failed(report_dir, "move aside", source))?;
        Some((aside, place))
    } else {
        None
    };
    if let Err(source) = fs::rename(fresh.path(), report_dir) {
        if let Some((aside, place)) = old
            && let Err(source) = fs::rename(&place, report_dir)
        {
            // Even that failed: the old report stays whole where it was moved aside, and the message says where.
            let _ = aside.keep();
            return Err(failed(&place, "move the old report back from", source));
        }
        return Err(failed(report_dir, "put the new report in place at", source));
    }
    // The folder has moved away from under its guard, which must not look for it any more.
    let _ = fresh.keep();
    sync(parent)?;
    if let Some((aside, _)) = old {
        aside.close().map_err(|source| failed(parent, "remove the old report in", source))?;
    }
    Ok(())
}

fn write_file(folder: &Path, path: &str, bytes: &[u8]) -> Result<(), Error> {
    let place = folder.join(inside(path)?);
    if let Some(parent) = place.parent() {
        fs::create_dir_all(parent).map_err(|source| failed(parent, "make the folder", source))?;
    }
    let write = || -> io::Result<()> {
        let mut file = File::create_new(&place)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|source| failed(&place, "write", source))
}

/// A relative path of plain names.
pub(crate) fn inside(path: &str) -> Result<PathBuf, Error> {
    let plain = Path::new(path);
    let is_plain = !path.is_empty() && plain.components().all(|part| matches!(part, Component::Normal(_)));
    if is_plain { Ok(plain.to_owned()) } else { Err(Error::OutputPath { path: path.to_owned() }) }
}

fn sync_folders(folder: &Path) -> Result<(), Error> {
    let entries = fs::read_dir(folder).map_err(|source| failed(folder, "list", source))?;
    for entry in entries {
        let path = entry.map_err(|source| failed(folder, "list", source))?.path();
        if path.is_dir() {
            sync_folders(&path)?;
        }
    }
    sync(folder)
}

/// Puts a folder's list of names on disk, where the system can do that.
fn sync(folder: &Path) -> Result<(), Error> {
    if cfg!(unix) {
        let opened = File::open(folder).map_err(|source| failed(folder, "open", source))?;
        opened.sync_all().map_err(|source| failed(folder, "put on disk", source))?;
    }
    Ok(())
}

/// Temporary folders are made for their owner alone; a report is for everyone who may read the job's folder.
#[cfg(unix)]
fn set_open_to_read(folder: &Path) -> Result<(), Error> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(folder, fs::Permissions::from_mode(0o755))
        .map_err(|source| failed(folder, "set the permissions of", source))
}

#[cfg(not(unix))]
fn set_open_to_read(_folder: &Path) -> Result<(), Error> {
    Ok(())
}

fn failed(path: &Path, action: &'static str, source: io::Error) -> Error {
    Error::Write { path: path.display().to_string(), action, source }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outputs(files: &[(&str, &str)]) -> Outputs {
        Outputs { files: files.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect() }
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_report_replaces_the_one_before_as_a_whole() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        let manifest = r#"{"outputs": {"a.txt": "", "charts/old.svg": ""}}"#;
        write_outputs(&report, &outputs(&[("a.txt", "one"), ("charts/old.svg", "x"), (MANIFEST, manifest)])).unwrap();
        fs::create_dir(report.join("photos")).unwrap();
        fs::write(report.join("photos/hall.jpg"), "kept").unwrap();
        fs::write(report.join("signed.txt"), "kept").unwrap();
        write_outputs(&report, &outputs(&[("a.txt", "two"), ("tables/b.csv", "y")])).unwrap();
        assert_eq!(fs::read_to_string(report.join("photos/hall.jpg")).unwrap(), "kept");
        assert_eq!(fs::read_to_string(report.join("signed.txt")).unwrap(), "kept");
        assert!(!report.join(MANIFEST).exists(), "an old manifest does not outlive its report");
        assert_eq!(fs::read_to_string(report.join("a.txt")).unwrap(), "two");
        assert_eq!(fs::read_to_string(report.join("tables/b.csv")).unwrap(), "y");
        assert!(!report.join("charts").exists(), "the old charts are gone");
        assert_eq!(names(job.path()), ["report"], "nothing is left beside the report");
    }

    #[test]
    fn a_failing_write_leaves_the_old_report() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        write_outputs(&report, &outputs(&[("a.txt", "one")])).unwrap();
        // `b` cannot be a file and a folder at once.
        let fault = write_outputs(&report, &outputs(&[("a.txt", "two"), ("b", "x"), ("b/c.txt", "y")])).unwrap_err();
        assert!(matches!(fault, Error::Write { .. }), "{fault}");
        assert_eq!(fs::read_to_string(report.join("a.txt")).unwrap(), "one");
        assert_eq!(names(job.path()), ["report"]);
        assert_eq!(names(&report), ["a.txt"]);
    }

    #[test]
    fn a_path_out_of_the_folder_is_refused() {
        let job = tempfile::tempdir().unwrap();
        for path in ["../a.txt", "/a.txt", "charts/../../a.txt", ""] {
            let fault = write_outputs(&job.path().join("report"), &outputs(&[(path, "x")])).unwrap_err();
            assert_eq!(
                fault.to_string(),
                format!(
                    "output `{path}` would lie outside the report folder; accepted are relative paths without `..`"
                )
            );
        }
        assert!(names(job.path()).is_empty());
    }
}
