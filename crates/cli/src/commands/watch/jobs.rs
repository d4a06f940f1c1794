//! Which folders are watched as jobs: those given, or those below them.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

use super::look::Look;
use crate::jobs_below::{Sign, jobs_below};

/// What was found in the folders given.
#[derive(Debug, Default)]
pub struct Found {
    /// Folders that are jobs.
    pub jobs: BTreeSet<PathBuf>,
    /// Folders that cannot be opened, with what the system said.
    pub closed: BTreeMap<PathBuf, String>,
}

impl Found {
    /// Looks through the folders given. One without `job.toml`, below which folders with one lie, is a folder of jobs;
    /// any other with files in it is a job of its own. One that is not there has none: it may come back.
    pub fn below(given: &[PathBuf]) -> Self {
        let mut found = Self::default();
        for folder in given {
            if let Err(fault) = found.add(folder)
                && fault.kind() != io::ErrorKind::NotFound
            {
                found.closed.insert(folder.clone(), fault.to_string());
            }
        }
        found
    }

    fn add(&mut self, folder: &Path) -> io::Result<()> {
        let mut any = false;
        for one in jobs_below(folder)? {
            // An empty way leads to the folder itself, without a slash at its end.
            let place = if one.path.as_os_str().is_empty() { folder.to_owned() } else { folder.join(one.path) };
            match one.sign {
                Sign::JobToml => {
                    self.jobs.insert(place);
                    any = true;
                }
                // A report is only made, unasked, where somebody said that a folder is a job.
                Sign::Exports => {}
                Sign::Closed(fault) => {
                    self.closed.insert(place, fault.to_string());
                }
            }
        }
        if !any && !Look::at(folder)?.is_empty() {
            self.jobs.insert(folder.to_owned());
        }
        Ok(())
    }

    /// Whether a job that was there may still be: it is, or nobody can say.
    pub fn may_hold(&self, job: &Path) -> bool {
        self.jobs.contains(job) || self.closed.keys().any(|closed| job.starts_with(closed))
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn a_job_a_folder_of_jobs_and_a_folder_of_exports_alone() {
        let root = tempfile::tempdir().unwrap();
        let at = |path: &str| root.path().join(path);
        for path in [
            "jobs/2025/may/north/larch/job.toml",
            "jobs/elm/JOB.TOML",
            "jobs/elm/old/job.toml",
            "jobs/new/a.csv",
            "exports/loggers/a.csv",
            "empty/report/report.html",
        ] {
            fs::create_dir_all(at(path).parent().unwrap()).unwrap();
            fs::write(at(path), "").unwrap();
        }
        let found = |given: &[&str]| -> Vec<PathBuf> {
            let given: Vec<PathBuf> = given.iter().map(|path| at(path)).collect();
            Found::below(&given).jobs.into_iter().collect()
        };
        let both = [at("jobs/2025/may/north/larch"), at("jobs/elm")];
        assert_eq!(found(&["jobs"]), both, "no job lies in a job, and exports alone are none among jobs");
        assert_eq!(found(&["jobs/elm", "jobs"]), both);
        assert_eq!(found(&["exports"]), [at("exports")]);
        assert_eq!(found(&["gone", "empty"]), [] as [PathBuf; 0], "they may come back, or be filled");
    }

    #[test]
    fn a_job_below_what_cannot_be_opened_may_still_be_there() {
        let closed = BTreeMap::from([(PathBuf::from("/jobs/north"), "denied".to_owned())]);
        let found = Found { jobs: BTreeSet::new(), closed };
        assert!(found.may_hold(Path::new("/jobs/north/larch")));
        assert!(!found.may_hold(Path::new("/jobs/northern")));
    }
}
