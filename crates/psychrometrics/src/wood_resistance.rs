//! Resistance readings of wood: what a meter that knows one species at one temperature shows, made a moisture content of
//! another species at another temperature.
//!
//! A meter without correction of its own is calibrated for one wood at about 21 C; warm wood conducts better and reads
//! high. The temperature comes first, then the species. No species is known here: its two coefficients come from whoever
//! can cite them. Readings mean something from about 6 % up to fibre saturation, near 30 %; above it they only rank.

use crate::error::Error;
use crate::units::{Celsius, WoodMoisture};

/// Coldest and hottest wood that is corrected, in degrees Celsius: where the equation was checked (project convention).
pub const RESISTANCE_TEMPS_C: [f64; 2] = [0.0, 40.0];

/// Species coefficients of a resistance meter: `moisture = (reading at the reference temperature - b) / a`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeciesCoefficients {
    /// Slope, above zero; 1 for the wood that the meter is calibrated for.
    pub a: f64,
    /// Offset in % moisture content; 0 for the wood that the meter is calibrated for.
    pub b: f64,
}

impl SpeciesCoefficients {
    /// The wood that the meter is calibrated for: temperature alone is corrected.
    pub const OF_THE_METER: Self = Self { a: 1.0, b: 0.0 };
}

/// A corrected reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CorrectedMoisture {
    /// The moisture content; a correction below zero is zero or less and says that the coefficients do not fit.
    pub moisture_pct: f64,
    /// What one point of the reading is worth, in points of moisture content: an accuracy of the meter times this is
    /// that of the result.
    pub per_point: f64,
}

/// Moisture content from a resistance reading.
///
/// # Arguments
/// * `reading`: what the meter shows, % moisture content on the scale of its own wood.
/// * `wood_temp`: of the wood between the pins, 0 to 40 C.
/// * `species`: as cited by whoever supplies them.
///
/// # Errors
/// [`Error::WoodTemperatureOutOfRange`] outside 0 to 40 C.
///
/// # Source
/// Pfaff and Garrahan, Forest Products Journal 36(3), 1986, from memory: the document was not opened. With the meter's
/// own wood it gives about 1 % moisture content per 10 C around 12 %, as the rule of thumb of the trade does.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, WoodMoisture};
/// use grainfall_psychrometrics::wood_resistance::{SpeciesCoefficients, corrected_moisture};
/// let shown = WoodMoisture::new(16.0);
/// let warm = corrected_moisture(shown, Celsius::new(35.0), SpeciesCoefficients::OF_THE_METER)?;
/// assert!((warm.moisture_pct - 14.67).abs() < 0.005);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn corrected_moisture(
    reading: WoodMoisture,
    wood_temp: Celsius,
    species: SpeciesCoefficients,
) -> Result<CorrectedMoisture, Error> {
    let x = wood_temp.get();
    let [low_c, high_c] = RESISTANCE_TEMPS_C;
    if !(low_c..=high_c).contains(&x) {
        return Err(Error::WoodTemperatureOutOfRange { found_c: x, low_c, high_c });
    }
    let gain = 0.881 * 1.0056_f64.powf(x);
    let at_reference = (reading.get() + 0.567 - 0.0260 * x + 0.000_051 * x * x) / gain;
    Ok(CorrectedMoisture { moisture_pct: (at_reference - species.b) / species.a, per_point: 1.0 / (gain * species.a) })
}
