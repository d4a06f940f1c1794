//! Enthalpy, volume, density and absolute humidity of moist air.

use crate::constants::KELVIN_AT_ZERO_CELSIUS;
use crate::error::Error;
use crate::humidity_ratio::{check_pressure, check_ratio};
use crate::saturation::check_temp;
use crate::units::{AbsoluteHumidity, Celsius, Density, Enthalpy, HumidityRatio, Pascals, SpecificVolume};

/// Enthalpy of moist air per mass of dry air.
///
/// # Arguments
/// * `air_temp`: -100 to 200 C.
/// * `ratio`: 0 or above.
///
/// # Errors
/// [`Error::TemperatureOutOfRange`], [`Error::HumidityRatioOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 30 (SI form).
pub fn enthalpy(air_temp: Celsius, ratio: HumidityRatio) -> Result<Enthalpy, Error> {
    check_temp("air temperature", air_temp)?;
    check_ratio(ratio)?;
    Ok(Enthalpy::new(enthalpy_kj_kg(air_temp.get(), ratio.get())))
}

/// Volume of moist air per mass of dry air.
///
/// # Arguments
/// * `air_temp`: -100 to 200 C.
/// * `ratio`: 0 or above.
/// * `pressure`: total pressure at the place, 10 to 200 kPa.
///
/// # Errors
/// [`Error::TemperatureOutOfRange`], [`Error::HumidityRatioOutOfRange`], [`Error::PressureOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 26 (SI form).
///
/// ```
/// use grainfall_psychrometrics::{Celsius, HumidityRatio, Pascals, specific_volume};
/// // 80 F, 92.0881 gr/lb, 14.696 psia: 13.89285 ft3/lb (psychrolib 2.5.0, inch-pound form, whose constants are rounded
/// // apart from the SI ones by 1e-5).
/// let volume = specific_volume(
///     Celsius::from_fahrenheit(80.0),
///     HumidityRatio::from_grains_per_pound(92.0881),
///     Pascals::from_psi(14.696),
/// )?;
/// assert!((volume.to_cubic_feet_per_pound() / 13.89285 - 1.0).abs() < 2e-5);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn specific_volume(air_temp: Celsius, ratio: HumidityRatio, pressure: Pascals) -> Result<SpecificVolume, Error> {
    check_temp("air temperature", air_temp)?;
    check_ratio(ratio)?;
    check_pressure(pressure)?;
    Ok(SpecificVolume::new(volume_m3_kg(air_temp.get(), ratio.get(), pressure.get())))
}

/// Density of moist air, vapour included.
///
/// # Arguments
/// As [`specific_volume`].
///
/// # Errors
/// As [`specific_volume`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 11.
pub fn density(air_temp: Celsius, ratio: HumidityRatio, pressure: Pascals) -> Result<Density, Error> {
    let volume = specific_volume(air_temp, ratio, pressure)?;
    Ok(Density::new((1.0 + ratio.get()) / volume.get()))
}

/// Mass of vapour per volume of moist air.
///
/// # Arguments
/// As [`specific_volume`].
///
/// # Errors
/// As [`specific_volume`].
///
/// # Source
/// Humidity ratio over specific volume, by the definition of both (ASHRAE Handbook-Fundamentals (2017), ch. 1).
pub fn absolute_humidity(
    air_temp: Celsius,
    ratio: HumidityRatio,
    pressure: Pascals,
) -> Result<AbsoluteHumidity, Error> {
    let volume = specific_volume(air_temp, ratio, pressure)?;
    Ok(AbsoluteHumidity::new(1000.0 * ratio.get() / volume.get()))
}

/// Eq. 30 without checks.
pub(crate) fn enthalpy_kj_kg(t_c: f64, ratio: f64) -> f64 {
    1.006 * t_c + ratio * (2501.0 + 1.86 * t_c)
}

/// Derivatives of eq. 30: per kelvin at a constant humidity ratio, and per kg/kg at a constant temperature.
pub(crate) fn enthalpy_slopes(t_c: f64, ratio: f64) -> (f64, f64) {
    (1.006 + 1.86 * ratio, 2501.0 + 1.86 * t_c)
}

/// Eq. 26 without checks; the gas constant of dry air in kPa m3/(kg K).
pub(crate) fn volume_m3_kg(t_c: f64, ratio: f64, pressure_pa: f64) -> f64 {
    0.287_042 * (t_c + KELVIN_AT_ZERO_CELSIUS) * (1.0 + 1.607_858 * ratio) / (pressure_pa / 1000.0)
}
