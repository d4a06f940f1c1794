//! Wood and the air around it: the moisture content wood settles at, the humidity that goes with a moisture content,
//! and the water activity of a wood surface.
//!
//! One equation for all species (Simpson's fit of the two-hydrate Hailwood-Horrobin form). Species differ by about 1 %
//! moisture content, and wood that dries settles higher than wood that takes up water (both from memory). Not for
//! gypsum, concrete, masonry or engineered panels.

use crate::error::Error;
use crate::solve::bracketed_root;
use crate::units::{Celsius, RelativeHumidity, WoodMoisture};

/// Coldest wood in degrees Celsius, 30 F: where the handbook's table begins.
pub const LOWEST_WOOD_TEMP_C: f64 = Celsius::from_fahrenheit(30.0).get();

/// Hottest wood in degrees Celsius, 140 F. The handbook's table goes on; this is where the equation was checked.
pub const HIGHEST_WOOD_TEMP_C: f64 = 60.0;

/// Highest relative humidity of the handbook's table in percent (from memory; printed cells were compared up to 85 %
/// between 40 and 130 F). Above it the equation is extrapolated.
pub const HIGHEST_TABLE_RH_PCT: f64 = 95.0;

/// Moisture content at which wood neither gains nor loses water in steady air.
///
/// # Arguments
/// * `temp`: of air and wood, 30 to 140 F (-1.1 to 60 C).
/// * `rh`: over liquid water; above 95 % the equation is extrapolated.
///
/// # Errors
/// [`Error::WoodTemperatureOutOfRange`].
///
/// # Source
/// USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), ch. 4, eq. 4-5, in the metric form of
/// FPL-RN-0268 (1998). Reproduces the handbook's Table 4-2 within 0.07 % moisture content.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, RelativeHumidity, wood::equilibrium_moisture};
/// // 70 F and 50 %: 9.2 % (Wood Handbook, Table 4-2).
/// let moisture = equilibrium_moisture(Celsius::from_fahrenheit(70.0), RelativeHumidity::from_percent(50.0)?)?;
/// assert!((moisture.get() - 9.2).abs() < 0.07);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn equilibrium_moisture(temp: Celsius, rh: RelativeHumidity) -> Result<WoodMoisture, Error> {
    let sorption = Sorption::at(temp)?;
    Ok(WoodMoisture::new(sorption.moisture_and_slope(rh.fraction()).0))
}

/// Relative humidity, over liquid water, at which wood of a moisture content neither gains nor loses water: the inverse
/// of [`equilibrium_moisture`].
///
/// # Arguments
/// * `temp`: 30 to 140 F (-1.1 to 60 C).
/// * `moisture`: 0 % up to the equilibrium at 100 % relative humidity (28.8 % at 20 C); above 95 % relative humidity the
///   equation is extrapolated.
///
/// # Errors
/// [`Error::WoodTemperatureOutOfRange`], and [`Error::WoodMoistureOutOfRange`] where the wood holds free water; use
/// [`water_activity`] where that is to be expected.
///
/// # Source
/// As [`equilibrium_moisture`], solved for the humidity.
pub fn equilibrium_humidity(temp: Celsius, moisture: WoodMoisture) -> Result<RelativeHumidity, Error> {
    let sorption = Sorption::at(temp)?;
    let highest_pct = sorption.moisture_and_slope(1.0).0;
    if !(0.0..=highest_pct).contains(&moisture.get()) {
        return Err(Error::WoodMoistureOutOfRange { found_pct: moisture.get(), highest_pct });
    }
    Ok(RelativeHumidity::from_computed_fraction(sorption.humidity(moisture.get())))
}

/// Water activity of a wood surface: its vapour pressure over that of liquid water at the same temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterActivity {
    /// 0 to 1.
    pub value: f64,
    /// What the value rests on.
    pub basis: ActivityBasis,
}

/// What a water activity rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ActivityBasis {
    /// The sorption equation inside the handbook's table, up to 95 %.
    SorptionCurve,
    /// The sorption equation above the table, 95 to 100 %.
    Extrapolated,
    /// Wetter than the equation's value at 100 %: free water, activity 1.
    FreeWater,
}

/// Water activity of wood of a moisture content.
///
/// At and above the equation's equilibrium at 100 % relative humidity (28.8 % at 20 C, 26.9 % at 50 C, near the fibre
/// saturation point, about 30 % from memory) the wood holds free water and the activity is 1. Below it the sorption equation is
/// inverted, so the activity runs to 1 without a step. Desorption lies higher on the moisture axis than this averaged
/// curve (from memory), so drying wood of a given moisture content may have a somewhat lower activity.
///
/// # Arguments
/// * `temp`: of the wood surface, 30 to 140 F (-1.1 to 60 C).
/// * `moisture`: 0 % or above, without upper limit.
///
/// # Errors
/// [`Error::WoodTemperatureOutOfRange`]; [`Error::WoodMoistureOutOfRange`] for a negative value or no number.
///
/// # Source
/// As [`equilibrium_moisture`]; activity 1 with free water is a project convention.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, WoodMoisture, wood::water_activity};
/// // 16 % at 70 F goes with 80.01 % relative humidity (the equation in its Fahrenheit form).
/// let activity = water_activity(Celsius::from_fahrenheit(70.0), WoodMoisture::new(16.0))?;
/// assert!((activity.value - 0.8001).abs() < 0.0005);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn water_activity(temp: Celsius, moisture: WoodMoisture) -> Result<WaterActivity, Error> {
    let sorption = Sorption::at(temp)?;
    let highest_pct = sorption.moisture_and_slope(1.0).0;
    let found_pct = moisture.get();
    if !(found_pct >= 0.0 && found_pct.is_finite()) {
        return Err(Error::WoodMoistureOutOfRange { found_pct, highest_pct });
    }
    if found_pct >= highest_pct {
        return Ok(WaterActivity { value: 1.0, basis: ActivityBasis::FreeWater });
    }
    let value = sorption.humidity(found_pct);
    let inside = 100.0 * value <= HIGHEST_TABLE_RH_PCT;
    Ok(WaterActivity { value, basis: if inside { ActivityBasis::SorptionCurve } else { ActivityBasis::Extrapolated } })
}

/// The sorption equation at one temperature.
struct Sorption {
    scale: f64,
    k: f64,
    k1: f64,
    k2: f64,
}

impl Sorption {
    fn at(temp: Celsius) -> Result<Self, Error> {
        let t = temp.get();
        if !(LOWEST_WOOD_TEMP_C..=HIGHEST_WOOD_TEMP_C).contains(&t) {
            return Err(Error::WoodTemperatureOutOfRange {
                found_c: t,
                low_c: LOWEST_WOOD_TEMP_C,
                high_c: HIGHEST_WOOD_TEMP_C,
            });
        }
        Ok(Self {
            scale: 1800.0 / (349.0 + 1.29 * t + 0.0135 * t * t),
            k: 0.805 + 0.000_736 * t - 0.000_002_73 * t * t,
            k1: 6.27 - 0.009_38 * t - 0.000_303 * t * t,
            k2: 1.91 + 0.0407 * t - 0.000_293 * t * t,
        })
    }

    /// Moisture in percent at a humidity from 0 to 1, and its slope.
    fn moisture_and_slope(&self, humidity: f64) -> (f64, f64) {
        let (k, h) = (self.k, humidity);
        let (a, b) = (self.k1 * k, self.k1 * self.k2 * k * k);
        let hydrated = a * h + 2.0 * b * h * h;
        let all = 1.0 + a * h + b * h * h;
        let moisture = self.scale * (k * h / (1.0 - k * h) + hydrated / all);
        let slope = self.scale
            * (k / ((1.0 - k * h) * (1.0 - k * h))
                + ((a + 4.0 * b * h) * all - hydrated * (a + 2.0 * b * h)) / (all * all));
        (moisture, slope)
    }

    /// Humidity from 0 to 1 at a moisture between zero and the value at 1.
    fn humidity(&self, moisture_pct: f64) -> f64 {
        bracketed_root(0.0, 1.0, 0.5, |h| {
            let (moisture, slope) = self.moisture_and_slope(h);
            (moisture - moisture_pct, slope)
        })
    }
}
