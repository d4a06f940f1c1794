//! What the system says has changed: a set of paths, and a wait until there is one.
//!
//! Nothing rests on these events but how soon a folder is looked at: what they miss is seen at the next look.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use notify::event::{AccessKind, AccessMode, EventKind};
use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher};

/// What is to be looked at.
#[derive(Debug, Default)]
pub struct Touched {
    /// Paths in which something happened.
    pub paths: BTreeSet<PathBuf>,
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
                // The folder is enough to find the job, and bounds how much is remembered.
                Ok(event) => touched.paths.extend(event.paths.iter().filter_map(|p| Some(p.parent()?.to_owned()))),
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
        let waiting = |touched: &mut Touched| touched.paths.is_empty() && !touched.all;
        let mut guard =
            rung.wait_timeout_while(locked(touched), longest, waiting).unwrap_or_else(PoisonError::into_inner).0;
        std::mem::take(&mut *guard)
    }
}

impl Touched {
    /// Whether something happened in a folder.
    pub fn is_in(&self, folder: &Path) -> bool {
        self.all || self.paths.iter().any(|path| path.starts_with(folder))
    }
}

/// Opening and reading change nothing; this program does both.
fn is_reading(kind: EventKind) -> bool {
    matches!(kind, EventKind::Access(access) if access != AccessKind::Close(AccessMode::Write))
}

fn locked(touched: &Mutex<Touched>) -> MutexGuard<'_, Touched> {
    touched.lock().unwrap_or_else(PoisonError::into_inner)
}
