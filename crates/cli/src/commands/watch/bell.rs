//! What the system says has changed: a set of paths, and a wait until there is one.
//!
//! Nothing rests on these events but how soon a folder is looked at: what they miss is seen at the next look.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use notify::event::{AccessKind, AccessMode, EventKind};
use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher};

use crate::folder::is_input;

/// What is to be looked at.
#[derive(Debug, Default)]
pub struct Touched {
    /// Folders in which something happened, and whether it may have happened to an input.
    pub folders: BTreeMap<PathBuf, bool>,
    /// The system lost count: look everywhere.
    pub all: bool,
}

/// Rings when something happened below one of its folders.
pub struct Bell {
    shared: Arc<(Mutex<Touched>, Condvar)>,
    watcher: Option<RecommendedWatcher>,
}

impl Bell {
    /// A bell that never rings by itself.
    pub fn silent() -> Self {
        Self { shared: Arc::default(), watcher: None }
    }

    /// A bell over folders and all below them.
    ///
    /// # Errors
    /// When the system has no events for one of them, or not as many as are needed.
    pub fn over(folders: &[PathBuf]) -> notify::Result<Self> {
        let shared: Arc<(Mutex<Touched>, Condvar)> = Arc::default();
        let ring = Arc::clone(&shared);
        let mut watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
            let (touched, rung) = &*ring;
            let mut touched = locked(touched);
            match event {
                Ok(event) if event.need_rescan() => touched.all = true,
                Ok(event) if is_reading(event.kind) => return,
                Ok(event) => event.paths.iter().for_each(|path| touched.add(path)),
                Err(_) => touched.all = true,
            }
            rung.notify_all();
        })?;
        for folder in folders {
            watcher.watch(folder, RecursiveMode::Recursive)?;
        }
        Ok(Self { shared, watcher: Some(watcher) })
    }

    /// Whether the system tells of changes.
    pub fn rings(&self) -> bool {
        self.watcher.is_some()
    }

    /// Waits until something happened, no longer than asked, and takes it.
    pub fn wait(&self, longest: Duration) -> Touched {
        let (touched, rung) = &*self.shared;
        let waiting = |touched: &mut Touched| touched.folders.is_empty() && !touched.all;
        let mut guard =
            rung.wait_timeout_while(locked(touched), longest, waiting).unwrap_or_else(PoisonError::into_inner).0;
        std::mem::take(&mut *guard)
    }
}

impl Touched {
    /// Takes in that something happened to a path. Its folder is enough to find the job, and bounds how much is
    /// remembered.
    fn add(&mut self, path: &Path) {
        if let (Some(folder), Some(name)) = (path.parent(), path.file_name()) {
            *self.folders.entry(folder.to_owned()).or_default() |= is_input(Path::new(name));
        }
    }

    /// Whether something happened in a folder.
    pub fn is_in(&self, folder: &Path) -> bool {
        self.all || self.folders.keys().any(|path| path.starts_with(folder))
    }

    /// Whether the system told that something happened to an input of a job, and not only to what this program writes
    /// there.
    pub fn is_input_of(&self, job: &Path) -> bool {
        self.folders.iter().any(|(path, may_be)| *may_be && path.strip_prefix(job).is_ok_and(is_input))
    }
}

/// Opening and reading change nothing; this program does both.
fn is_reading(kind: EventKind) -> bool {
    matches!(kind, EventKind::Access(access) if access != AccessKind::Close(AccessMode::Write))
}

fn locked(touched: &Mutex<Touched>) -> MutexGuard<'_, Touched> {
    touched.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_this_program_writes_is_told_from_inputs() {
        let is_input_of_larch = |path: &str| {
            let mut touched = Touched::default();
            touched.add(Path::new(path));
            assert!(touched.is_in(Path::new("/jobs")), "{path}");
            touched.is_input_of(Path::new("/jobs/larch"))
        };
        for input in ["/jobs/larch/a.csv", "/jobs/larch/loggers/b.csv"] {
            assert!(is_input_of_larch(input), "{input}");
        }
        let others = [
            "/jobs/larch",
            "/jobs/larch/report",
            "/jobs/larch/report/charts/air.svg",
            "/jobs/larch/.grainfall-lock",
            "/jobs/larch/.report-new-x/summary.json",
            "/jobs/larch/.report-new-x",
            "/jobs/elm/a.csv",
        ];
        for other in others {
            assert!(!is_input_of_larch(other), "{other}");
        }
    }
}
