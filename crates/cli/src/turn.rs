//! Whose turn it is on a job folder: a run that writes waits for the one before it, and says so.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

use anyhow::Result;
use grainfall_keep::{LockError, RunLock};

use crate::terminal;

/// How often a taken lock is tried again.
const AGAIN: Duration = Duration::from_millis(100);

/// Held while a run writes a report.
#[derive(Debug)]
pub struct Turn {
    lock: Option<RunLock>,
}

impl Turn {
    /// Whether no other run can be at work; false on a file system without locks.
    pub fn is_alone(&self) -> bool {
        self.lock.is_some()
    }
}

/// Waits until no other run is at work on a folder; `None` when `stop` was set meanwhile.
pub fn wait(folder: &Path, stop: &AtomicBool) -> Result<Option<Turn>> {
    let mut told = false;
    while !stop.load(Ordering::Relaxed) {
        match RunLock::try_take(folder) {
            Ok(Some(lock)) => return Ok(Some(Turn { lock: Some(lock) })),
            Ok(None) if !told => {
                terminal::note(&format!(
                    "another run is writing into `{}`; waiting until it is done",
                    terminal::inert(&folder.to_string_lossy())
                ));
                told = true;
            }
            Ok(None) => {}
            Err(fault @ LockError::Unsupported { .. }) => {
                terminal::note(&format!("{:#}", anyhow::Error::from(fault)));
                return Ok(Some(Turn { lock: None }));
            }
            Err(fault) => return Err(fault.into()),
        }
        sleep(AGAIN);
    }
    Ok(None)
}
