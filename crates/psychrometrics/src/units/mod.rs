//! Quantities as types: what a number means is settled once, where it enters.
//!
//! Each type wraps one `f64` in one unit (the unit of `new` and `get`); other units are named conversions. A type that
//! people write in a job folder reads text with its unit through [`FromStr`](std::str::FromStr) and explains itself in
//! a [`QuantityError`]. Constructors other than [`RelativeHumidity::from_percent`] check nothing: the equations check
//! their own ranges. A missing value is `Option::None`, never NaN.

mod air;
mod extent;
mod humidity;
mod pressure;
mod temperature;
mod text;
mod time;
mod water;

pub use air::{AirFlow, Density, Enthalpy, SpecificVolume};
pub use extent::{CubicMetres, Metres, SquareMetres};
pub use humidity::{
    AbsoluteHumidity, GrainsPerPound, HumidityRatio, RelativeHumidity, RelativeHumidityDelta, Share, WoodMoisture,
};
pub use pressure::Pascals;
pub use temperature::{Celsius, CelsiusDelta};
pub use text::{QuantityError, QuantityProblem};
pub use time::Hours;
pub use water::{WaterDensity, WaterMass, WaterRate};

/// A quantity held as one number in one canonical unit, for code that works on any of them (uncertainty budgets).
pub trait Quantity: Copy + PartialEq + PartialOrd + std::fmt::Debug {
    /// The quantity of `value` canonical units.
    fn from_canonical(value: f64) -> Self;

    /// The value in the canonical unit.
    fn canonical(self) -> f64;
}

/// Declares a quantity: the struct, `new`, `get` and [`Quantity`].
macro_rules! quantity {
    ($(#[$meta:meta])* $name:ident, $unit:literal) => {
        $(#[$meta])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Debug, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("From a value in ", $unit, ".")]
            #[must_use]
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            #[doc = concat!("The value in ", $unit, ".")]
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }
        }

        impl $crate::units::Quantity for $name {
            fn from_canonical(value: f64) -> Self {
                Self(value)
            }

            fn canonical(self) -> f64 {
                self.0
            }
        }
    };
}

/// Declares how people write a quantity: its kind with article, its lowest value, its units.
macro_rules! written {
    ($name:ident, $kind:literal, $limit:expr, [$($unit:expr),+ $(,)?]) => {
        impl std::str::FromStr for $name {
            type Err = $crate::units::QuantityError;

            /// Reads a number and its unit, such as the forms named in the type's documentation.
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                let written = $crate::units::text::Written { kind: $kind, limit: $limit, units: &[$($unit),+] };
                written.read(text).map(Self)
            }
        }
    };
}

use {quantity, written};
