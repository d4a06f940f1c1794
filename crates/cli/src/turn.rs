//! Whose turn it is on a job folder: a run that writes waits for the one before it, and says so.

use std::path::Path;
use std::sync::Once;
use std::thread::sleep;
use std::time::Duration;

use anyhow::Result;
use grainfall_keep::{LockError, RunLock};
use grainfall_report::mend;

use crate::commands::report::REPORT;
use crate::folder::shown;
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
    let mut told = false;
    loop {
        if let Some(turn) = now(folder)? {
            return Ok(turn);
        }
        if !told {
            terminal::note(&format!(
                "another run is writing into `{}`; waiting until it is done",
                terminal::inert(&shown(folder))
            ));
            told = true;
        }
        sleep(AGAIN);
    }
}

/// As [`wait`], but without waiting: `None` while another run is at work.
pub fn now(folder: &Path) -> Result<Option<Turn>> {
    let lock = match RunLock::try_take(folder) {
        Ok(Some(lock)) => Some(lock),
        Ok(None) => return Ok(None),
        Err(fault @ LockError::Unsupported { .. }) => {
            // Once: a watch comes by here for every report.
            static TOLD: Once = Once::new();
            TOLD.call_once(|| terminal::note(&format!("{:#}", anyhow::Error::from(fault))));
            None
        }
        Err(fault) => return Err(fault.into()),
    };
    if lock.is_some() {
        mend(&folder.join(REPORT))?;
    }
    Ok(Some(Turn { _lock: lock }))
}
