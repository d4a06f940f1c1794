//! Instants and numbers as people read them in a verdict's sentence.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{AIR_CLEANING, HEAT, Purpose, Zone};
use grainfall_record::Quantity;
use grainfall_words::decimal::fixed;
use grainfall_words::{Words, say};

/// A moment in the job's zone: `12 Oct 2025 09:12`, or as the job writes dates.
pub(crate) fn moment(time: DateTime<Utc>, zone: Zone) -> String {
    zone.moment(time)
}

/// A number with at most `decimals` decimals, trailing zeros cut: `12`, `11.5`.
pub(crate) fn number(words: Words, value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    let trimmed = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text };
    words.figure(trimmed)
}

/// From one number to another; one number where both are written alike.
pub(crate) fn range(words: Words, low: f64, high: f64, decimals: usize) -> String {
    let (low, high) = (number(words, low, decimals), number(words, high, decimals));
    if low == high { low } else { say!(words, "shown.from_to", from = low, to = high) }
}

/// Hours of a duration.
pub(crate) fn hours(duration: TimeDelta) -> f64 {
    // Microseconds of any job fit f64 exactly (2^53 us are 285 years).
    #[allow(clippy::cast_precision_loss)]
    let micros = duration.num_microseconds().unwrap_or(i64::MAX) as f64;
    micros / 3.6e9
}

/// What a unit is there for.
pub(crate) fn purpose(words: Words, purpose: &Purpose) -> String {
    match purpose {
        Purpose::Drying => say!(words, "purposes.drying").to_owned(),
        // What the job takes where it says nothing.
        Purpose::Other(other) if other == AIR_CLEANING => say!(words, "purposes.air_cleaning").to_owned(),
        Purpose::Other(other) if other == HEAT => say!(words, "purposes.heat").to_owned(),
        Purpose::Other(other) => other.clone(),
    }
}

/// A measured quantity.
pub(crate) fn quantity(words: Words, quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::AirTemp => say!(words, "quantities.air_temp"),
        Quantity::RelativeHumidity => say!(words, "quantities.relative_humidity"),
        Quantity::DewPoint => say!(words, "quantities.dew_point"),
        Quantity::WetBulb => say!(words, "quantities.wet_bulb"),
        Quantity::HumidityRatio => say!(words, "quantities.humidity_ratio"),
        Quantity::VapourPressure => say!(words, "quantities.vapour_pressure"),
        Quantity::AbsoluteHumidity => say!(words, "quantities.absolute_humidity"),
        Quantity::Enthalpy => say!(words, "quantities.enthalpy"),
        Quantity::Pressure => say!(words, "quantities.pressure"),
        Quantity::SurfaceTemp => say!(words, "quantities.surface_temp"),
        Quantity::Moisture => say!(words, "quantities.moisture"),
        Quantity::Weight => say!(words, "quantities.weight"),
        other => other.label(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use grainfall_words::DateStyle;

    #[test]
    fn numbers_are_rounded_as_they_are_written() {
        let words = Words::default();
        assert_eq!(number(words, 2.675, 2), "2.68");
        assert_eq!(number(words, 12.0, 1), "12");
        assert_eq!(number(words, -0.04, 1), "0");
        assert_eq!(number(words, 11.25, 1), "11.3");
    }

    #[test]
    fn moments_are_local() {
        let time = DateTime::from_timestamp(1_760_278_320, 0).unwrap();
        let zone = Zone::stated(chrono_tz::America::Chicago);
        assert_eq!(moment(time, zone), "12 Oct 2025 09:12");
        assert_eq!(moment(time, Zone { dates: DateStyle::Iso, ..zone }), "2025-10-12 09:12");
    }
}
