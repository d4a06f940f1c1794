//! The range outside which a number cannot be a value of its quantity.
//!
//! These are limits of nature and of use, not of any instrument: a value outside is refused, a value inside is kept.

use grainfall_record::Quantity;

/// Lowest and highest value of a quantity, in its canonical unit.
///
/// # Source
/// Air -90 to 150 degC: below the coldest surface air measured (-89.2 degC, WMO archive of extremes; from memory) to
/// beyond any heat drying. Relative humidity to 110 %: saturated air within the error of a sensor; more is a fault.
/// Pressure 30 to 110 kPa: from the highest mountains to below sea level. The others: project convention.
pub(crate) fn limits(quantity: Quantity) -> (f64, f64) {
    match quantity {
        Quantity::AirTemp => (-90.0, 150.0),
        Quantity::DewPoint | Quantity::WetBulb => (-100.0, 100.0),
        Quantity::SurfaceTemp => (-90.0, 250.0),
        Quantity::RelativeHumidity => (0.0, 110.0),
        Quantity::HumidityRatio => (0.0, 1.0),
        Quantity::VapourPressure => (0.0, 110_000.0),
        Quantity::AbsoluteHumidity => (0.0, 600.0),
        Quantity::Enthalpy => (-100.0, 1000.0),
        Quantity::Pressure => (30_000.0, 110_000.0),
        Quantity::Moisture => (0.0, 1000.0),
        Quantity::Weight => (0.0, 10_000.0),
        _ => (f64::MIN, f64::MAX),
    }
}

/// Whether a text has the look of a stand-in for "no value": all nines, as `-999`, `9999` or `-99.9`.
pub(crate) fn all_nines(text: &str) -> bool {
    let digits = text.trim_start_matches(['-', '+']);
    let (whole, rest) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    whole.len() >= 2 && whole.bytes().all(|b| b == b'9') && rest.bytes().all(|b| b == b'9' || b == b'0')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stand_ins_have_nines() {
        for text in ["-999", "9999", "-99.9", "99,99", "-9999.00"] {
            assert!(all_nines(text), "{text}");
        }
        for text in ["9.9", "-98", "990", "99.5", ""] {
            assert!(!all_nines(text), "{text}");
        }
    }

    #[test]
    fn every_quantity_has_limits() {
        for quantity in Quantity::ALL {
            let (low, high) = limits(quantity);
            assert!(low < high && high < 1e6, "{quantity:?}");
        }
    }
}
