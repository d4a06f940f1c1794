//! The two systems of units a report can be shown in, and the way from canonical units to each.

use grainfall_psychrometrics::{WaterDensity, WaterMass};
use std::fmt;

/// Pascals in an inch of mercury (conventional).
///
/// # Source
/// NIST Special Publication 811 (2008), appendix B.8: `inch of mercury, conventional (inHg)`.
pub const PA_PER_INHG: f64 = 3386.389;

/// Metres in a foot, exact.
pub const METRES_PER_FOOT: f64 = 0.3048;

/// The units people read.
#[derive(
    Debug,
    Clone,
    Copy,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// degF, grains per pound, inches of mercury, US pints, feet.
    #[default]
    Us,
    /// degC, grams per kilogram, kilopascals, litres, metres.
    Si,
}

impl UnitSystem {
    /// Both systems.
    pub const ALL: [Self; 2] = [Self::Us, Self::Si];

    /// A temperature of `celsius` degC as shown.
    ///
    /// ```
    /// use grainfall_report::UnitSystem;
    /// assert_eq!(UnitSystem::Us.temp(100.0), 212.0);
    /// ```
    #[must_use]
    pub fn temp(self, celsius: f64) -> f64 {
        match self {
            Self::Us => celsius * 1.8 + 32.0,
            Self::Si => celsius,
        }
    }

    /// A difference of `kelvin` K as shown.
    #[must_use]
    pub fn temp_difference(self, kelvin: f64) -> f64 {
        match self {
            Self::Us => kelvin * 1.8,
            Self::Si => kelvin,
        }
    }

    /// The unit of [`UnitSystem::temp`].
    #[must_use]
    pub const fn temp_unit(self) -> &'static str {
        match self {
            Self::Us => "°F",
            Self::Si => "°C",
        }
    }

    /// A humidity ratio, or a difference of two, of `gpp` grains per pound of dry air as shown.
    ///
    /// A pound has 7000 grains and a kilogram 1000 grams, so that one gram per kilogram is 7 grains per pound, exact.
    #[must_use]
    pub fn humidity_ratio(self, gpp: f64) -> f64 {
        match self {
            Self::Us => gpp,
            Self::Si => gpp / 7.0,
        }
    }

    /// The unit of [`UnitSystem::humidity_ratio`].
    #[must_use]
    pub const fn humidity_ratio_unit(self) -> &'static str {
        match self {
            Self::Us => "GPP",
            Self::Si => "g/kg",
        }
    }

    /// A vapour pressure, or a difference of two, of `pa` Pa as shown.
    #[must_use]
    pub fn vapour_pressure(self, pa: f64) -> f64 {
        match self {
            Self::Us => pa / PA_PER_INHG,
            Self::Si => pa / 1000.0,
        }
    }

    /// The unit of [`UnitSystem::vapour_pressure`].
    #[must_use]
    pub const fn vapour_pressure_unit(self) -> &'static str {
        match self {
            Self::Us => "inHg",
            Self::Si => "kPa",
        }
    }

    /// An amount of water of `kg` kg as shown, by the density with which pints and litres written in a job are read:
    /// what somebody measured comes out as it was written.
    #[must_use]
    pub fn water(self, kg: f64) -> f64 {
        match self {
            Self::Us => WaterMass::new(kg).to_us_pints(WaterDensity::AT_80_F),
            Self::Si => WaterMass::new(kg).to_litres(WaterDensity::AT_80_F),
        }
    }

    /// The unit of [`UnitSystem::water`].
    #[must_use]
    pub const fn water_unit(self) -> &'static str {
        match self {
            Self::Us => "pints",
            Self::Si => "litres",
        }
    }

    /// An area of `m2` m2 as shown.
    #[must_use]
    pub fn area(self, m2: f64) -> f64 {
        match self {
            Self::Us => m2 / (METRES_PER_FOOT * METRES_PER_FOOT),
            Self::Si => m2,
        }
    }

    /// The unit of [`UnitSystem::area`].
    #[must_use]
    pub const fn area_unit(self) -> &'static str {
        match self {
            Self::Us => "ft²",
            Self::Si => "m²",
        }
    }

    /// An elevation of `m` m as shown.
    #[must_use]
    pub fn elevation(self, m: f64) -> f64 {
        match self {
            Self::Us => m / METRES_PER_FOOT,
            Self::Si => m,
        }
    }

    /// The unit of [`UnitSystem::elevation`].
    #[must_use]
    pub const fn elevation_unit(self) -> &'static str {
        match self {
            Self::Us => "ft",
            Self::Si => "m",
        }
    }

    /// An airflow of `m3_per_s` m3/s as shown.
    #[must_use]
    pub fn airflow(self, m3_per_s: f64) -> f64 {
        match self {
            Self::Us => self.volume(m3_per_s * 60.0),
            Self::Si => m3_per_s * 3600.0,
        }
    }

    /// The unit of [`UnitSystem::airflow`].
    #[must_use]
    pub const fn airflow_unit(self) -> &'static str {
        match self {
            Self::Us => "cfm",
            Self::Si => "m³/h",
        }
    }

    /// A volume of `m3` m3 as shown.
    #[must_use]
    pub fn volume(self, m3: f64) -> f64 {
        match self {
            Self::Us => m3 / (METRES_PER_FOOT * METRES_PER_FOOT * METRES_PER_FOOT),
            Self::Si => m3,
        }
    }

    /// The unit of [`UnitSystem::volume`].
    #[must_use]
    pub const fn volume_unit(self) -> &'static str {
        match self {
            Self::Us => "ft³",
            Self::Si => "m³",
        }
    }
}

impl fmt::Display for UnitSystem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Us => "US",
            Self::Si => "SI",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "got {got}, want {want} +- {tolerance}");
    }

    /// Factors of NIST SP 811 (2008), appendix B.8, to the digits printed there.
    #[test]
    fn factors_are_those_of_the_published_table() {
        let (pints, litres) = (UnitSystem::Us.water(1.0), UnitSystem::Si.water(1.0));
        close(litres / pints, 0.473_176_5, 5e-8); // pint (US liquid): 4.731 765 E-01 L
        close(1.0 / UnitSystem::Us.area(1.0), 9.290_304e-2, 5e-9); // square foot: 9.290 304 E-02 m2
        close(1.0 / UnitSystem::Us.volume(1.0), 2.831_685e-2, 5e-9); // cubic foot: 2.831 685 E-02 m3
        close(1.0 / UnitSystem::Us.airflow(1.0), 4.719_474e-4, 5e-10); // cubic foot per minute: 4.719 474 E-04 m3/s
        close(1.0 / UnitSystem::Us.elevation(1.0), 0.3048, 1e-12); // foot: 3.048 E-01 m
        close(UnitSystem::Us.vapour_pressure(3386.389), 1.0, 1e-12); // inch of mercury: 3.386 389 E+03 Pa
        close(UnitSystem::Us.temp(-40.0), -40.0, 1e-12);
        close(UnitSystem::Us.temp_difference(5.0), 9.0, 1e-12);
    }

    #[test]
    fn one_gram_per_kilogram_is_seven_grains_per_pound() {
        close(UnitSystem::Si.humidity_ratio(7.0), 1.0, 1e-12);
        close(UnitSystem::Us.humidity_ratio(7.0), 7.0, 1e-12);
    }
}
