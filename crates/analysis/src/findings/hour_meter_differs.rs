//! An hour meter that advanced by other hours than the unit's outlet air shows.

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::thresholds::HOUR_METER_DIFFERENCE_H;
use crate::words::{moment, number};
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    record
        .hour_meters
        .iter()
        .filter(|check| record.unit_air.iter().any(|air| air.unit == check.unit && air.outlet.is_some()))
        // One that went back is a finding of its own.
        .filter(|check| check.meter_h >= 0.0)
        .filter(|check| {
            // Hours the air cannot tell of may have been running or not.
            let most = check.running_h + check.not_shown_h + HOUR_METER_DIFFERENCE_H;
            let least = check.running_h - HOUR_METER_DIFFERENCE_H;
            !(least..=most).contains(&check.meter_h)
        })
        .map(|check| Draft {
            kind: FindingKind::HourMeterDiffers,
            subject: Subject::Unit(check.unit.clone()),
            from: check.from,
            to: Some(check.to),
            text: say!(
                words,
                "hour_meter_differs.text",
                unit = check.unit,
                meter_h = number(words, check.meter_h, 1),
                from = moment(check.from, zone),
                to = moment(check.to, zone),
                running_h = number(words, check.running_h, 1)
            ),
            threshold: say!(
                words,
                "hour_meter_differs.threshold",
                hour_meter_difference_h = number(words, HOUR_METER_DIFFERENCE_H, 0)
            ),
            rows: check.rows.to_vec(),
        })
        .collect()
}
