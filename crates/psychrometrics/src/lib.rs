//! Moist air and its units: pure functions and batch kernels, no I/O and no frames.
//!
//! # What it answers
//!
//! - How much water is in this air ([`MoistAir`]: grains per pound, vapour pressure, dew point and the rest, from any two
//!   independent properties and the pressure)?
//! - The same for whole columns with holes in them ([`batch`])?
//! - How far may that figure, or the difference of two sensors, be off ([`uncertainty`])?
//! - What moisture does wood settle at in this air, and what vapour pressure does its surface have ([`wood`])?
//! - How much water does a machine take out ([`removal`])?
//! - What does a person mean by `5280 ft` or `130 pint/day` ([`units`])?
//!
//! # What it leaves out
//!
//! Real-gas behaviour: the equations are those of an ideal mixture and give a humidity ratio 0.30 to 0.73 % below
//! real-gas tables between -20 and 60 C (against CoolProp 8.0.0). Time, series, verdicts, thresholds. Materials other
//! than wood. Any file, clock or printing.
//!
//! # Modules in reading order
//!
//! [`units`] (types and how they are written), [`constants`], saturation, humidity ratio, dew point, wet bulb, mixture
//! and elevation (one function or two each, exported here), moist air (the state built on them), [`batch`],
//! [`uncertainty`], [`wood`], [`wood_resistance`], [`removal`].
//!
//! # Conventions
//!
//! Temperatures in degrees Celsius, pressures in pascals and always absolute, per mass of **dry** air. Below the triple
//! point a relative humidity or a dew point means nothing until [`Saturation`] says over what; near 0 C a wet bulb has
//! two answers until [`WetBulbBranch`] says which. A missing value is `None`; nothing returns NaN. Values out of range
//! are refused, never moved into it; only an excess over saturation below 1e-9, the rounding of a conversion, counts as
//! saturated.
//!
//! # Quantities
//!
//! | quantity | code name | symbol | unit inside | units accepted as text | range accepted by the equations | source |
//! |---|---|---|---|---|---|---|
//! | air temperature (dry bulb) | [`Celsius`] | t | C | F, C, K | -100 to 200 C | ASHRAE (2017) ch. 1, range of eq. 5 and 6 |
//! | temperature difference | [`CelsiusDelta`] | dt | C | F, C, K | any | definition |
//! | total pressure | [`Pascals`] | p | Pa | inHg, kPa, hPa, mmHg, psi, Pa | 10 to 200 kPa | project convention |
//! | pressure at elevation | [`pressure_at_elevation`] | p | Pa | | -5000 to 11 000 m | ASHRAE (2017) ch. 1 eq. 3 |
//! | relative humidity | [`RelativeHumidity`] | RH | % | % | 0 to 100 % | ASHRAE (2017) ch. 1 eq. 12, 22 |
//! | relative humidity difference | [`RelativeHumidityDelta`] | dRH | % points | % | any | definition |
//! | saturation vapour pressure | [`saturation_vapour_pressure`] | p_ws | Pa | | -100 to 200 C | ASHRAE (2017) ch. 1 eq. 5, 6 |
//! | vapour pressure | [`vapour_pressure()`] | p_w | Pa | as pressure | 0 to below p | ASHRAE (2017) ch. 1 eq. 12, 22 |
//! | humidity ratio | [`HumidityRatio`] | W | kg/kg dry air | gr/lb, g/kg, kg/kg | 0 to saturation | ASHRAE (2017) ch. 1 eq. 20 |
//! | grains per pound | [`GrainsPerPound`] | GPP | gr/lb dry air | gr/lb (GPP), g/kg | 0 to saturation | 7000 W, exact |
//! | grain depression | [`GrainsPerPound`] difference | dGPP | gr/lb dry air | | any sign | trade definition: inlet minus outlet |
//! | dew point | [`dew_point()`] | t_d | C | as temperature | -100 to 200 C | ASHRAE (2017) ch. 1 eq. 36, inverted numerically |
//! | frost point | [`frost_point`] | t_f | C | as temperature | -100 to 0.01 C | ASHRAE (2017) ch. 1 eq. 5, inverted numerically |
//! | wet bulb | [`wet_bulb()`] | t* | C | as temperature | -100 to 200 C | ASHRAE (2017) ch. 1 eq. 33, 35 |
//! | enthalpy | [`Enthalpy`] | h | kJ/kg dry air | | -100 to 200 C | ASHRAE (2017) ch. 1 eq. 30 |
//! | specific volume | [`SpecificVolume`] | v | m3/kg dry air | | -100 to 200 C | ASHRAE (2017) ch. 1 eq. 26 |
//! | density of moist air | [`Density`] | rho | kg/m3 | | -100 to 200 C | ASHRAE (2017) ch. 1 eq. 11 |
//! | absolute humidity | [`AbsoluteHumidity`] | d_v | g/m3 | | -100 to 200 C | W / v |
//! | length, elevation | [`Metres`] | Z | m | ft, m | elevation -5000 to 11 000 m | exact factor |
//! | area | [`SquareMetres`] | A | m2 | ft2 (sqft), m2 | 0 or above | exact factor |
//! | volume | [`CubicMetres`] | V | m3 | ft3 (cuft), m3 | 0 or above | exact factor |
//! | airflow | [`AirFlow`] | q | m3/s | cfm, m3/h, l/s, m3/s | 0 or above | exact factor |
//! | water mass | [`WaterMass`] | m | kg | pint, l, gal, lb, kg | 0 or above | US liquid pint; water at 80 F for pints and litres |
//! | water removal rate | [`WaterRate`], [`removal::removal_rate`] | - | kg/day of 24 h | pint/day, l/day, lb/day, kg/day | any sign | mass balance of the dry air |
//! | density of liquid water | [`WaterDensity`] | rho_w | kg/m3 | | 0 to 40 C | Tanaka et al., Metrologia 38 (2001) 301 |
//! | wood moisture content | [`WoodMoisture`] | MC | % of oven-dry mass | % | 0 or above | definition |
//! | wood equilibrium moisture | [`wood::equilibrium_moisture`] | EMC | % of oven-dry mass | | 30 to 140 F | Wood Handbook FPL-GTR-190 (2010) eq. 4-5 |
//! | water activity of wood | [`wood::water_activity`] | a_w | 0 to 1 | | 30 to 140 F | the same, inverted |
//! | wood moisture from a resistance reading | [`wood_resistance::corrected_moisture`] | MC | % of oven-dry mass | | 0 to 40 C | Pfaff and Garrahan (1986), from memory |
//! | duration | [`Hours`] | - | h | h, min, d (24 h) | 0 or above | definition |
//! | share | [`Share`] | - | fraction | % | 0 or above | definition |
//! | standard uncertainty | [`uncertainty::Budget::standard`] | u | of its quantity | | | JCGM 100:2008 eq. 10, 13 |
//! | expanded uncertainty | [`uncertainty::Budget::expanded`] | U | of its quantity | | k = 2 unless stated | JCGM 100:2008, 6.2.1 |
//!
//! ASHRAE (2017) is the ASHRAE Handbook-Fundamentals, SI edition; its equations were checked against psychrolib 2.5.0,
//! which cites them, and against IAPWS and CoolProp, see `tests/reference/`.

pub mod batch;
pub mod constants;
mod dew_point;
mod elevation;
mod error;
mod humidity_ratio;
mod mixture;
mod moist_air;
pub mod removal;
mod saturation;
mod solve;
pub mod uncertainty;
pub mod units;
mod wet_bulb;
pub mod wood;
pub mod wood_resistance;

pub use dew_point::{dew_point, frost_point};
pub use elevation::pressure_at_elevation;
pub use error::Error;
pub use humidity_ratio::{humidity_ratio, relative_humidity, vapour_pressure, vapour_pressure_of_ratio};
pub use mixture::{absolute_humidity, density, enthalpy, specific_volume};
pub use moist_air::{MoistAir, Property};
pub use saturation::{Saturation, saturation_vapour_pressure};
pub use units::*;
pub use wet_bulb::{WetBulbBranch, wet_bulb};
