//! The deciding numbers of a point that belong together: since the last rewetting or change of meter.

use crate::evidence::{ReadingEvidence, ReadingKind};
use crate::rules::REWETTING_SHARE;

/// The number a deciding reading says; `None` for bounds and reasons.
pub(crate) fn number_of(reading: &ReadingEvidence) -> Option<f64> {
    match reading.kind {
        ReadingKind::Measured { value } if reading.decides => Some(value),
        _ => None,
    }
}

/// Whether a value is a rewetting against the one before it: higher by more than the meter's accuracy and by more than a
/// tenth.
pub(crate) fn rewetted(before: f64, now: f64, accuracy: f64) -> bool {
    now - before > accuracy.max(REWETTING_SHARE * before)
}

/// The deciding numbers since the last rewetting, change of meter, or value beyond the meter.
pub(crate) fn running_stretch(readings: &[ReadingEvidence]) -> Vec<(&ReadingEvidence, f64)> {
    let mut stretch: Vec<(&ReadingEvidence, f64)> = Vec::new();
    for reading in readings.iter().filter(|reading| reading.decides) {
        match number_of(reading) {
            Some(value) => {
                let anew = stretch.last().is_some_and(|(before, last)| {
                    before.meter != reading.meter || rewetted(*last, value, reading.stated_accuracy())
                });
                if anew {
                    stretch.clear();
                }
                stretch.push((reading, value));
            }
            None if matches!(reading.kind, ReadingKind::Above { .. } | ReadingKind::OverRange) => stretch.clear(),
            None => {}
        }
    }
    stretch
}
