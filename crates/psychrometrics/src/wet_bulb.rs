//! Thermodynamic wet bulb: the temperature air takes when it evaporates water, or ice, until it is saturated.
//!
//! Below freezing the wick is iced and a second equation holds. Near 0 C the two overlap: in a band of states both a
//! liquid wick above 0 C and an iced one below it satisfy their equation (at 5 C and 101.325 kPa for 32.7 to 37.0 %
//! relative humidity), so the choice is named, see [`WetBulbBranch`].

use crate::constants::{KELVIN_AT_ZERO_CELSIUS, LOWEST_TEMP_C, TRIPLE_POINT_C, WATER_TO_DRY_AIR_MASS_RATIO};
use crate::dew_point::dew_point_c;
use crate::error::Error;
use crate::humidity_ratio::{check_not_supersaturated, check_pressure, check_ratio, vapour_pressure_of_ratio};
use crate::saturation::{Saturation, check_temp, saturation_and_slope, saturation_pa};
use crate::solve::bracketed_root;
use crate::units::{Celsius, HumidityRatio, Pascals};

/// Which answer is taken where a liquid and an iced wick both have one. Elsewhere the choice changes nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WetBulbBranch {
    /// The iced wick, below 0 C. The default: of the 357 reference states one lies in the band (5 C, 40 %, 84 kPa) and
    /// both libraries behind the table answer on this branch.
    #[default]
    IcedWick,
    /// The liquid wick, at or above 0 C.
    LiquidWick,
}

/// Wet bulb of air.
///
/// # Arguments
/// * `air_temp`: -100 to 200 C.
/// * `ratio`: 0 to saturation over liquid water at `air_temp`.
/// * `pressure`: total pressure at the place, 10 to 200 kPa.
/// * `branch`: the answer taken in the band near 0 C where there are two.
///
/// # Returns
/// At or below the air temperature, with one exception: air below 0.01 C that is saturated over ice but not over
/// liquid water gives up water to an iced wick and warms it, so its wet bulb lies above.
///
/// # Errors
/// [`Error::TemperatureOutOfRange`], [`Error::PressureOutOfRange`], [`Error::HumidityRatioOutOfRange`], and
/// [`Error::Supersaturated`] for more water than saturated air holds.
///
/// # Source
/// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 33 (liquid wick) and eq. 35 (iced wick), solved to 1e-9 K with
/// saturation over ice at and below 0.01 C.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, HumidityRatio, Pascals, WetBulbBranch, wet_bulb};
/// // 80 F and 60 % at 101.325 kPa: 0.0131555 kg/kg, 20.9165 C or 69.65 F (psychrolib 2.5.0).
/// let wet_bulb = wet_bulb(
///     Celsius::from_fahrenheit(80.0),
///     HumidityRatio::new(0.013_155_5),
///     Pascals::STANDARD_ATMOSPHERE,
///     WetBulbBranch::default(),
/// )?;
/// assert!((wet_bulb.get() - 20.9165).abs() < 2e-4);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn wet_bulb(
    air_temp: Celsius,
    ratio: HumidityRatio,
    pressure: Pascals,
    branch: WetBulbBranch,
) -> Result<Celsius, Error> {
    check_temp("air temperature", air_temp)?;
    check_pressure(pressure)?;
    check_ratio(ratio)?;
    let vapour_pa = vapour_pressure_of_ratio(ratio, pressure)?.get();
    let limit_pa = saturation_pa(air_temp.get(), Saturation::LiquidWater);
    check_not_supersaturated("humidity ratio", vapour_pa, air_temp.get(), limit_pa)?;
    Ok(Celsius::new(wet_bulb_c(air_temp.get(), ratio.get(), pressure.get(), branch)))
}

/// Wet bulb in degrees Celsius of a checked state.
pub(crate) fn wet_bulb_c(air_temp_c: f64, ratio: f64, pressure_pa: f64, branch: WetBulbBranch) -> f64 {
    let excess_at_zero = |wick: Wick| wick.excess(0.0, air_temp_c, ratio, pressure_pa).0;
    let liquid_answers = air_temp_c >= 0.0 && excess_at_zero(Wick::Liquid) <= 0.0;
    let iced_answers = air_temp_c < 0.0 || excess_at_zero(Wick::Iced) > 0.0;
    let wick = match branch {
        WetBulbBranch::IcedWick if iced_answers => Wick::Iced,
        WetBulbBranch::LiquidWick if !liquid_answers => Wick::Iced,
        WetBulbBranch::IcedWick | WetBulbBranch::LiquidWick => Wick::Liquid,
    };
    let excess = |t_c| wick.excess(t_c, air_temp_c, ratio, pressure_pa);
    match wick {
        Wick::Liquid => {
            let high_c = warmest_wick_c(air_temp_c.max(TRIPLE_POINT_C), pressure_pa);
            bracketed_root(0.0, high_c, 0.5 * high_c, excess)
        }
        // The lowest wet bulb lies above -110 C for any air above -100 C: even dry air there cools by under 0.001 K.
        Wick::Iced => {
            let high_c = if air_temp_c < 0.0 { TRIPLE_POINT_C } else { 0.0 };
            bracketed_root(LOWEST_TEMP_C - 10.0, high_c, air_temp_c.min(-1.0), excess)
        }
    }
}

/// Humidity ratio, possibly negative, of air that shows `wet_bulb_c`.
pub(crate) fn ratio_from_wet_bulb(air_temp_c: f64, wet_bulb_c: f64, pressure_pa: f64) -> f64 {
    let wick = Wick::at(wet_bulb_c);
    let saturated = wick.saturated_ratio(wet_bulb_c, pressure_pa);
    (wick.latent(wet_bulb_c) * saturated - DRY_AIR_HEAT * (air_temp_c - wet_bulb_c))
        / wick.vapour_heat(air_temp_c, wet_bulb_c)
}

/// Air temperature in degrees Celsius of air that shows `wet_bulb_c` and holds `ratio`; the equation is linear in it.
pub(crate) fn air_temp_from_wet_bulb(ratio: f64, wet_bulb_c: f64, pressure_pa: f64) -> f64 {
    let wick = Wick::at(wet_bulb_c);
    let saturated = wick.saturated_ratio(wet_bulb_c, pressure_pa);
    (wick.latent(wet_bulb_c) * saturated + DRY_AIR_HEAT * wet_bulb_c - ratio * wick.vapour_heat(0.0, wet_bulb_c))
        / (DRY_AIR_HEAT + ratio * VAPOUR_HEAT)
}

/// How far a wick at `wet_bulb_c` is from balance with air of `air_temp_c` and `vapour_pa`: zero in balance, falling
/// with the air temperature.
pub(crate) fn imbalance(wet_bulb_c: f64, air_temp_c: f64, ratio: f64, pressure_pa: f64) -> f64 {
    Wick::at(wet_bulb_c).excess(wet_bulb_c, air_temp_c, ratio, pressure_pa).0
}

/// Heat capacity of dry air, kJ/(kg K), as eq. 33 and 35 use it.
const DRY_AIR_HEAT: f64 = 1.006;

/// Heat capacity of vapour, kJ/(kg K), as eq. 33 and 35 use it.
const VAPOUR_HEAT: f64 = 1.86;

#[derive(Clone, Copy)]
enum Wick {
    Liquid,
    Iced,
}

impl Wick {
    fn at(wet_bulb_c: f64) -> Self {
        if wet_bulb_c >= 0.0 { Self::Liquid } else { Self::Iced }
    }

    /// Heat of evaporation or sublimation at 0 C in kJ/kg, its fall per kelvin, heat capacity of the wick's water.
    fn constants(self) -> (f64, f64, f64) {
        match self {
            Self::Liquid => (2501.0, 2.326, 4.186),
            Self::Iced => (2830.0, 0.24, 2.1),
        }
    }

    fn latent(self, wet_bulb_c: f64) -> f64 {
        let (at_zero, fall, _) = self.constants();
        at_zero - fall * wet_bulb_c
    }

    fn vapour_heat(self, air_temp_c: f64, wet_bulb_c: f64) -> f64 {
        let (at_zero, _, wick_heat) = self.constants();
        at_zero + VAPOUR_HEAT * air_temp_c - wick_heat * wet_bulb_c
    }

    fn saturated_ratio(self, wet_bulb_c: f64, pressure_pa: f64) -> f64 {
        crate::humidity_ratio::ratio_kg_kg(saturation_pa(wet_bulb_c, Saturation::IceBelowTriplePoint), pressure_pa)
    }

    /// Eq. 33 or 35 as an excess that rises with the wet bulb, and its slope, both times the pressure of the dry air so
    /// that nothing is infinite where the wick would boil.
    fn excess(self, wet_bulb_c: f64, air_temp_c: f64, ratio: f64, pressure_pa: f64) -> (f64, f64) {
        let (_, fall, wick_heat) = self.constants();
        let (saturated_pa, slope) = saturation_and_slope(wet_bulb_c, Saturation::IceBelowTriplePoint);
        let latent = self.latent(wet_bulb_c);
        let air_side = DRY_AIR_HEAT * (air_temp_c - wet_bulb_c) + ratio * self.vapour_heat(air_temp_c, wet_bulb_c);
        let dry_pa = pressure_pa - saturated_pa;
        let value = latent * WATER_TO_DRY_AIR_MASS_RATIO * saturated_pa - air_side * dry_pa;
        let value_slope = WATER_TO_DRY_AIR_MASS_RATIO * (latent * slope - fall * saturated_pa)
            + (DRY_AIR_HEAT + ratio * wick_heat) * dry_pa
            + air_side * slope;
        (value, value_slope)
    }
}

/// The air temperature, or the boiling point at this pressure if that is lower.
fn warmest_wick_c(air_temp_c: f64, pressure_pa: f64) -> f64 {
    debug_assert!(air_temp_c > -KELVIN_AT_ZERO_CELSIUS);
    if saturation_pa(air_temp_c, Saturation::LiquidWater) < pressure_pa {
        air_temp_c
    } else {
        dew_point_c(pressure_pa, Saturation::LiquidWater).map_or(air_temp_c, |boiling_c| boiling_c.min(air_temp_c))
    }
}
