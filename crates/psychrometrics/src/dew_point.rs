//! Dew point and frost point: the temperature at which the vapour in the air is saturated.

use crate::constants::{HIGHEST_TEMP_C, LOWEST_TEMP_C, TRIPLE_POINT_C};
use crate::error::Error;
use crate::humidity_ratio::check_vapour_pressure;
use crate::saturation::{Saturation, ln_saturation, saturation_pa};
use crate::solve::bracketed_root;
use crate::units::{Celsius, Pascals};

/// Dew point of a vapour pressure.
///
/// The saturation equation is inverted by iteration to better than 1e-9 K; the handbook's explicit fits are not used.
///
/// # Arguments
/// * `vapour_pressure`: 0 Pa to saturation at 200 C.
/// * `over`: with [`Saturation::IceBelowTriplePoint`] the answer below 0.01 C is a frost point.
///
/// # Returns
/// `None` for air so dry that its dew point lies below -100 C, the end of the equations (and for air without water).
///
/// # Errors
/// [`Error::VapourPressureOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 36, from eq. 5 and 6.
///
/// ```
/// use grainfall_psychrometrics::{Pascals, Saturation, dew_point};
/// // 80 F and 60 %: 64.8755 F (psychrolib 2.5.0).
/// let dew_point = dew_point(Pascals::new(0.6 * 3498.084), Saturation::LiquidWater)?.expect("moist air");
/// assert!((dew_point.to_fahrenheit() - 64.8755).abs() < 1e-4);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn dew_point(vapour_pressure: Pascals, over: Saturation) -> Result<Option<Celsius>, Error> {
    check_vapour_pressure(vapour_pressure)?;
    Ok(dew_point_c(vapour_pressure.get(), over).map(Celsius::new))
}

/// Frost point of a vapour pressure: the temperature at which ice would form.
///
/// # Arguments
/// * `vapour_pressure`: 0 Pa to saturation at 200 C.
///
/// # Returns
/// `None` where no ice can form from this vapour, because its pressure is above that of the triple point (611.657 Pa),
/// and for air so dry that its frost point lies below -100 C.
///
/// # Errors
/// [`Error::VapourPressureOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 5 solved for the temperature.
pub fn frost_point(vapour_pressure: Pascals) -> Result<Option<Celsius>, Error> {
    check_vapour_pressure(vapour_pressure)?;
    Ok(frost_point_c(vapour_pressure.get()).map(Celsius::new))
}

/// Dew point in degrees Celsius of a checked vapour pressure.
pub(crate) fn dew_point_c(vapour_pa: f64, over: Saturation) -> Option<f64> {
    if vapour_pa < saturation_pa(LOWEST_TEMP_C, over) {
        return None;
    }
    let ln_pa = vapour_pa.ln();
    Some(bracketed_root(LOWEST_TEMP_C, HIGHEST_TEMP_C, first_guess_c(ln_pa), |t_c| {
        let (ln_saturated, slope) = ln_saturation(t_c, over);
        (ln_saturated - ln_pa, slope)
    }))
}

/// Frost point in degrees Celsius of a checked vapour pressure.
pub(crate) fn frost_point_c(vapour_pa: f64) -> Option<f64> {
    let over = Saturation::IceBelowTriplePoint;
    if vapour_pa > saturation_pa(TRIPLE_POINT_C, over) {
        return None;
    }
    dew_point_c(vapour_pa, over).map(|t_c| t_c.min(TRIPLE_POINT_C))
}

/// A Magnus-type inverse, only to start the iteration near its end.
fn first_guess_c(ln_pa: f64) -> f64 {
    let x = ln_pa - 611.2_f64.ln();
    243.12 * x / (17.62 - x)
}
