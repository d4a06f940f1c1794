//! The true building: explicit steps of well-mixed air, wet materials and machines.
//!
//! # Model
//!
//! *Air.* Each chamber is one well-mixed body of a constant mass of dry air. Its water changes by exchange with the
//! unaffected area and outdoor air (air changes per hour, as flows of dry air), by evaporation from the materials and by
//! the dehumidifiers that stand in it; its temperature by the same exchange, by conduction, by the machines' power, by
//! the heat of condensation they give back, and by the heat the wet surfaces take.
//!
//! *Materials.* Each metered point stands for an area of one material in two layers. The skin gives water to the air,
//! `beta (a pws(Ts) - p_air)` per area and open share, and takes it from the core in proportion to the difference of
//! their moisture contents, which makes the falling rate. Water activity `a` of wood inverts the Wood Handbook's
//! sorption equation (USDA FPL-GTR-282 (2021), ch. 4), 1 above fibre saturation; of mineral boards it is the monotone
//! curve of [`crate::scenario::Material::Mineral`] (common practice, no source). The mass-transfer coefficient is the
//! convective heat-transfer coefficient by Lewis's analogy with a Lewis factor of 1 (from memory), raised by air
//! movers. A surface's temperature follows its own heat balance, so a wet surface tends to the air's wet bulb.
//!
//! *Machines.* A refrigerant dehumidifier brings a share of its air to a coil; that share leaves at the coil's
//! saturation, the rest passes by, and a most the circuit can condense caps the sum. Removal thus falls with the
//! humidity ratio at the inlet and is zero when off. The outlet carries the inlet's water less the water removed over the
//! flow of dry air, and is warmer by the heat of condensation and the power. A machine that stops relaxes onto the air of
//! its room within minutes. The form is common practice without a source; the numbers belong to the scenario.
//!
//! *Unaffected area and outdoors* are given as functions of time and take any amount of water.
//!
//! # Numbers
//!
//! Steps are explicit and divide a minute; [`crate::Scenario::check`] refuses a step in which any node would move by more
//! than half of its distance to equilibrium. Every kilogram that leaves one body enters another in the same step, so the
//! balance of [`Balance`] closes to rounding.

mod building;
mod machine;
mod material;
mod stability;
mod weather;

use crate::{Error, moist};

pub(crate) use building::run;
pub use building::{Balance, States};
pub(crate) use stability::{STABLE_SHARE, fastest};

/// A true state of moist air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Dry-bulb temperature, degC.
    pub temp_c: f64,
    /// Humidity ratio, kg of water per kg of dry air.
    pub humidity_ratio: f64,
    /// Relative humidity over liquid water, %; a trace above 100 in air that is just condensing.
    pub rh_pct: f64,
}

impl Air {
    /// Its water content, grains per pound of dry air.
    #[must_use]
    pub fn gpp(&self) -> f64 {
        moist::gpp(self.humidity_ratio)
    }
}

/// Air as the steps carry it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Bulk {
    temp_c: f64,
    humidity_ratio: f64,
}

impl Bulk {
    /// The state to store.
    fn air(self, pressure_pa: f64) -> Result<Air, Error> {
        let Self { temp_c, humidity_ratio } = self;
        let vapour_pa = moist::vapour_pressure_pa(humidity_ratio, pressure_pa)?;
        Ok(Air { temp_c, humidity_ratio, rh_pct: 100.0 * vapour_pa / moist::saturation_pa(temp_c)? })
    }
}

/// Specific heat of moist air, J/(kg K): that of dry air, ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 30.
pub(crate) const AIR_HEAT_J_KG_K: f64 = 1006.0;
/// Heat of evaporation at 25 degC, J/kg (CoolProp 8.0, 2441.7 kJ/kg).
pub(crate) const EVAPORATION_J_KG: f64 = 2.4417e6;
/// Gas constant of water vapour, J/(kg K) (from memory).
pub(crate) const VAPOUR_GAS_J_KG_K: f64 = 461.5;
/// Convective heat-transfer coefficient of a surface in still room air, W/(m2 K); common practice, no source.
pub(crate) const STILL_W_M2_K: f64 = 3.0;
/// What air movers add at full speed, W/(m2 K); common practice, no source.
pub(crate) const MOVED_W_M2_K: f64 = 11.0;
/// Radiation and conduction from behind to a surface, W/(m2 K); common practice, no source.
pub(crate) const BEHIND_W_M2_K: f64 = 8.0;
/// Heat capacity of a surface with what lies just behind it, J/(m2 K); common practice, no source.
pub(crate) const SURFACE_J_M2_K: f64 = 1.5e4;

/// Mass-transfer coefficient, kg/(m2 s Pa), of a surface with a convective coefficient in W/(m2 K): Lewis's analogy,
/// `h_c / (rho c_p R_v T)` with air of 1.2 kg/m3 at 298 K.
pub(crate) fn mass_transfer(convective_w_m2_k: f64) -> f64 {
    convective_w_m2_k / (1.2 * AIR_HEAT_J_KG_K * VAPOUR_GAS_J_KG_K * 298.0)
}
