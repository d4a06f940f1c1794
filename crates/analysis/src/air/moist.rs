//! Moist air of one sample or reading, with the choices that hold for the whole analysis: humidity over liquid water
//! at all temperatures, uncertainties expanded with k = 2.

use grainfall_psychrometrics::constants::{KELVIN_AT_ZERO_CELSIUS, WATER_TO_DRY_AIR_MASS_RATIO};
use grainfall_psychrometrics::uncertainty::{
    Accuracy, CoverageFactor, PressureAccuracy, SensorAccuracy, enthalpy_sensitivity, enthalpy_uncertainty,
    gpp_sensitivity, gpp_uncertainty,
};
use grainfall_psychrometrics::{
    Celsius, Error, GrainsPerPound, HumidityRatio, MoistAir, Pascals, Property, RelativeHumidity, Saturation,
    saturation_vapour_pressure,
};
use grainfall_psychrometrics::{CelsiusDelta, RelativeHumidityDelta};
use grainfall_record::Quantity;

use super::gpp_u::GppU;

/// What logged relative humidity refers to.
pub(crate) const OVER: Saturation = Saturation::LiquidWater;

/// Gas constant of dry air, J/(kg K). ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 1.
const DRY_AIR_J_KG_K: f64 = 287.042;

/// The air of a temperature and a relative humidity.
///
/// # Errors
/// Where the equations have no answer.
pub(crate) fn air(air_temp_c: f64, rh_pct: f64, pressure_pa: f64) -> Result<MoistAir, Error> {
    MoistAir::from_temp_and_rh(
        Celsius::new(air_temp_c),
        RelativeHumidity::from_percent(rh_pct)?,
        Pascals::new(pressure_pa),
        OVER,
    )
}

/// The air of a temperature and grains per pound.
///
/// # Errors
/// Where no air has both.
pub(crate) fn air_of_gpp(air_temp: Celsius, gpp: GrainsPerPound, pressure_pa: f64) -> Result<MoistAir, Error> {
    MoistAir::from_pair(
        Property::Temperature(air_temp),
        Property::HumidityRatio(HumidityRatio::from(gpp)),
        Pascals::new(pressure_pa),
        OVER,
    )
}

/// Expanded uncertainty (k = 2) of the air's GPP from this sensor and the pressure; `logged` is the quantity its humidity
/// comes from.
pub(crate) fn u_gpp(air: &MoistAir, logged: Quantity, sensor: &SensorAccuracy, pressure: &PressureAccuracy) -> GppU {
    let u = GppU::of(&gpp_uncertainty(air, sensor, &PressureAccuracy::Neglected));
    let u_pressure_pa = CoverageFactor::K2.get() * pressure.standard().get();
    GppU { pressure: (gpp_per_pa(logged, air) * u_pressure_pa).abs(), ..u }
}

/// GPP that the air would have more of per pascal more of pressure, the logged temperature and humidity held.
fn gpp_per_pa(logged: Quantity, air: &MoistAir) -> f64 {
    const STEP_PA: f64 = 100.0;
    let gpp_of_wet_bulb = |pressure_pa| {
        let (temp, wet_bulb) = (Property::Temperature(air.temperature()), Property::WetBulb(air.wet_bulb()));
        MoistAir::from_pair(temp, wet_bulb, Pascals::new(pressure_pa), OVER).map(|air| air.grains_per_pound().get())
    };
    let pressure_pa = air.pressure().get();
    match logged {
        Quantity::HumidityRatio => 0.0,
        Quantity::WetBulb => match (gpp_of_wet_bulb(pressure_pa + STEP_PA), gpp_of_wet_bulb(pressure_pa - STEP_PA)) {
            (Ok(above), Ok(below)) => (above - below) / (2.0 * STEP_PA),
            // At the end of what wet bulbs can be, as of a vapour pressure.
            _ => gpp_sensitivity(air).per_pa,
        },
        _ => gpp_sensitivity(air).per_pa,
    }
}

/// Expanded uncertainty (k = 2) of the air's enthalpy from this sensor, kJ per kg of dry air, where the pressure moves its
/// GPP by `from_pressure`.
pub(crate) fn u_enthalpy_kj_kg(air: &MoistAir, sensor: &SensorAccuracy, from_pressure: f64) -> f64 {
    let of_sensor = enthalpy_uncertainty(air, sensor, &PressureAccuracy::Neglected);
    // A pressure moves the enthalpy by way of the humidity ratio: per GPP as the humidity does.
    let per_gpp = enthalpy_sensitivity(air).per_rh_pct / gpp_sensitivity(air).per_rh_pct;
    of_sensor.expanded(CoverageFactor::K2).get().hypot(per_gpp * from_pressure)
}

/// Expanded uncertainty (k = 2) of a temperature, K.
pub(crate) fn u_temp_k(accuracy: &Accuracy<CelsiusDelta>) -> f64 {
    CoverageFactor::K2.get() * accuracy.standard().get()
}

/// The limits as the job states them or as assumed.
pub(crate) fn limits(sensor: &SensorAccuracy) -> (CelsiusDelta, RelativeHumidityDelta) {
    (sensor.temp.limit(), sensor.rh.limit())
}

/// Logged quantities that give the humidity where relative humidity is not logged, best first.
pub(crate) const OTHER_HUMIDITY: [Quantity; 5] = [
    Quantity::DewPoint,
    Quantity::HumidityRatio,
    Quantity::VapourPressure,
    Quantity::WetBulb,
    Quantity::AbsoluteHumidity,
];

/// Relative humidity, %, that another logged quantity stands for at this temperature; it may exceed 100.
///
/// # Errors
/// Where the equations have no answer.
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 20, 22, 33 / 35; absolute humidity by the ideal-gas law.
pub(crate) fn rh_from(quantity: Quantity, value: f64, air_temp_c: f64, pressure_pa: f64) -> Result<f64, Error> {
    let air_temp = Celsius::new(air_temp_c);
    let saturated_pa = saturation_vapour_pressure(air_temp, OVER)?.get();
    let vapour_pa = match quantity {
        Quantity::DewPoint => saturation_vapour_pressure(Celsius::new(value), OVER)?.get(),
        Quantity::HumidityRatio => value * pressure_pa / (WATER_TO_DRY_AIR_MASS_RATIO + value),
        Quantity::AbsoluteHumidity => {
            value / 1000.0 * DRY_AIR_J_KG_K / WATER_TO_DRY_AIR_MASS_RATIO * (air_temp_c + KELVIN_AT_ZERO_CELSIUS)
        }
        Quantity::WetBulb => MoistAir::from_pair(
            Property::Temperature(air_temp),
            Property::WetBulb(Celsius::new(value)),
            Pascals::new(pressure_pa),
            OVER,
        )?
        .vapour_pressure()
        .get(),
        _ => value,
    };
    Ok(100.0 * vapour_pa / saturated_pa)
}

#[cfg(test)]
mod tests {
    use super::*;
    use grainfall_psychrometrics::uncertainty::Distribution;

    /// 75 F / 40 % and its wet bulb at 101.325 kPa, taken 2 kPa lower and higher: psychrolib 2.5.0 gives 52.6177 and 50.5571
    /// GPP by relative humidity, 53.1228 and 50.0771 by wet bulb; half the difference of each.
    #[test]
    fn what_is_logged_decides_what_a_pressure_moves() {
        let here = air(Celsius::from_fahrenheit(75.0).get(), 40.0, 101_325.0).unwrap();
        let pressure = Accuracy::assumed(Pascals::new(2000.0), Distribution::NormalK2).unwrap();
        let u = |logged| u_gpp(&here, logged, &SensorAccuracy::assumed(), &PressureAccuracy::Known(pressure)).pressure;
        assert!((u(Quantity::RelativeHumidity) - 1.0303).abs() < 0.002, "{}", u(Quantity::RelativeHumidity));
        assert!((u(Quantity::DewPoint) - 1.0303).abs() < 0.002);
        assert!((u(Quantity::WetBulb) - 1.5228).abs() < 0.004, "{}", u(Quantity::WetBulb));
        assert!(u(Quantity::HumidityRatio).abs() < 1e-12, "it was logged as a ratio");
    }

    /// 80 F and 60 % at 101.325 kPa: dew point 18.2642 C, wet bulb 20.9165 C, W = 92.0885 / 7000, vapour pressure
    /// 0.6 x 3498.084 Pa, all from psychrolib 2.5.0; absolute humidity = 0.0131555 kg/kg / 0.867311 m3/kg = 15.1682 g/m3.
    #[test]
    fn every_logged_humidity_gives_the_same_relative_humidity() {
        let (temp_c, pressure_pa) = (Celsius::from_fahrenheit(80.0).get(), 101_325.0);
        for (quantity, value) in [
            (Quantity::DewPoint, 18.2642),
            (Quantity::WetBulb, 20.9165),
            (Quantity::HumidityRatio, 92.0885 / 7000.0),
            (Quantity::VapourPressure, 0.6 * 3498.084),
            (Quantity::AbsoluteHumidity, 15.1682),
        ] {
            let rh = rh_from(quantity, value, temp_c, pressure_pa).unwrap();
            // The published digits carry at most 0.001 %RH.
            assert!((rh - 60.0).abs() < 0.002, "{quantity:?}: {rh}");
        }
    }

    #[test]
    fn a_dew_point_above_the_air_gives_more_than_100_percent() {
        assert!(rh_from(Quantity::DewPoint, 20.5, 20.0, 101_325.0).unwrap() > 100.0);
    }
}
