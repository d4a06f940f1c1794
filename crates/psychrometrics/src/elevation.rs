//! Air pressure from elevation, where no barometer was read.

use crate::error::Error;
use crate::units::{Metres, Pascals};

/// Range of the equation in metres above sea level (ASHRAE Handbook-Fundamentals (2017), ch. 1, text to eq. 3; from
/// memory).
const RANGE_M: (f64, f64) = (-5000.0, 11_000.0);

/// Pressure of the standard atmosphere.
///
/// Weather moves the real pressure about it, by some 2 % or 2 kPa either way (from memory); ignoring the elevation is far worse: at
/// 5280 ft air of 80 F and 60 % holds 22 % more grains per pound than at sea level.
///
/// # Arguments
/// * `elevation`: above sea level, -5000 to 11 000 m.
///
/// # Errors
/// [`Error::ElevationOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 3 (SI form).
///
/// ```
/// use grainfall_psychrometrics::{Metres, pressure_at_elevation};
/// // 83.431 kPa at 1609 m (psychrolib 2.5.0).
/// let pressure = pressure_at_elevation(Metres::new(1609.0))?;
/// assert!((pressure.to_kilopascals() - 83.431).abs() < 1e-3);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn pressure_at_elevation(elevation: Metres) -> Result<Pascals, Error> {
    let (low_m, high_m) = RANGE_M;
    let found_m = elevation.get();
    if !(low_m..=high_m).contains(&found_m) {
        return Err(Error::ElevationOutOfRange { found_m, low_m, high_m });
    }
    let share = 1.0 - 2.255_77e-5 * found_m;
    Ok(Pascals::new(Pascals::STANDARD_ATMOSPHERE.get() * share.powf(5.2559)))
}
