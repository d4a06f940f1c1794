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

/// The steps in which three columns are written, in canonical units; 0 where not known.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Steps {
    pub temp_c: f64,
    pub rh_pct: f64,
    pub dew_c: f64,
}

/// By how much formulas for the dew point differ from each other in the range of buildings, degC (project convention:
/// the simple Magnus forms in loggers stay within 0.2 of the reference formulas from -20 to 50 degC).
const FORMULAS_C: f64 = 0.3;

/// By how much a logged dew point misses what temperature and humidity give, beyond half a step of each of the three
/// and the difference between formulas, degC. `None` when they agree. Below freezing a logged dew point may be over ice
/// or over water.
pub(crate) fn contradiction_c(temp_c: f64, rh_pct: f64, dew_c: f64, steps: Steps) -> Option<f64> {
    let (half_temp, half_rh) = (steps.temp_c / 2.0, steps.rh_pct / 2.0);
    let low = dew_point_c(temp_c - half_temp, (rh_pct - half_rh).max(0.1))?;
    let high = dew_point_c(temp_c + half_temp, (rh_pct + half_rh).clamp(0.1, 100.0))?;
    let slack = FORMULAS_C + steps.dew_c / 2.0;
    // Over ice the frost point of the same air lies above the dew point, by about a ninth of its distance from zero.
    let frost = if high < 0.0 { -high / 8.0 } else { 0.0 };
    let apart = (low - slack - dew_c).max(dew_c - high - frost - slack);
    (apart > 0.0).then_some(apart)
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

    #[test]
    fn contradictions_beyond_rounding() {
        // 25 degC and 50 %: dew point 13.9 degC (ASHRAE psychrometric chart 1, from memory).
        let fine = Steps { temp_c: 0.1, rh_pct: 0.1, dew_c: 0.1 };
        assert_eq!(contradiction_c(25.0, 50.0, 13.9, fine), None);
        assert!((contradiction_c(25.0, 50.0, 17.0, fine).unwrap() - 2.7).abs() < 0.2);
        assert!((contradiction_c(25.0, 50.0, 10.0, fine).unwrap() - 3.4).abs() < 0.2);
        // Whole degF and whole percent leave half a degree open.
        let coarse = Steps { temp_c: 5.0 / 9.0, rh_pct: 1.0, dew_c: 5.0 / 9.0 };
        assert_eq!(contradiction_c(25.0, 50.0, 14.6, coarse), None);
        // -10 degC and 100 % over water is a dew point of -10 and a frost point of -8.9 degC.
        assert_eq!(contradiction_c(-10.0, 100.0, -8.9, fine), None);
    }
}
