//! Pressures, of the whole air or of its vapour.

use super::text::{Limit, Unit};
use super::{quantity, written};
use crate::constants::{PASCALS_PER_IN_HG, PASCALS_PER_MM_HG, PASCALS_PER_PSI};

quantity! {
    /// A pressure in pascals, always absolute. Written `29.92 inHg`, `101.3 kPa`, `1013 hPa`, `760 mmHg`, `14.7 psi`
    /// or `101325 Pa`.
    Pascals, "pascals"
}

written!(
    Pascals,
    "a pressure",
    Limit::Positive,
    [
        Unit { name: "inHg", spellings: &["inhg"], to_canonical: |v| v * PASCALS_PER_IN_HG },
        Unit { name: "kPa", spellings: &["kpa"], to_canonical: |v| v * 1000.0 },
        Unit { name: "hPa", spellings: &["hpa", "mbar"], to_canonical: |v| v * 100.0 },
        Unit { name: "mmHg", spellings: &["mmhg"], to_canonical: |v| v * PASCALS_PER_MM_HG },
        Unit { name: "psi", spellings: &["psi", "psia"], to_canonical: |v| v * PASCALS_PER_PSI },
        Unit { name: "Pa", spellings: &["pa"], to_canonical: |v| v },
    ]
);

impl Pascals {
    /// One standard atmosphere, exact (10th CGPM, 1954; from memory).
    pub const STANDARD_ATMOSPHERE: Self = Self(101_325.0);

    /// From kilopascals.
    #[must_use]
    pub const fn from_kilopascals(kilopascals: f64) -> Self {
        Self(kilopascals * 1000.0)
    }

    /// In kilopascals.
    #[must_use]
    pub const fn to_kilopascals(self) -> f64 {
        self.0 / 1000.0
    }

    /// From hectopascals, which are millibars.
    #[must_use]
    pub const fn from_hectopascals(hectopascals: f64) -> Self {
        Self(hectopascals * 100.0)
    }

    /// In hectopascals, which are millibars.
    #[must_use]
    pub const fn to_hectopascals(self) -> f64 {
        self.0 / 100.0
    }

    /// From conventional inches of mercury.
    #[must_use]
    pub const fn from_inches_of_mercury(inches: f64) -> Self {
        Self(inches * PASCALS_PER_IN_HG)
    }

    /// In conventional inches of mercury.
    #[must_use]
    pub const fn to_inches_of_mercury(self) -> f64 {
        self.0 / PASCALS_PER_IN_HG
    }

    /// From conventional millimetres of mercury.
    #[must_use]
    pub const fn from_mm_of_mercury(millimetres: f64) -> Self {
        Self(millimetres * PASCALS_PER_MM_HG)
    }

    /// In conventional millimetres of mercury.
    #[must_use]
    pub const fn to_mm_of_mercury(self) -> f64 {
        self.0 / PASCALS_PER_MM_HG
    }

    /// From pounds-force per square inch, absolute.
    #[must_use]
    pub const fn from_psi(psi: f64) -> Self {
        Self(psi * PASCALS_PER_PSI)
    }

    /// In pounds-force per square inch, absolute.
    #[must_use]
    pub const fn to_psi(self) -> f64 {
        self.0 / PASCALS_PER_PSI
    }
}
