//! Saturation pressure of water vapour: how much vapour air can hold, over liquid water or over ice.

use crate::constants::{HIGHEST_TEMP_C, KELVIN_AT_ZERO_CELSIUS, LOWEST_TEMP_C, TRIPLE_POINT_C};
use crate::error::Error;
use crate::units::{Celsius, Pascals};

/// What the air is in equilibrium with below the triple point of water (0.01 C).
///
/// Above it there is only liquid water and the choice changes nothing. Below it the two differ, by 21 % at -20 C, so
/// every relative humidity and dew point needs the choice. The curves meet at 0.01 C, not at 0 C.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Saturation {
    /// Over liquid water at every temperature, supercooled below 0.01 C: what humidity sensors and weather services
    /// publish, and so the choice for logged relative humidity. Below 0 C the liquid equation is extrapolated.
    #[default]
    LiquidWater,
    /// Over ice at and below 0.01 C, over liquid water above it: the choice of printed moist-air tables.
    IceBelowTriplePoint,
}

/// Saturation vapour pressure.
///
/// # Arguments
/// * `air_temp`: -100 to 200 C. The liquid equation is given for 0 to 200 C and the ice equation for -100 to 0 C; with
///   [`Saturation::LiquidWater`] the liquid equation is used below 0 C too, where it reads high: by 0.1 % at -20 C,
///   0.7 % at -40 C, 5 % at -60 C and 20 % at -100 C (against Murphy and Koop 2005, equation from memory).
/// * `over`: liquid or ice below 0.01 C.
///
/// # Errors
/// [`Error::TemperatureOutOfRange`] outside -100 to 200 C and for a value that is not a number.
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 5 (ice) and eq. 6 (liquid water). Within 0.033 % of IAPWS R7-97 and
/// R14-08 from -100 to 200 C, within 0.021 % from -20 to 100 C.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, Saturation, saturation_vapour_pressure};
/// // 3169.7 Pa: ASHRAE Fundamentals (SI) 2017, ch. 1, Table 3, as quoted in psychrolib's tests; stated to 300 ppm.
/// let at_25_c = saturation_vapour_pressure(Celsius::new(25.0), Saturation::LiquidWater)?;
/// assert!((at_25_c.get() / 3169.7 - 1.0).abs() < 3e-4);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn saturation_vapour_pressure(air_temp: Celsius, over: Saturation) -> Result<Pascals, Error> {
    check_temp("air temperature", air_temp)?;
    Ok(Pascals::new(saturation_pa(air_temp.get(), over)))
}

/// Refuses a temperature outside the saturation equations.
pub(crate) fn check_temp(what: &'static str, temp: Celsius) -> Result<(), Error> {
    if (LOWEST_TEMP_C..=HIGHEST_TEMP_C).contains(&temp.get()) {
        Ok(())
    } else {
        Err(Error::TemperatureOutOfRange { what, found_c: temp.get() })
    }
}

/// Saturation pressure in pascals; the temperature is not checked.
pub(crate) fn saturation_pa(t_c: f64, over: Saturation) -> f64 {
    ln_saturation(t_c, over).0.exp()
}

/// Saturation pressure in pascals and its slope in pascals per kelvin; the temperature is not checked.
pub(crate) fn saturation_and_slope(t_c: f64, over: Saturation) -> (f64, f64) {
    let (ln_pa, ln_slope) = ln_saturation(t_c, over);
    let pa = ln_pa.exp();
    (pa, pa * ln_slope)
}

/// Natural logarithm of the saturation pressure in pascals, and its slope per kelvin.
pub(crate) fn ln_saturation(t_c: f64, over: Saturation) -> (f64, f64) {
    let t_k = t_c + KELVIN_AT_ZERO_CELSIUS;
    match over {
        Saturation::IceBelowTriplePoint if t_c <= TRIPLE_POINT_C => ln_over_ice(t_k),
        Saturation::IceBelowTriplePoint | Saturation::LiquidWater => ln_over_liquid(t_k),
    }
}

/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 5.
fn ln_over_ice(t: f64) -> (f64, f64) {
    const C1: f64 = -5.674_535_9e3;
    const C2: f64 = 6.392_524_7;
    const C3: f64 = -9.677_843e-3;
    const C4: f64 = 6.221_570_1e-7;
    const C5: f64 = 2.074_782_5e-9;
    const C6: f64 = -9.484_024e-13;
    const C7: f64 = 4.163_501_9;
    let ln_pa = C1 / t + C2 + C3 * t + C4 * t * t + C5 * t * t * t + C6 * t * t * t * t + C7 * t.ln();
    let slope = -C1 / (t * t) + C3 + 2.0 * C4 * t + 3.0 * C5 * t * t + 4.0 * C6 * t * t * t + C7 / t;
    (ln_pa, slope)
}

/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 6.
fn ln_over_liquid(t: f64) -> (f64, f64) {
    const C8: f64 = -5.800_220_6e3;
    const C9: f64 = 1.391_499_3;
    const C10: f64 = -4.864_023_9e-2;
    const C11: f64 = 4.176_476_8e-5;
    const C12: f64 = -1.445_209_3e-8;
    const C13: f64 = 6.545_967_3;
    let ln_pa = C8 / t + C9 + C10 * t + C11 * t * t + C12 * t * t * t + C13 * t.ln();
    let slope = -C8 / (t * t) + C10 + 2.0 * C11 * t + 3.0 * C12 * t * t + C13 / t;
    (ln_pa, slope)
}
