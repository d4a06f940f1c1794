//! The moist-air relations by which one column of a file tells the unit of another, on plain numbers.
//!
//! `None` where a combination is no state of moist air: under the wrong unit many are not.

use grainfall_psychrometrics::{
    Celsius, Pascals, RelativeHumidity, Saturation, WetBulbBranch, dew_point, humidity_ratio, vapour_pressure, wet_bulb,
};

/// Vapour pressure of air, Pa. Logged humidity is over liquid water at all temperatures.
pub(crate) fn vapour_pa(temp_c: f64, rh_pct: f64) -> Option<f64> {
    let rh = RelativeHumidity::from_percent(rh_pct).ok()?;
    Some(vapour_pressure(Celsius::new(temp_c), rh, Saturation::LiquidWater).ok()?.get())
}

/// Dew point of air, degC.
pub(crate) fn dew_point_c(temp_c: f64, rh_pct: f64) -> Option<f64> {
    let vapour = Pascals::new(vapour_pa(temp_c, rh_pct)?);
    Some(dew_point(vapour, Saturation::LiquidWater).ok()??.get())
}

/// Humidity ratio of air, kg/kg.
pub(crate) fn ratio_kg_kg(temp_c: f64, rh_pct: f64, pressure_pa: f64) -> Option<f64> {
    let vapour = Pascals::new(vapour_pa(temp_c, rh_pct)?);
    Some(humidity_ratio(vapour, Pascals::new(pressure_pa)).ok()?.get())
}

/// Wet bulb of air, degC, with a liquid wick.
pub(crate) fn wet_bulb_c(temp_c: f64, rh_pct: f64, pressure_pa: f64) -> Option<f64> {
    let pressure = Pascals::new(pressure_pa);
    let ratio = humidity_ratio(Pascals::new(vapour_pa(temp_c, rh_pct)?), pressure).ok()?;
    Some(wet_bulb(Celsius::new(temp_c), ratio, pressure, WetBulbBranch::LiquidWick).ok()?.get())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(got: Option<f64>, want: f64, within: f64) {
        let got = got.unwrap();
        assert!((got - want).abs() <= within, "got {got}, want {want}");
    }

    #[test]
    fn published_points() {
        // ASHRAE Handbook-Fundamentals (2017), ch. 1, table 3: 3169.7 Pa at 25 degC; the equations agree to 300 ppm.
        near(vapour_pa(25.0, 100.0), 3169.7, 1.0);
        // Air at saturation has one temperature.
        near(dew_point_c(21.0, 100.0), 21.0, 1e-6);
        near(wet_bulb_c(21.0, 100.0, 101_325.0), 21.0, 1e-3);
        // Ratio of the molar masses times e/(p - e), with e = 1584.85 Pa at 25 degC and 50 %.
        near(ratio_kg_kg(25.0, 50.0, 101_325.0), 0.621_945 * 1584.85 / (101_325.0 - 1584.85), 5e-6);
    }

    #[test]
    fn what_is_no_state_of_air() {
        assert!(dew_point_c(20.0, 0.0).is_none());
        assert!(vapour_pa(20.0, 300.0).is_none());
    }
}
