//! Which folders are jobs: those given, or those below them.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use grainfall_job::JOB_TOML;

use crate::folder::is_input;

/// How far below a folder of jobs they are looked for: year, customer, job.
const DEPTH: usize = 3;

/// The jobs of the folders given, sorted. A folder with a `job.toml` is a job; one without, in which folders with one
/// lie, is a folder of jobs; any other is a job of its own. Links to folders are not followed.
pub fn jobs(given: &[PathBuf]) -> BTreeSet<PathBuf> {
    let mut found = BTreeSet::new();
    for folder in given {
        let before = found.len();
        below(folder, 0, &mut found);
        if found.len() == before {
            found.insert(folder.clone());
        }
    }
    found
}

fn below(folder: &Path, depth: usize, found: &mut BTreeSet<PathBuf>) {
    let entries: Vec<fs::DirEntry> = fs::read_dir(folder).into_iter().flatten().flatten().collect();
    if entries.iter().any(|entry| entry.file_name().eq_ignore_ascii_case(JOB_TOML)) {
        found.insert(folder.to_owned());
        return;
    }
    if depth == DEPTH {
        return;
    }
    for entry in entries {
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if is_folder && is_input(Path::new(&entry.file_name())) {
            below(&entry.path(), depth + 1, found);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_a_folder_of_jobs_and_a_folder_of_exports_alone() {
        let root = tempfile::tempdir().unwrap();
        let at = |path: &str| root.path().join(path);
        for path in ["jobs/2025/larch/job.toml", "jobs/elm/JOB.TOML", "jobs/elm/old/job.toml", "exports/a.csv"] {
            fs::create_dir_all(at(path).parent().unwrap()).unwrap();
            fs::write(at(path), "").unwrap();
        }
        let found = |given: &[&str]| -> Vec<PathBuf> {
            jobs(&given.iter().map(|path| at(path)).collect::<Vec<_>>()).into_iter().collect()
        };
        assert_eq!(found(&["jobs"]), [at("jobs/2025/larch"), at("jobs/elm")], "no job lies in a job");
        assert_eq!(found(&["jobs/elm", "jobs"]), [at("jobs/2025/larch"), at("jobs/elm")]);
        assert_eq!(found(&["exports"]), [at("exports")]);
        assert_eq!(found(&["gone"]), [at("gone")], "a folder that is not there may come back");
    }
}
