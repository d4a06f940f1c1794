//! The measured quantities a tidy frame has columns for.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A measured quantity; its column in the tidy frame holds canonical units.
///
/// The order of the variants is the order of the columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Quantity {
    /// Dry-bulb temperature of the air, degC.
    AirTemp,
    /// Relative humidity over liquid water, %.
    RelativeHumidity,
    /// Dew point over liquid water as logged, degC.
    DewPoint,
    /// Wet-bulb temperature as logged, degC.
    WetBulb,
    /// Humidity ratio as logged, kg water per kg dry air.
    HumidityRatio,
    /// Vapour pressure as logged, Pa.
    VapourPressure,
    /// Absolute humidity as logged, g water per m3 of moist air.
    AbsoluteHumidity,
    /// Enthalpy as logged, kJ per kg dry air.
    Enthalpy,
    /// Station (not sea-level) pressure, Pa.
    Pressure,
    /// Temperature of a surface, degC.
    SurfaceTemp,
    /// Moisture of a material on the scale its point names, in that scale's own unit.
    Moisture,
    /// Weight of a sample, kg.
    Weight,
}

impl Quantity {
    /// Every quantity, in column order.
    pub const ALL: [Self; 12] = [
        Self::AirTemp,
        Self::RelativeHumidity,
        Self::DewPoint,
        Self::WetBulb,
        Self::HumidityRatio,
        Self::VapourPressure,
        Self::AbsoluteHumidity,
        Self::Enthalpy,
        Self::Pressure,
        Self::SurfaceTemp,
        Self::Moisture,
        Self::Weight,
    ];

    /// The column's name in the tidy frame; it ends in the canonical unit.
    ///
    /// ```
    /// use grainfall_record::Quantity;
    /// assert_eq!(Quantity::AirTemp.column(), "air_temp_c");
    /// ```
    #[must_use]
    pub const fn column(self) -> &'static str {
        match self {
            Self::AirTemp => "air_temp_c",
            Self::RelativeHumidity => "rh_pct",
            Self::DewPoint => "dew_point_c",
            Self::WetBulb => "wet_bulb_c",
            Self::HumidityRatio => "humidity_ratio_kg_kg",
            Self::VapourPressure => "vapour_pressure_pa",
            Self::AbsoluteHumidity => "absolute_humidity_g_m3",
            Self::Enthalpy => "enthalpy_kj_kg",
            Self::Pressure => "pressure_pa",
            Self::SurfaceTemp => "surface_temp_c",
            Self::Moisture => "moisture_pct",
            Self::Weight => "weight_kg",
        }
    }

    /// What people call it, for messages and tables.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::AirTemp => "air temperature",
            Self::RelativeHumidity => "relative humidity",
            Self::DewPoint => "dew point",
            Self::WetBulb => "wet bulb",
            Self::HumidityRatio => "humidity ratio",
            Self::VapourPressure => "vapour pressure",
            Self::AbsoluteHumidity => "absolute humidity",
            Self::Enthalpy => "enthalpy",
            Self::Pressure => "station pressure",
            Self::SurfaceTemp => "surface temperature",
            Self::Moisture => "material moisture",
            Self::Weight => "weight",
        }
    }

    /// The canonical unit as printed.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::AirTemp | Self::DewPoint | Self::WetBulb | Self::SurfaceTemp => "degC",
            Self::RelativeHumidity | Self::Moisture => "%",
            Self::HumidityRatio => "kg/kg",
            Self::VapourPressure | Self::Pressure => "Pa",
            Self::AbsoluteHumidity => "g/m3",
            Self::Enthalpy => "kJ/kg",
            Self::Weight => "kg",
        }
    }

    /// The quantity whose column has this name.
    #[must_use]
    pub fn from_column(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|q| q.column() == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_names_one_quantity() {
        for quantity in Quantity::ALL {
            assert_eq!(Quantity::from_column(quantity.column()), Some(quantity));
        }
        assert_eq!(Quantity::from_column("rh"), None);
    }
}
