//! Moist air and wood as plain numbers for the inner loop: thin names for what `grainfall-psychrometrics` answers.
//!
//! Units: degC, Pa, % relative humidity over liquid water, kg of water per kg of dry air.

use grainfall_psychrometrics::wood::{equilibrium_moisture, water_activity};
use grainfall_psychrometrics::{
    Celsius, Error, HumidityRatio, Metres, Pascals, RelativeHumidity, Saturation, WoodMoisture, humidity_ratio,
    pressure_at_elevation, saturation_vapour_pressure, specific_volume, vapour_pressure_of_ratio,
};

/// Saturation vapour pressure over liquid water, Pa.
pub(crate) fn saturation_pa(temp_c: f64) -> Result<f64, Error> {
    Ok(saturation_vapour_pressure(Celsius::new(temp_c), Saturation::LiquidWater)?.get())
}

/// Vapour pressure of a humidity ratio, Pa.
pub(crate) fn vapour_pressure_pa(ratio: f64, pressure_pa: f64) -> Result<f64, Error> {
    Ok(vapour_pressure_of_ratio(HumidityRatio::new(ratio), Pascals::new(pressure_pa))?.get())
}

/// Humidity ratio of a vapour pressure.
pub(crate) fn ratio_of_pa(vapour_pa: f64, pressure_pa: f64) -> Result<f64, Error> {
    Ok(humidity_ratio(Pascals::new(vapour_pa), Pascals::new(pressure_pa))?.get())
}

/// Volume of moist air per kg of dry air, m3.
pub(crate) fn volume_m3_per_kg(temp_c: f64, ratio: f64, pressure_pa: f64) -> Result<f64, Error> {
    Ok(specific_volume(Celsius::new(temp_c), HumidityRatio::new(ratio), Pascals::new(pressure_pa))?.get())
}

/// Grains per pound of a humidity ratio.
pub(crate) fn gpp(ratio: f64) -> f64 {
    HumidityRatio::new(ratio).to_grains_per_pound()
}

/// Air pressure at an elevation above sea level, Pa.
pub(crate) fn pressure_at_elevation_pa(elevation_m: f64) -> Result<f64, Error> {
    Ok(pressure_at_elevation(Metres::new(elevation_m))?.get())
}

/// Moisture content of wood in equilibrium with air, % of dry mass.
pub(crate) fn wood_equilibrium_pct(temp_c: f64, rh_pct: f64) -> Result<f64, Error> {
    Ok(equilibrium_moisture(Celsius::new(temp_c), RelativeHumidity::from_percent(rh_pct)?)?.get())
}

/// Water activity of wood of a moisture content in % of dry mass, 0 to 1.
pub(crate) fn wood_activity(temp_c: f64, moisture_pct: f64) -> Result<f64, Error> {
    Ok(water_activity(Celsius::new(temp_c), WoodMoisture::new(moisture_pct))?.value)
}
