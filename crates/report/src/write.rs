//! The report folder, whole or not at all.
//!
//! Everything is written into a folder beside the report's own and put on disk before it takes its place by a rename.
//! A reader sees the old report or the new one, never a mixture; a failure leaves the old one as it was. What somebody
//! else put into the folder is carried over: only files that an earlier report wrote, by its own manifest, are replaced.
//!
//! A summary is made long before the documents are. [`write_summary_first`] puts it in place with a manifest that says
//! which outputs are still those of the report before; this, too, is a folder that takes its place as a whole.
//!
//! Old and new folder change places in one step where the system has one (Linux, macOS). Elsewhere it takes two, and a
//! run that ends between them leaves the old report aside, from where [`mend`] puts it back.
//!
//! What cannot be removed of a report that was replaced is no failure: network folders keep a file that somebody still
//! reads under another name until it is closed. It stays aside and goes with a later run.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use rayon::prelude::*;

use crate::manifest::{self, MANIFEST, SIGNATURE, SUMMARY};
use crate::{Error, Outputs, RenderInput, summary};

/// What the name of a report begins with while it is being written.
const NEW: &str = ".report-new-";
/// What the name of the folder begins with in which an old report is moved aside.
const OLD: &str = ".report-old-";
/// Name of the old report within that folder.
const ASIDE: &str = "report";
/// Its name once it was replaced, under which it is never put back.
const REPLACED: &str = "replaced";

/// Writes all outputs as the folder `report_dir`, which is replaced as a whole if it exists.
///
/// # Errors
/// [`Error::OutputPath`] for a path that leads out of the folder, [`Error::ReportLink`] when the folder is a link;
/// [`Error::Write`] when the system refuses. In each case an existing report stays as it was.
pub fn write_outputs(report_dir: &Path, outputs: &Outputs) -> Result<(), Error> {
    let fresh = fresh(report_dir)?;
    // Waiting for the disk is most of the time, so files are written side by side.
    outputs.files.par_iter().try_for_each(|(path, bytes)| write_file((fresh.path(), report_dir), path, bytes))?;
    let written = manifest::Old::of(report_dir).unwrap_or_default().outputs;
    // A signature is of one manifest and must not outlive it.
    let is_ours =
        |name: &str| [MANIFEST, SIGNATURE].contains(&name) && !written.is_empty() || written.contains_key(name);
    carry_over(report_dir, fresh.path(), &|name| !is_ours(name) && !outputs.files.contains_key(name))?;
    sync_folders(fresh.path())?;
    swap(fresh, report_dir)
}

/// Puts a fresh summary into the report of a folder ahead of the rest; false where there is no report to put it into.
///
/// # Errors
/// As [`write_outputs`]; [`Error::Json`] when the summary cannot be written.
pub fn write_summary_first(report_dir: &Path, input: &RenderInput<'_>) -> Result<bool, Error> {
    let Some(old) = manifest::Old::of(report_dir) else { return Ok(false) };
    let summary = summary::json(&input.analysis.evidence, input.settings.units)?;
    let manifest = manifest::summary_first(input, &old, &summary)?;
    let fresh = fresh(report_dir)?;
    write_file((fresh.path(), report_dir), SUMMARY, &summary)?;
    write_file((fresh.path(), report_dir), MANIFEST, &manifest)?;
    carry_over(report_dir, fresh.path(), &|name| ![SUMMARY, MANIFEST, SIGNATURE].contains(&name))?;
    sync_folders(fresh.path())?;
    swap(fresh, report_dir)?;
    Ok(true)
}

/// An empty folder beside the report.
fn fresh(report_dir: &Path) -> Result<tempfile::TempDir, Error> {
    if fs::symlink_metadata(report_dir).is_ok_and(|data| data.is_symlink()) {
        return Err(Error::ReportLink { path: report_dir.display().to_string() });
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
    let _ = fs::remove_dir_all(place);
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

/// Takes along the files of the old folder that `keep` picks by their path.
fn carry_over(report_dir: &Path, fresh: &Path, keep: &dyn Fn(&str) -> bool) -> Result<(), Error> {
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
            if !keep(&name) {
                continue;
            }
            let target = fresh.join(&path);
            if let Some(parent) = target.parent() {
                fs::create_dir_all(parent).map_err(|source| failed(&entry.path(), "keep", source))?;
            }
            // A second name for the same file costs nothing; where the file system has none, a copy does.
            fs::hard_link(entry.path(), &target)
                .or_else(|_| fs::copy(entry.path(), &target).map(|_| ()))
                .map_err(|source| failed(&entry.path(), "keep", source))?;
        }
    }
    Ok(())
}

/// Puts the finished folder in the place of the old one.
fn swap(fresh: tempfile::TempDir, report_dir: &Path) -> Result<(), Error> {
    let parent = parent(report_dir);
    let aside = match fs::symlink_metadata(report_dir) {
        Err(_) => None,
        Ok(old) if old.is_dir() && exchange(fresh.path(), report_dir).is_ok() => {
            sync(parent)?;
            // The old report now has the name that the new one had.
            let_go(&fresh.keep());
            return Ok(());
        }
        Ok(_) => Some(move_aside(parent, report_dir)?),
    };
    if let Err(source) = fs::rename(fresh.path(), report_dir) {
        if let Some(aside) = aside
            && let Err(source) = fs::rename(aside.path().join(ASIDE), report_dir)
        {
            // Even that failed: the old report stays whole where it was moved aside, and the message says where.
            return Err(failed(&aside.keep().join(ASIDE), "move the old report back from", source));
        }
        return Err(failed(report_dir, "put the new report in place at", source));
    }
    // The folder has moved away from under its guard, which must not look for it any more.
    let _ = fresh.keep();
    sync(parent)?;
    if let Some(aside) = aside {
        let_go(&aside.keep());
    }
    Ok(())
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
fn move_aside(parent: &Path, report_dir: &Path) -> Result<tempfile::TempDir, Error> {
    let aside = tempfile::Builder::new()
        .prefix(OLD)
        .tempdir_in(parent)
        .map_err(|source| failed(parent, "make a folder for the report", source))?;
    fs::rename(report_dir, aside.path().join(ASIDE)).map_err(|source| failed(report_dir, "move aside", source))?;
    Ok(aside)
}

/// Writes a file of the report into the folder in which it is being made. A failure names the report: which file is
/// the first that fails, and the name of that folder, are others each time.
fn write_file((fresh, report_dir): (&Path, &Path), path: &str, bytes: &[u8]) -> Result<(), Error> {
    let place = fresh.join(inside(path)?);
    let write = || -> io::Result<()> {
        if let Some(parent) = place.parent() {
            fs::create_dir_all(parent)?;
        }
        let mut file = File::create_new(&place)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|source| failed(report_dir, "write", source))
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

fn failed(path: &Path, action: &'static str, source: io::Error) -> Error {
    Error::Write { path: path.display().to_string(), action, source: of_the_system(source) }
}

/// What the system itself said: the same each time, without the drawn name of a temporary folder.
fn of_the_system(fault: io::Error) -> io::Error {
    let text = fault.to_string();
    match text.split_once(" at path ") {
        Some((said, _)) => io::Error::new(fault.kind(), said.to_owned()),
        None => fault,
    }
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
        assert_eq!(fault.to_string(), format!("`{}`: could not write", report.display()));
        assert_eq!(fs::read_to_string(report.join("a.txt")).unwrap(), "one");
        assert_eq!(names(job.path()), ["report"]);
        assert_eq!(names(&report), ["a.txt"]);
    }

    #[test]
    fn a_failure_is_told_in_the_same_words_each_time() {
        let job = tempfile::tempdir().unwrap();
        let told = || {
            let fault = write_outputs(&job.path().join("gone/report"), &outputs(&[("a.txt", "one")])).unwrap_err();
            let source = std::error::Error::source(&fault).map(ToString::to_string);
            format!("{fault}: {}", source.unwrap_or_default())
        };
        let first = told();
        assert!(first.contains("could not make a folder for the report") && !first.contains(NEW), "{first}");
        assert_eq!(told(), first);
    }

    #[test]
    fn what_a_killed_run_left_is_put_right() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        // Killed between the two steps: the old report is aside, the new one unfinished.
        fs::create_dir_all(job.path().join(".report-old-Ab1/report")).unwrap();
        fs::write(job.path().join(".report-old-Ab1/report/a.txt"), "old").unwrap();
        fs::create_dir_all(job.path().join(".report-new-Cd2/charts")).unwrap();
        fs::write(job.path().join(".report-new"), "no folder of ours").unwrap();
        mend(&report).unwrap();
        assert_eq!(fs::read_to_string(report.join("a.txt")).unwrap(), "old");
        assert_eq!(names(job.path()), [".report-new", "report"]);
        // Killed after them: what is aside is older than the report.
        fs::create_dir_all(job.path().join(".report-old-Ab1/report")).unwrap();
        mend(&report).unwrap();
        assert_eq!(fs::read_to_string(report.join("a.txt")).unwrap(), "old");
        assert_eq!(names(job.path()), [".report-new", "report"]);
        // What could not be removed of a report that was replaced is no report.
        fs::remove_dir_all(&report).unwrap();
        fs::create_dir_all(job.path().join(".report-old-Ef3/replaced")).unwrap();
        mend(&report).unwrap();
        assert_eq!(names(job.path()), [".report-new"]);
    }

    #[test]
    fn a_report_is_there_at_every_moment() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        write_outputs(&report, &outputs(&[("a.txt", "0")])).unwrap();
        let done = std::sync::atomic::AtomicBool::new(false);
        std::thread::scope(|scope| {
            let looking = scope.spawn(|| {
                let (mut looks, mut missing) = (0_u32, 0_u32);
                while !done.load(std::sync::atomic::Ordering::Relaxed) {
                    looks += 1;
                    missing += u32::from(!report.join("a.txt").exists());
                }
                (looks, missing)
            });
            for n in 0..100 {
                write_outputs(&report, &outputs(&[("a.txt", &n.to_string())])).unwrap();
            }
            done.store(true, std::sync::atomic::Ordering::Relaxed);
            let (looks, missing) = looking.join().unwrap();
            // Where two steps are needed there may be a moment without.
            let one_step = cfg!(any(target_os = "linux", target_os = "macos"));
            assert!(looks > 0 && (missing == 0 || !one_step), "{missing} of {looks} looks found no report");
        });
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
