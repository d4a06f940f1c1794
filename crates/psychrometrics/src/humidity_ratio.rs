//! Vapour pressure, relative humidity and humidity ratio: the amount of water in air, from one to the other.

use crate::constants::{HIGHEST_PRESSURE_PA, HIGHEST_TEMP_C, LOWEST_PRESSURE_PA, WATER_TO_DRY_AIR_MASS_RATIO};
use crate::error::Error;
use crate::saturation::{Saturation, check_temp, saturation_pa};
use crate::units::{Celsius, HumidityRatio, Pascals, RelativeHumidity};

/// Vapour pressure of air of a relative humidity.
///
/// # Arguments
/// * `air_temp`: -100 to 200 C.
/// * `humidity`: relative to saturation over what `over` names.
///
/// # Errors
/// [`Error::TemperatureOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 12 and 22.
pub fn vapour_pressure(air_temp: Celsius, humidity: RelativeHumidity, over: Saturation) -> Result<Pascals, Error> {
    check_temp("air temperature", air_temp)?;
    Ok(Pascals::new(humidity.fraction() * saturation_pa(air_temp.get(), over)))
}

/// Relative humidity of air of a vapour pressure.
///
/// # Arguments
/// * `vapour_pressure`: 0 to saturation at `air_temp`; an excess of 1e-9 of it is taken as rounding.
/// * `air_temp`: -100 to 200 C.
///
/// # Errors
/// [`Error::TemperatureOutOfRange`], [`Error::VapourPressureOutOfRange`], and [`Error::Supersaturated`] above
/// saturation.
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 12 and 22.
pub fn relative_humidity(
    vapour_pressure: Pascals,
    air_temp: Celsius,
    over: Saturation,
) -> Result<RelativeHumidity, Error> {
    check_temp("air temperature", air_temp)?;
    check_vapour_pressure(vapour_pressure)?;
    let limit_pa = saturation_pa(air_temp.get(), over);
    check_not_supersaturated("vapour pressure", vapour_pressure.get(), air_temp.get(), limit_pa)?;
    Ok(RelativeHumidity::from_computed_fraction(vapour_pressure.get() / limit_pa))
}

/// Humidity ratio of air of a vapour pressure.
///
/// # Arguments
/// * `vapour_pressure`: 0 or above, and below `pressure`.
/// * `pressure`: total pressure at the place, 10 to 200 kPa.
///
/// # Errors
/// [`Error::PressureOutOfRange`], [`Error::VapourPressureOutOfRange`], and [`Error::VapourReachesTotal`] where the
/// vapour pressure is not below the total.
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 20. Ideal gas: between 10 and 40 C real air holds 0.30
/// to 0.53 % more (against CoolProp 8.0.0).
///
/// ```
/// use grainfall_psychrometrics::{Pascals, humidity_ratio};
/// // 80 F and 60 %: 0.01315550 kg/kg at 101.325 kPa (psychrolib 2.5.0).
/// let w = humidity_ratio(Pascals::new(0.6 * 3498.084), Pascals::STANDARD_ATMOSPHERE)?;
/// assert!((w.get() - 0.0131555).abs() < 5e-8);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn humidity_ratio(vapour_pressure: Pascals, pressure: Pascals) -> Result<HumidityRatio, Error> {
    check_pressure(pressure)?;
    check_vapour_pressure(vapour_pressure)?;
    check_air_is_left(vapour_pressure, pressure)?;
    Ok(HumidityRatio::new(ratio_kg_kg(vapour_pressure.get(), pressure.get())))
}

/// Vapour pressure of air of a humidity ratio, the inverse of [`humidity_ratio`].
///
/// # Arguments
/// * `ratio`: 0 or above.
/// * `pressure`: total pressure at the place, 10 to 200 kPa.
///
/// # Errors
/// [`Error::PressureOutOfRange`], [`Error::HumidityRatioOutOfRange`].
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 20 solved for the vapour pressure.
pub fn vapour_pressure_of_ratio(ratio: HumidityRatio, pressure: Pascals) -> Result<Pascals, Error> {
    check_pressure(pressure)?;
    check_ratio(ratio)?;
    let w = ratio.get();
    Ok(Pascals::new(pressure.get() * w / (WATER_TO_DRY_AIR_MASS_RATIO + w)))
}

/// Eq. 20 without checks.
pub(crate) fn ratio_kg_kg(vapour_pa: f64, pressure_pa: f64) -> f64 {
    WATER_TO_DRY_AIR_MASS_RATIO * vapour_pa / (pressure_pa - vapour_pa)
}

/// Refuses a total pressure outside 10 to 200 kPa.
pub(crate) fn check_pressure(pressure: Pascals) -> Result<(), Error> {
    if (LOWEST_PRESSURE_PA..=HIGHEST_PRESSURE_PA).contains(&pressure.get()) {
        Ok(())
    } else {
        Err(Error::PressureOutOfRange { found_pa: pressure.get() })
    }
}

/// Refuses a vapour pressure below zero or above saturation at 200 C.
pub(crate) fn check_vapour_pressure(vapour_pressure: Pascals) -> Result<(), Error> {
    let highest_pa = saturation_pa(HIGHEST_TEMP_C, Saturation::LiquidWater);
    if (0.0..=highest_pa).contains(&vapour_pressure.get()) {
        Ok(())
    } else {
        Err(Error::VapourPressureOutOfRange { found_pa: vapour_pressure.get(), highest_pa })
    }
}

/// Refuses vapour that leaves no room for air.
pub(crate) fn check_air_is_left(vapour_pressure: Pascals, pressure: Pascals) -> Result<(), Error> {
    if vapour_pressure < pressure {
        Ok(())
    } else {
        Err(Error::VapourReachesTotal { vapour_pressure_pa: vapour_pressure.get(), pressure_pa: pressure.get() })
    }
}

/// Refuses a humidity ratio below zero or without end.
pub(crate) fn check_ratio(ratio: HumidityRatio) -> Result<(), Error> {
    if ratio.get() >= 0.0 && ratio.get().is_finite() {
        Ok(())
    } else {
        Err(Error::HumidityRatioOutOfRange { found_kg_kg: ratio.get() })
    }
}

/// Refuses vapour above saturation, but for rounding.
pub(crate) fn check_not_supersaturated(
    what: &'static str,
    vapour_pressure_pa: f64,
    air_temp_c: f64,
    limit_pa: f64,
) -> Result<(), Error> {
    if vapour_pressure_pa <= limit_pa * (1.0 + crate::constants::SATURATION_ROUNDING) {
        Ok(())
    } else {
        Err(Error::Supersaturated { what, vapour_pressure_pa, air_temp_c, limit_pa })
    }
}
