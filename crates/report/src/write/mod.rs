//! The report folder, whole or not at all.
//!
//! Everything is written into a folder beside the report's own and put on disk before it takes its place by a rename.
//! A reader sees the old report or the new one, never a mixture; a failure leaves the old one as it was. What somebody
//! else put into the folder is carried over: only files that an earlier report wrote, by its own manifest, and files of
//! the same names as the new ones are replaced.
//!
//! A summary is made long before the documents are. [`write_summary_first`] puts it in place with a manifest that says
//! which outputs are still those of the report before; this, too, is a folder that takes its place as a whole.
//!
//! Reading order: this file; `others` (what somebody else put there); `place` (how old and new change places).

mod others;
mod place;

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use rayon::prelude::*;

use crate::manifest::{self, MANIFEST, SIGNATURE, SUMMARY};
use crate::{Error, Outputs, RenderInput, summary};
pub use place::{mend, remove_outputs, remove_unfinished};

/// Writes all outputs as the folder `report_dir`, which is replaced as a whole if it exists.
///
/// # Errors
/// [`Error::OutputPath`] for a path that leads out of the folder, [`Error::ReportLink`] when the folder is a link,
/// [`Error::ReportFile`] when a file has its name; [`Error::Write`] when the system refuses. In each case an existing
/// report stays as it was.
pub fn write_outputs(report_dir: &Path, outputs: &Outputs) -> Result<(), Error> {
    let written = manifest::Old::of(report_dir).unwrap_or_default().outputs;
    // A signature is of one manifest and must not outlive it.
    let is_ours =
        |name: &str| name == SIGNATURE || name == MANIFEST && !written.is_empty() || written.contains_key(name);
    replace(report_dir, outputs, &|name| !is_ours(name) && !outputs.files.contains_key(name))
}

/// Puts a fresh summary into the report of a folder ahead of the rest; false where there is no report to put it into.
///
/// # Errors
/// As [`write_outputs`]; [`Error::Json`] when the summary cannot be written.
pub fn write_summary_first(report_dir: &Path, input: &RenderInput<'_>) -> Result<bool, Error> {
    let Some(old) = manifest::Old::of(report_dir) else { return Ok(false) };
    let summary = summary::json(&input.analysis.evidence, input.settings.units)?;
    let manifest = manifest::summary_first(input, &old, &summary)?;
    let files = [(SUMMARY, summary), (MANIFEST, manifest)].map(|(path, bytes)| (path.to_owned(), bytes));
    replace(report_dir, &Outputs { files: files.into() }, &|name| ![SUMMARY, MANIFEST, SIGNATURE].contains(&name))?;
    Ok(true)
}

/// Puts a folder of these outputs, and of the files of the one before that `keep` picks by their path, in its place.
fn replace(report_dir: &Path, outputs: &Outputs, keep: &dyn Fn(&str) -> bool) -> Result<(), Error> {
    let fresh = place::fresh(report_dir)?;
    // Waiting for the disk is most of the time, so files are written side by side.
    outputs.files.par_iter().try_for_each(|(path, bytes)| write_file((fresh.path(), report_dir), path, bytes))?;
    others::carry_over(report_dir, fresh.path(), keep)?;
    place::sync_folders(fresh.path())?;
    // On file systems whose locks do not reach other machines somebody there may take it for what a killed run left.
    let is_there = |(path, bytes): (&String, &Vec<u8>)| {
        fs::symlink_metadata(fresh.path().join(path))
            .is_ok_and(|data| data.is_file() && data.len() == bytes.len() as u64)
    };
    if !outputs.files.iter().all(is_there) {
        let cleared = io::Error::other("another run removed files of it while it was being made");
        return Err(failed(report_dir, "write", cleared));
    }
    if let Some(replaced) = place::swap(fresh, report_dir)?
        // What somebody put there while the report was being made.
        && others::carry_over(&replaced.report, report_dir, keep).is_ok()
    {
        replaced.let_go();
    }
    Ok(())
}

/// Writes a file of the report into the folder in which it is being made. A failure names the report: which file is
/// the first that fails, and the name of that folder, are others each time.
fn write_file((fresh, report_dir): (&Path, &Path), path: &str, bytes: &[u8]) -> Result<(), Error> {
    let within = inside(path)?;
    let write = || -> io::Result<()> {
        make_folders(fresh, within.parent().unwrap_or(Path::new("")))?;
        let mut file = File::create_new(fresh.join(&within))?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|source| failed(report_dir, "write", source))
}

/// Makes folders within one that is there. That one is not made again: where it was cleared away, the rest must fail.
fn make_folders(root: &Path, within: &Path) -> io::Result<()> {
    let mut place = root.to_owned();
    for part in within.components() {
        place.push(part);
        match fs::create_dir(&place) {
            Err(fault) if fault.kind() == io::ErrorKind::AlreadyExists => {}
            other => other?,
        }
    }
    Ok(())
}

/// A relative path of plain names.
pub(crate) fn inside(path: &str) -> Result<PathBuf, Error> {
    let plain = Path::new(path);
    let is_plain = !path.is_empty() && plain.components().all(|part| matches!(part, Component::Normal(_)));
    if is_plain { Ok(plain.to_owned()) } else { Err(Error::OutputPath { path: path.to_owned() }) }
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
    use super::place::NEW;
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

    #[test]
    fn what_somebody_puts_there_while_it_is_made_is_kept() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        fs::create_dir_all(report.join("photos")).unwrap();
        fs::create_dir_all(report.join("to come")).unwrap();
        fs::write(report.join("photos/hall.jpg"), "kept").unwrap();
        // The folder itself was listed before those in it.
        let keep = |name: &str| {
            if name == "photos/hall.jpg" {
                fs::write(report.join("late.jpg"), "kept").unwrap();
            }
            name != "a.txt"
        };
        replace(&report, &outputs(&[("a.txt", "one")]), &keep).unwrap();
        assert_eq!(names(&report), ["a.txt", "late.jpg", "photos", "to come"]);
        assert_eq!(names(job.path()), ["report"]);
    }

    #[test]
    fn a_file_in_the_place_of_the_report_is_somebodys_own() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        fs::write(&report, "an export").unwrap();
        let fault = write_outputs(&report, &outputs(&[("a.txt", "one")])).unwrap_err();
        assert!(matches!(fault, Error::ReportFile { .. }), "{fault}");
        assert_eq!(fs::read_to_string(&report).unwrap(), "an export");
        assert_eq!(names(job.path()), ["report"]);
    }

    #[test]
    fn a_signature_does_not_outlive_a_manifest_that_cannot_be_read() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        write_outputs(&report, &outputs(&[(MANIFEST, "{\"outp"), (SIGNATURE, "x")])).unwrap();
        write_outputs(&report, &outputs(&[(MANIFEST, "{}")])).unwrap();
        assert_eq!(names(&report), [MANIFEST]);
    }

    #[test]
    fn a_folder_that_was_cleared_away_while_it_was_filled_is_no_report() {
        let job = tempfile::tempdir().unwrap();
        let (fresh, report) = (job.path().join(NEW), job.path().join("report"));
        let fault = write_file((&fresh, &report), "charts/a.svg", b"one").unwrap_err();
        assert_eq!(fault.to_string(), format!("`{}`: could not write", report.display()));
        assert!(names(job.path()).is_empty());
        // Cleared after some files were written: `keep` is asked after that.
        write_outputs(&report, &outputs(&[("a.txt", "one")])).unwrap();
        fs::write(report.join("b.txt"), "kept").unwrap();
        let keep = |name: &str| {
            for place in names(job.path()).iter().filter(|name| name.starts_with(NEW)) {
                let _ = fs::remove_file(job.path().join(place).join("a.txt"));
            }
            name == "b.txt"
        };
        replace(&report, &outputs(&[("a.txt", "two")]), &keep).unwrap_err();
        assert_eq!(fs::read_to_string(report.join("a.txt")).unwrap(), "one");
        assert_eq!(names(job.path()), ["report"]);
    }

    #[cfg(unix)]
    #[test]
    fn links_in_a_report_are_kept_and_not_followed() {
        let (job, outside) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let report = job.path().join("report");
        fs::create_dir(&report).unwrap();
        // Followed, two ways back to the folder itself are two to the fortieth.
        for (name, to) in [("again", &*report), ("once more", Path::new(".")), ("outside", outside.path())] {
            std::os::unix::fs::symlink(to, report.join(name)).unwrap();
        }
        write_outputs(&report, &outputs(&[("a.txt", "one")])).unwrap();
        assert_eq!(names(&report), ["a.txt", "again", "once more", "outside"]);
        assert_eq!(fs::read_link(report.join("outside")).unwrap(), outside.path());
    }

    /// Archives from elsewhere bring such names.
    #[cfg(unix)]
    #[test]
    fn a_name_that_looks_like_a_path_is_a_name() {
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        write_outputs(&report, &outputs(&[("charts/a.svg", "one")])).unwrap();
        fs::write(report.join(r"charts\a.svg"), "kept").unwrap();
        write_outputs(&report, &outputs(&[("charts/a.svg", "two")])).unwrap();
        assert_eq!(names(&report), ["charts", r"charts\a.svg"]);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_pipe_in_the_place_of_the_manifest_is_not_waited_for() {
        use rustix::fs::{CWD, Mode, mkfifoat};
        let job = tempfile::tempdir().unwrap();
        let report = job.path().join("report");
        fs::create_dir(&report).unwrap();
        mkfifoat(CWD, report.join(MANIFEST), Mode::RUSR | Mode::WUSR).unwrap();
        write_outputs(&report, &outputs(&[(MANIFEST, "{}")])).unwrap();
        assert_eq!(fs::read_to_string(report.join(MANIFEST)).unwrap(), "{}");
    }
}
