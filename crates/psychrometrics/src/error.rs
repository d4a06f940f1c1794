//! What can be wrong with a request to this crate. Text of a quantity has its own error,
//! [`QuantityError`](crate::units::QuantityError).

use crate::constants::{HIGHEST_PRESSURE_PA, HIGHEST_TEMP_C, LOWEST_PRESSURE_PA, LOWEST_TEMP_C};

/// Why a moist-air, wood or uncertainty function has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A temperature lies outside the equations, or is not a number.
    #[error(
        "{what} of `{found_c}` C is outside {LOWEST_TEMP_C} to {HIGHEST_TEMP_C} C, the range of the saturation equations"
    )]
    TemperatureOutOfRange {
        /// Which temperature: `air temperature`, `dew point`, `wet bulb`.
        what: &'static str,
        /// The value, in degrees Celsius.
        found_c: f64,
    },
    /// A relative humidity lies outside 0 to 100 %, or is not a number.
    #[error("relative humidity of `{found_pct}` % is outside 0 to 100 %")]
    HumidityOutOfRange {
        /// The value, in percent.
        found_pct: f64,
    },
    /// A total pressure lies outside what a building sees, or is not a number.
    #[error(
        "pressure of `{found_pa}` Pa is outside {LOWEST_PRESSURE_PA} to {HIGHEST_PRESSURE_PA} Pa: give the absolute pressure at the place, not one reduced to sea level"
    )]
    PressureOutOfRange {
        /// The value, in pascals.
        found_pa: f64,
    },
    /// A vapour pressure is negative, not a number, or above saturation at the hottest temperature.
    #[error("vapour pressure of `{found_pa}` Pa is outside 0 to `{highest_pa}` Pa, saturation at {HIGHEST_TEMP_C} C")]
    VapourPressureOutOfRange {
        /// The value, in pascals.
        found_pa: f64,
        /// The highest accepted value, in pascals.
        highest_pa: f64,
    },
    /// The vapour alone would be at or above the total pressure.
    #[error(
        "vapour pressure of `{vapour_pressure_pa}` Pa reaches the total pressure of `{pressure_pa}` Pa: no air would be left"
    )]
    VapourReachesTotal {
        /// The vapour pressure, in pascals.
        vapour_pressure_pa: f64,
        /// The total pressure, in pascals.
        pressure_pa: f64,
    },
    /// A humidity ratio is negative or not a number.
    #[error("humidity ratio of `{found_kg_kg}` kg/kg is not zero or above")]
    HumidityRatioOutOfRange {
        /// The value, in kg of water per kg of dry air.
        found_kg_kg: f64,
    },
    /// More vapour than saturated air can hold at the temperature.
    #[error(
        "{what} asks for {vapour_pressure_pa:.1} Pa of vapour at {air_temp_c:.2} C, above the {limit_pa:.1} Pa of saturated air: air holds at most 100 % relative humidity"
    )]
    Supersaturated {
        /// The property that asks for too much: `dew point`, `humidity ratio`, ...
        what: &'static str,
        /// The vapour pressure asked for, in pascals.
        vapour_pressure_pa: f64,
        /// The air temperature, in degrees Celsius.
        air_temp_c: f64,
        /// Saturation at that temperature, in pascals.
        limit_pa: f64,
    },
    /// A wet bulb so low that the air would have to hold less than no water.
    #[error(
        "wet bulb of {wet_bulb_c:.2} C is below the {limit_c:.2} C that perfectly dry air at {air_temp_c:.2} C would show"
    )]
    WetBulbTooLow {
        /// The wet bulb, in degrees Celsius.
        wet_bulb_c: f64,
        /// The air temperature, in degrees Celsius.
        air_temp_c: f64,
        /// The lowest wet bulb possible there, in degrees Celsius.
        limit_c: f64,
    },
    /// Both properties carry the same information.
    #[error(
        "{first} and {second} do not fix a state: dew point, humidity ratio and vapour pressure are one piece of information, give one of them with a temperature, a relative humidity or a wet bulb"
    )]
    DependentPair {
        /// The first property.
        first: &'static str,
        /// The second property.
        second: &'static str,
    },
    /// The two properties are independent but no air has both.
    #[error("no air has this {first} together with this {second}: {limit}")]
    NoSuchAir {
        /// The first property.
        first: &'static str,
        /// The second property.
        second: &'static str,
        /// The limit that is broken, in words.
        limit: &'static str,
    },
    /// An elevation lies outside the standard-atmosphere equation, or is not a number.
    #[error(
        "elevation of `{found_m}` m is outside {low_m} to {high_m} m, the range of the standard-atmosphere equation"
    )]
    ElevationOutOfRange {
        /// The value, in metres.
        found_m: f64,
        /// Lowest accepted, in metres.
        low_m: f64,
        /// Highest accepted, in metres.
        high_m: f64,
    },
    /// A wood temperature lies outside an equation of wood.
    #[error("wood temperature of `{found_c}` C is outside {low_c} to {high_c} C, where the equation was checked")]
    WoodTemperatureOutOfRange {
        /// The value, in degrees Celsius.
        found_c: f64,
        /// Lowest accepted, in degrees Celsius.
        low_c: f64,
        /// Highest accepted, in degrees Celsius.
        high_c: f64,
    },
    /// A wood moisture content is negative, not a number, or above what the sorption equation reaches.
    #[error(
        "wood moisture of `{found_pct}` % is outside 0 to `{highest_pct}` %, the equilibrium at 100 % relative humidity and this temperature"
    )]
    WoodMoistureOutOfRange {
        /// The value, in percent of the oven-dry mass.
        found_pct: f64,
        /// The highest accepted value, in percent of the oven-dry mass.
        highest_pct: f64,
    },
    /// A water temperature lies outside the density formula.
    #[error("water temperature of `{found_c}` C is outside {low_c} to {high_c} C, the range of the density formula")]
    WaterTemperatureOutOfRange {
        /// The value, in degrees Celsius.
        found_c: f64,
        /// Lowest accepted, in degrees Celsius.
        low_c: f64,
        /// Highest accepted, in degrees Celsius.
        high_c: f64,
    },
    /// A correlation coefficient lies outside -1 to 1, or is not a number.
    #[error("correlation of `{found}` is outside -1 to 1")]
    CorrelationOutOfRange {
        /// The value.
        found: f64,
    },
    /// An accuracy limit, a coverage factor or an airflow is negative or not a number.
    #[error("{what} of `{found}` is not zero or above")]
    Negative {
        /// Which quantity, with its unit.
        what: &'static str,
        /// The value.
        found: f64,
    },
    /// A quantity that is divided by is zero, negative or not a number.
    #[error("{what} of `{found}` is not above zero")]
    NotPositive {
        /// Which quantity, with its unit.
        what: &'static str,
        /// The value.
        found: f64,
    },
    /// Two columns of a batch differ in length.
    #[error("column `{column}` has `{found}` rows where `{expected}` are needed")]
    LengthMismatch {
        /// The shorter or longer column.
        column: &'static str,
        /// Rows of the first column.
        expected: usize,
        /// Rows found.
        found: usize,
    },
    /// One row of a batch has no answer.
    #[error("row `{row}`: {fault}")]
    Row {
        /// Index of the row, from 0.
        row: usize,
        /// What is wrong with it.
        #[source]
        fault: Box<Error>,
    },
}
