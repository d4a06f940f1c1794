//! Lengths, areas and volumes of rooms, and elevations.

use super::text::{Limit, Unit};
use super::{quantity, written};
use crate::constants::METRES_PER_FOOT;

/// Square metres in one square foot.
const M2_PER_FT2: f64 = METRES_PER_FOOT * METRES_PER_FOOT;

/// Cubic metres in one cubic foot.
const M3_PER_FT3: f64 = M2_PER_FT2 * METRES_PER_FOOT;

quantity! {
    /// A length or an elevation above sea level in metres; an elevation may be negative. Written `5280 ft` or `1609 m`.
    Metres, "metres"
}

written!(
    Metres,
    "a length",
    Limit::None,
    [
        Unit { name: "ft", spellings: &["ft", "feet", "foot"], to_canonical: |v| v * METRES_PER_FOOT },
        Unit { name: "m", spellings: &["m", "metre", "metres", "meter", "meters"], to_canonical: |v| v },
    ]
);

impl Metres {
    /// From feet.
    #[must_use]
    pub const fn from_feet(feet: f64) -> Self {
        Self(feet * METRES_PER_FOOT)
    }

    /// In feet.
    #[must_use]
    pub const fn to_feet(self) -> f64 {
        self.0 / METRES_PER_FOOT
    }
}

quantity! {
    /// An area in square metres. Written `1200 ft2` or `111 m2`.
    SquareMetres, "square metres"
}

written!(
    SquareMetres,
    "an area",
    Limit::NotNegative,
    [
        Unit { name: "ft2", spellings: &["ft2", "sqft", "ft²", "ft^2", "sf"], to_canonical: |v| v * M2_PER_FT2 },
        Unit { name: "m2", spellings: &["m2", "m²", "m^2", "sqm"], to_canonical: |v| v },
    ]
);

impl SquareMetres {
    /// From square feet.
    #[must_use]
    pub const fn from_square_feet(square_feet: f64) -> Self {
        Self(square_feet * M2_PER_FT2)
    }

    /// In square feet.
    #[must_use]
    pub const fn to_square_feet(self) -> f64 {
        self.0 / M2_PER_FT2
    }
}

quantity! {
    /// A volume in cubic metres. Written `9600 ft3` or `272 m3`.
    CubicMetres, "cubic metres"
}

written!(
    CubicMetres,
    "a volume",
    Limit::NotNegative,
    [
        Unit { name: "ft3", spellings: &["ft3", "cuft", "ft³", "ft^3", "cf"], to_canonical: |v| v * M3_PER_FT3 },
        Unit { name: "m3", spellings: &["m3", "m³", "m^3", "cum"], to_canonical: |v| v },
    ]
);

impl CubicMetres {
    /// From cubic feet.
    #[must_use]
    pub const fn from_cubic_feet(cubic_feet: f64) -> Self {
        Self(cubic_feet * M3_PER_FT3)
    }

    /// In cubic feet.
    #[must_use]
    pub const fn to_cubic_feet(self) -> f64 {
        self.0 / M3_PER_FT3
    }
}
