//! Visits.

use chrono::{DateTime, Utc};
use grainfall_record::RowRef;

/// One visit to the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Visit {
    /// When.
    pub time: DateTime<Utc>,
    /// By whom, as written.
    pub by: Option<String>,
    /// Credential, as written.
    pub credential: Option<String>,
    /// Instruments used, as written.
    pub instruments: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Photos, as written.
    pub photos: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Where it is written.
    pub line: RowRef,
}
