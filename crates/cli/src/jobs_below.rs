//! Which folders below a folder are jobs.
//!
//! A folder that holds `job.toml` is a job. Below a folder without one, in a branch where none holds any, the highest
//! folder that directly holds files which could be exports is taken for a job. Links are not followed; `report` and
//! names that begin with a dot are passed over; what lies within a job is the job's.

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use grainfall_job::{AIR_CSV, JOB_TOML, READINGS_CSV};

use crate::commands::report::REPORT;

/// A folder that is a job, or one that could not be opened.
#[derive(Debug)]
pub struct Found {
    /// Way from the folder that was asked for; empty for that folder itself.
    pub path: PathBuf,
    /// Why it is here.
    pub sign: Sign,
}

/// Why a folder is taken for a job.
#[derive(Debug)]
pub enum Sign {
    /// It holds `job.toml`.
    JobToml,
    /// It holds what could be exports.
    Exports,
    /// None: it could not be opened.
    Closed(io::Error),
}

/// Endings of names of what could be an export.
const EXPORTS: [&str; 8] = ["csv", "tsv", "txt", "xlsx", "xls", "ods", "gz", "zip"];

/// The jobs below a folder, by path.
///
/// # Errors
/// When the folder itself cannot be listed.
pub fn jobs_below(folder: &Path) -> io::Result<Vec<Found>> {
    let mut found = Vec::new();
    let top = look(folder)?;
    // The folder itself is a job only by its job.toml: it may hold stray files beside its jobs.
    if top.sure {
        return Ok(vec![Found { path: PathBuf::new(), sign: Sign::JobToml }]);
    }
    visit(folder, Path::new(""), top.folders, &mut found);
    found.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(found)
}

/// What a folder holds.
struct Look {
    /// `job.toml`.
    sure: bool,
    /// Files that could be exports, or readings by hand.
    likely: bool,
    folders: Vec<OsString>,
}

fn look(folder: &Path) -> io::Result<Look> {
    let mut look = Look { sure: false, likely: false, folders: Vec::new() };
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name();
        let text = name.to_string_lossy().to_lowercase();
        let kind = entry.file_type()?;
        if text.starts_with('.') || text == REPORT {
            continue;
        }
        if kind.is_dir() {
            look.folders.push(name);
        } else {
            let ends = |ending: &&str| text.strip_suffix(*ending).is_some_and(|stem| stem.ends_with('.'));
            look.sure |= text == JOB_TOML;
            look.likely |= [READINGS_CSV, AIR_CSV].contains(&text.as_str()) || EXPORTS.iter().any(ends);
        }
    }
    look.folders.sort();
    Ok(look)
}

/// Adds the jobs in `folders` of `folder/path`, which is none itself. Tells whether any is sure.
fn visit(folder: &Path, path: &Path, folders: Vec<OsString>, found: &mut Vec<Found>) -> bool {
    let mut any = false;
    for name in folders {
        let path = path.join(name);
        let look = match look(&folder.join(&path)) {
            Ok(look) => look,
            // Gone since its name was read.
            Err(source) if source.kind() == io::ErrorKind::NotFound => continue,
            Err(source) => {
                found.push(Found { path, sign: Sign::Closed(source) });
                continue;
            }
        };
        let before = found.len();
        let below = !look.sure && visit(folder, &path, look.folders, found);
        any |= look.sure || below;
        if look.sure || (look.likely && !below) {
            found.truncate(before);
            found.push(Found { path, sign: if look.sure { Sign::JobToml } else { Sign::Exports } });
        }
    }
    any
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jobs(files: &[&str]) -> Vec<String> {
        let folder = tempfile::tempdir().unwrap();
        for file in files {
            let path = folder.path().join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, "x").unwrap();
        }
        let found = jobs_below(folder.path()).unwrap();
        assert!(found.iter().all(|one| !matches!(one.sign, Sign::Closed(_))));
        found.iter().map(|one| one.path.to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn a_folder_with_job_toml_is_a_job_and_all_within_it_is_its_own() {
        assert_eq!(jobs(&["larch/job.toml", "larch/loggers/a.csv", "north/ash/JOB.TOML"]), ["larch", "north/ash"]);
        assert_eq!(jobs(&["job.toml", "loggers/job.toml"]), [""]);
    }

    #[test]
    fn exports_alone_are_a_job_where_no_job_toml_lies_below() {
        assert_eq!(jobs(&["larch/a.csv", "larch/more/b.csv", "ash/job.toml"]), ["ash", "larch"]);
        assert_eq!(jobs(&["north/list.csv", "north/larch/job.toml", "north/ash/a.csv"]), ["north/ash", "north/larch"]);
        assert_eq!(jobs(&["notes.txt", "photos/a.jpg", "report/a.csv", ".trash/a.csv"]), [] as [&str; 0]);
    }

    #[cfg(unix)]
    #[test]
    fn links_are_not_followed() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("larch")).unwrap();
        fs::write(folder.path().join("larch/job.toml"), "").unwrap();
        std::os::unix::fs::symlink(folder.path(), folder.path().join("larch/again")).unwrap();
        std::os::unix::fs::symlink(folder.path().join("larch"), folder.path().join("other")).unwrap();
        let found = jobs_below(folder.path()).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].path, Path::new("larch"));
    }
}
