//! Temperatures, and differences of temperatures, which are another type: 10 C is 50 F, a difference of 10 C is 18 F.

use std::ops::{Add, Sub};

use super::text::{Limit, Unit};
use super::{quantity, written};
use crate::constants::KELVIN_AT_ZERO_CELSIUS;

/// Fahrenheit degrees in one Celsius degree.
const FAHRENHEIT_PER_CELSIUS: f64 = 1.8;

quantity! {
    /// A temperature in degrees Celsius. Written `80 F`, `26.7 C` or `299.8 K`, also `80F` and `80 °F`.
    ///
    /// ```
    /// use grainfall_psychrometrics::Celsius;
    /// let boiling = "212 F".parse::<Celsius>()?;
    /// assert!((boiling.get() - 100.0).abs() < 1e-12);
    /// # Ok::<(), grainfall_psychrometrics::QuantityError>(())
    /// ```
    Celsius, "degrees Celsius"
}

written!(
    Celsius,
    "a temperature",
    Limit::AbsoluteZero,
    [
        Unit {
            name: "F",
            spellings: &["f", "°f", "degf", "ºf", "fahrenheit"],
            to_canonical: |f| Celsius::from_fahrenheit(f).0
        },
        Unit { name: "C", spellings: &["c", "°c", "degc", "ºc", "celsius"], to_canonical: |c| c },
        Unit { name: "K", spellings: &["k", "kelvin"], to_canonical: |k| Celsius::from_kelvin(k).0 },
    ]
);

impl Celsius {
    /// From degrees Fahrenheit.
    #[must_use]
    pub const fn from_fahrenheit(fahrenheit: f64) -> Self {
        Self((fahrenheit - 32.0) / FAHRENHEIT_PER_CELSIUS)
    }

    /// In degrees Fahrenheit.
    #[must_use]
    pub const fn to_fahrenheit(self) -> f64 {
        self.0 * FAHRENHEIT_PER_CELSIUS + 32.0
    }

    /// From kelvin.
    #[must_use]
    pub const fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin - KELVIN_AT_ZERO_CELSIUS)
    }

    /// In kelvin.
    #[must_use]
    pub const fn to_kelvin(self) -> f64 {
        self.0 + KELVIN_AT_ZERO_CELSIUS
    }
}

quantity! {
    /// A difference of two temperatures in Celsius degrees (kelvin). Written `0.5 F`, `0.3 C` or `0.3 K`, meaning
    /// degrees of difference: `0.5 F` is 0.278 Celsius degrees.
    CelsiusDelta, "Celsius degrees of difference"
}

written!(
    CelsiusDelta,
    "a temperature difference",
    Limit::None,
    [
        Unit {
            name: "F",
            spellings: &["f", "°f", "degf", "ºf", "fahrenheit"],
            to_canonical: |f| CelsiusDelta::from_fahrenheit_degrees(f).0,
        },
        Unit { name: "C", spellings: &["c", "°c", "degc", "ºc", "celsius"], to_canonical: |c| c },
        Unit { name: "K", spellings: &["k", "kelvin"], to_canonical: |k| k },
    ]
);

impl CelsiusDelta {
    /// From Fahrenheit degrees of difference.
    #[must_use]
    pub const fn from_fahrenheit_degrees(degrees: f64) -> Self {
        Self(degrees / FAHRENHEIT_PER_CELSIUS)
    }

    /// In Fahrenheit degrees of difference.
    #[must_use]
    pub const fn to_fahrenheit_degrees(self) -> f64 {
        self.0 * FAHRENHEIT_PER_CELSIUS
    }
}

impl Sub for Celsius {
    type Output = CelsiusDelta;

    fn sub(self, other: Self) -> CelsiusDelta {
        CelsiusDelta(self.0 - other.0)
    }
}

impl Add<CelsiusDelta> for Celsius {
    type Output = Self;

    fn add(self, difference: CelsiusDelta) -> Self {
        Self(self.0 + difference.0)
    }
}
