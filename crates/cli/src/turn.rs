//! Whose turn it is on a job folder: a run that writes waits for the one before it, and says so.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

use anyhow::Result;
use grainfall_keep::{LockError, RunLock};
use grainfall_report::mend;

use crate::commands::report::REPORT;
use crate::terminal;

/// How often a taken lock is tried again.
const AGAIN: Duration = Duration::from_millis(100);

/// Held while a run writes a report; without a lock on a file system that has none.
#[derive(Debug)]
pub struct Turn {
    _lock: Option<RunLock>,
}

/// Waits until no other run is at work on a folder, and puts right what a killed one left of its report.
pub fn wait(folder: &Path) -> Result<Turn> {
    loop {
        if let Some(turn) = wait_unless(folder, &AtomicBool::new(false))? {
            return Ok(turn);
        }
    }
}

/// As [`wait`]; `None` when `stop` was set meanwhile.
pub fn wait_unless(folder: &Path, stop: &AtomicBool) -> Result<Option<Turn>> {
    let mut told = false;
    while !stop.load(Ordering::Relaxed) {
        match RunLock::try_take(folder) {
            Ok(Some(lock)) => {
                mend(&folder.join(REPORT))?;
                return Ok(Some(Turn { _lock: Some(lock) }));
            }
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
                return Ok(Some(Turn { _lock: None }));
            }
            Err(fault) => return Err(fault.into()),
        }
        sleep(AGAIN);
    }
    Ok(None)
}
