//! Hour meters read by hand, beside the hours the record shows.

use chrono::{DateTime, Utc};
use grainfall_job::Job;

use super::removal::UnitRecord;
use crate::evidence::SourceRow;

/// Two readings of one hour meter in a row beside the record's running hours between them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct HourMeterCheck {
    /// The unit.
    pub(crate) unit: String,
    /// First reading.
    pub(crate) from: DateTime<Utc>,
    /// Second reading.
    pub(crate) to: DateTime<Utc>,
    /// Hours by the meter; negative when the meter went back.
    pub(crate) meter_h: f64,
    /// Hours the record shows the unit running.
    pub(crate) running_h: f64,
    /// Hours the record cannot tell.
    pub(crate) not_shown_h: f64,
    /// Where both are written.
    pub(crate) rows: [SourceRow; 2],
}

/// All pairs of readings in a row up to the clock, by unit, then time.
pub(crate) fn hour_meter_checks(job: &Job, records: &[UnitRecord], clock: DateTime<Utc>) -> Vec<HourMeterCheck> {
    let mut out = Vec::new();
    for record in records {
        let mut entries: Vec<_> =
            job.hour_meters.iter().filter(|entry| entry.unit == record.unit && entry.time <= clock).collect();
        entries.sort_by_key(|entry| entry.time);
        for pair in entries.windows(2) {
            let totals = record.over(pair[0].time, pair[1].time);
            out.push(HourMeterCheck {
                unit: record.unit.clone(),
                from: pair[0].time,
                to: pair[1].time,
                meter_h: pair[1].hours - pair[0].hours,
                running_h: totals.running_h,
                not_shown_h: totals.not_shown_h,
                rows: [SourceRow::from(&pair[0].line), SourceRow::from(&pair[1].line)],
            });
        }
    }
    out
}
