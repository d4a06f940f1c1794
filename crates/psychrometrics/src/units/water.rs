//! Liquid water removed: mass, rate, and the density that turns pints and litres into mass.

use super::text::{Limit, Unit};
use super::{Celsius, quantity, written};
use crate::constants::{CUBIC_METRES_PER_US_PINT, KILOGRAMS_PER_POUND};
use crate::error::Error;

/// Cubic metres in one litre.
const CUBIC_METRES_PER_LITRE: f64 = 0.001;

/// Range of the density formula in degrees Celsius.
const DENSITY_RANGE_C: (f64, f64) = (0.0, 40.0);

quantity! {
    /// Density of liquid water in kg/m3. A volume of water says nothing about its mass until its density is stated.
    WaterDensity, "kg per cubic metre"
}

impl WaterDensity {
    /// Water at 80 F (26.667 C), 996.61 kg/m3 or 1.0396 lb per US pint: the density behind every pint and litre that is
    /// written without a water temperature. Project convention, chosen because capacities in pints per day are rated
    /// with air at 80 F; water at 60 F is 0.24 % denser.
    pub const AT_80_F: Self = Self(tanaka_kg_m3(Celsius::from_fahrenheit(80.0).get()));

    /// Density of air-free water at one atmosphere.
    ///
    /// # Arguments
    /// * `water_temp`: 0 to 40 C.
    ///
    /// # Errors
    /// [`Error::WaterTemperatureOutOfRange`] outside 0 to 40 C.
    ///
    /// # Source
    /// Tanaka, Girard, Davis, Peuto, Bignell: Recommended table for the density of water between 0 C and 40 C,
    /// Metrologia 38 (2001) 301, eq. 1 (coefficients from memory; the result is checked against CoolProp 8.0.0).
    ///
    /// ```
    /// use grainfall_psychrometrics::{Celsius, WaterDensity};
    /// // 998.2072 kg/m3 at 20 C and 101 325 Pa: CoolProp 8.0.0 (IAPWS-95).
    /// let density = WaterDensity::at(Celsius::new(20.0))?;
    /// assert!((density.get() - 998.2072).abs() < 0.001);
    /// # Ok::<(), grainfall_psychrometrics::Error>(())
    /// ```
    pub fn at(water_temp: Celsius) -> Result<Self, Error> {
        let (low_c, high_c) = DENSITY_RANGE_C;
        let found_c = water_temp.get();
        if (low_c..=high_c).contains(&found_c) {
            Ok(Self(tanaka_kg_m3(found_c)))
        } else {
            Err(Error::WaterTemperatureOutOfRange { found_c, low_c, high_c })
        }
    }

    /// Kilograms in one US liquid pint of this water.
    #[must_use]
    pub const fn kilograms_per_us_pint(self) -> f64 {
        self.0 * CUBIC_METRES_PER_US_PINT
    }

    /// Pounds in one US liquid pint of this water.
    #[must_use]
    pub const fn pounds_per_us_pint(self) -> f64 {
        self.kilograms_per_us_pint() / KILOGRAMS_PER_POUND
    }

    /// Kilograms in one litre of this water.
    #[must_use]
    pub const fn kilograms_per_litre(self) -> f64 {
        self.0 * CUBIC_METRES_PER_LITRE
    }
}

/// Tanaka et al. (2001), eq. 1; temperature in degrees Celsius.
const fn tanaka_kg_m3(t: f64) -> f64 {
    let a = t - 3.983_035;
    999.974_950 * (1.0 - a * a * (t + 301.797) / (522_528.9 * (t + 69.348_81)))
}

quantity! {
    /// A mass of liquid water in kg. Written `12 pint`, `5.7 l`, `12.5 lb` or `5.7 kg`; pints are US liquid pints, and
    /// pints and litres are turned into mass at [`WaterDensity::AT_80_F`].
    WaterMass, "kg of water"
}

written!(
    WaterMass,
    "an amount of water",
    Limit::NotNegative,
    [
        Unit {
            name: "pint",
            spellings: &["pint", "pints", "pt", "pts"],
            to_canonical: |v| v * WaterDensity::AT_80_F.kilograms_per_us_pint(),
        },
        Unit {
            name: "l",
            spellings: &["l", "litre", "litres", "liter", "liters"],
            to_canonical: |v| v * WaterDensity::AT_80_F.kilograms_per_litre(),
        },
        Unit {
            name: "gal",
            spellings: &["gal", "gallon", "gallons"],
            to_canonical: |v| v * 8.0 * WaterDensity::AT_80_F.kilograms_per_us_pint(),
        },
        Unit { name: "lb", spellings: &["lb", "lbs", "pound", "pounds"], to_canonical: |v| v * KILOGRAMS_PER_POUND },
        Unit { name: "kg", spellings: &["kg"], to_canonical: |v| v },
    ]
);

impl WaterMass {
    /// From pounds.
    #[must_use]
    pub const fn from_pounds(pounds: f64) -> Self {
        Self(pounds * KILOGRAMS_PER_POUND)
    }

    /// In pounds.
    #[must_use]
    pub const fn to_pounds(self) -> f64 {
        self.0 / KILOGRAMS_PER_POUND
    }

    /// From US liquid pints of water of the stated density.
    #[must_use]
    pub const fn from_us_pints(pints: f64, density: WaterDensity) -> Self {
        Self(pints * density.kilograms_per_us_pint())
    }

    /// In US liquid pints of water of the stated density.
    #[must_use]
    pub const fn to_us_pints(self, density: WaterDensity) -> f64 {
        self.0 / density.kilograms_per_us_pint()
    }

    /// From litres of water of the stated density.
    #[must_use]
    pub const fn from_litres(litres: f64, density: WaterDensity) -> Self {
        Self(litres * density.kilograms_per_litre())
    }

    /// In litres of water of the stated density.
    #[must_use]
    pub const fn to_litres(self, density: WaterDensity) -> f64 {
        self.0 / density.kilograms_per_litre()
    }
}

quantity! {
    /// A rate of water in kg per 24 h. Written `130 pint/day`, `61 l/day`, `135 lb/day` or `61 kg/day`; pints are US
    /// liquid pints, and pints and litres are turned into mass at [`WaterDensity::AT_80_F`].
    WaterRate, "kg of water per 24 h"
}

written!(
    WaterRate,
    "a rate of water removal",
    Limit::NotNegative,
    [
        Unit {
            name: "pint/day",
            spellings: &["pint/day", "pints/day", "pint/d", "pt/day", "pt/d", "ppd"],
            to_canonical: |v| v * WaterDensity::AT_80_F.kilograms_per_us_pint(),
        },
        Unit {
            name: "l/day",
            spellings: &["l/day", "l/d", "litre/day", "litres/day", "liter/day", "liters/day"],
            to_canonical: |v| v * WaterDensity::AT_80_F.kilograms_per_litre(),
        },
        Unit { name: "lb/day", spellings: &["lb/day", "lbs/day", "lb/d"], to_canonical: |v| v * KILOGRAMS_PER_POUND },
        Unit { name: "kg/day", spellings: &["kg/day", "kg/d"], to_canonical: |v| v },
    ]
);

impl WaterRate {
    /// From US liquid pints per 24 h of water of the stated density.
    #[must_use]
    pub const fn from_pints_per_day(pints: f64, density: WaterDensity) -> Self {
        Self(pints * density.kilograms_per_us_pint())
    }

    /// In US liquid pints per 24 h of water of the stated density.
    #[must_use]
    pub const fn to_pints_per_day(self, density: WaterDensity) -> f64 {
        self.0 / density.kilograms_per_us_pint()
    }

    /// From litres per 24 h of water of the stated density.
    #[must_use]
    pub const fn from_litres_per_day(litres: f64, density: WaterDensity) -> Self {
        Self(litres * density.kilograms_per_litre())
    }

    /// In litres per 24 h of water of the stated density.
    #[must_use]
    pub const fn to_litres_per_day(self, density: WaterDensity) -> f64 {
        self.0 / density.kilograms_per_litre()
    }

    /// From pounds per 24 h.
    #[must_use]
    pub const fn from_pounds_per_day(pounds: f64) -> Self {
        Self(pounds * KILOGRAMS_PER_POUND)
    }

    /// In pounds per 24 h.
    #[must_use]
    pub const fn to_pounds_per_day(self) -> f64 {
        self.0 / KILOGRAMS_PER_POUND
    }

    /// In pounds per hour.
    #[must_use]
    pub const fn to_pounds_per_hour(self) -> f64 {
        self.to_pounds_per_day() / 24.0
    }

    /// The mass removed at this rate in `duration`.
    #[must_use]
    pub const fn over(self, duration: super::Hours) -> WaterMass {
        WaterMass(self.0 * duration.get() / 24.0)
    }
}
