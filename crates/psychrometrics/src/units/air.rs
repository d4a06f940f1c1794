//! Flow, energy and volume of air.

use super::text::{Limit, Unit};
use super::{quantity, written};
use crate::constants::{
    CUBIC_FEET_PER_POUND_IN_M3_PER_KG, KILOGRAMS_PER_POUND, KJ_PER_KG_IN_BTU_PER_POUND, METRES_PER_FOOT,
};

/// Cubic metres per second in one cubic foot per minute.
const M3_S_PER_CFM: f64 = METRES_PER_FOOT * METRES_PER_FOOT * METRES_PER_FOOT / 60.0;

/// Enthalpy of dry air at 0 C above dry air at 0 F, in Btu/lb: the datum of inch-pound tables less that of SI tables
/// (ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 30: 0.240 Btu/(lb F) times 32 F).
const INCH_POUND_DATUM_BTU_LB: f64 = 0.240 * 32.0;

quantity! {
    /// Volume flow of air in m3/s, at the place and state where it was measured. Written `300 cfm`, `500 m3/h`,
    /// `140 l/s` or `0.14 m3/s`.
    AirFlow, "cubic metres per second"
}

written!(
    AirFlow,
    "an airflow",
    Limit::NotNegative,
    [
        Unit { name: "cfm", spellings: &["cfm", "ft3/min", "ft³/min"], to_canonical: |v| v * M3_S_PER_CFM },
        Unit { name: "m3/h", spellings: &["m3/h", "m³/h"], to_canonical: |v| v / 3600.0 },
        Unit { name: "l/s", spellings: &["l/s"], to_canonical: |v| v / 1000.0 },
        Unit { name: "m3/s", spellings: &["m3/s", "m³/s"], to_canonical: |v| v },
    ]
);

impl AirFlow {
    /// From cubic feet per minute.
    #[must_use]
    pub const fn from_cfm(cfm: f64) -> Self {
        Self(cfm * M3_S_PER_CFM)
    }

    /// In cubic feet per minute.
    #[must_use]
    pub const fn to_cfm(self) -> f64 {
        self.0 / M3_S_PER_CFM
    }

    /// From cubic metres per hour.
    #[must_use]
    pub const fn from_cubic_metres_per_hour(flow: f64) -> Self {
        Self(flow / 3600.0)
    }

    /// In cubic metres per hour.
    #[must_use]
    pub const fn to_cubic_metres_per_hour(self) -> f64 {
        self.0 * 3600.0
    }

    /// From litres per second.
    #[must_use]
    pub const fn from_litres_per_second(flow: f64) -> Self {
        Self(flow / 1000.0)
    }

    /// In litres per second.
    #[must_use]
    pub const fn to_litres_per_second(self) -> f64 {
        self.0 * 1000.0
    }
}

quantity! {
    /// Enthalpy of moist air in kJ per kg of dry air, zero for dry air at 0 C and liquid water at 0 C.
    Enthalpy, "kJ per kg of dry air"
}

impl Enthalpy {
    /// In Btu per pound of dry air **as inch-pound tables count it**: zero for dry air at 0 F, so a constant 7.68 Btu/lb
    /// is added to the converted value.
    ///
    /// Inch-pound equations round their constants apart from the SI ones; between 65 and 98 F the two differ by up to
    /// 0.03 Btu/lb.
    ///
    /// # Source
    /// ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 30 for the two datums; factor from NIST SP 811 (2008), App. B.
    #[must_use]
    pub const fn to_btu_per_pound(self) -> f64 {
        self.0 / KJ_PER_KG_IN_BTU_PER_POUND + INCH_POUND_DATUM_BTU_LB
    }
}

quantity! {
    /// Volume of moist air per mass of the **dry** air in it, in m3/kg.
    SpecificVolume, "cubic metres per kg of dry air"
}

impl SpecificVolume {
    /// From cubic feet per pound of dry air.
    #[must_use]
    pub const fn from_cubic_feet_per_pound(volume: f64) -> Self {
        Self(volume / CUBIC_FEET_PER_POUND_IN_M3_PER_KG)
    }

    /// In cubic feet per pound of dry air.
    #[must_use]
    pub const fn to_cubic_feet_per_pound(self) -> f64 {
        self.0 * CUBIC_FEET_PER_POUND_IN_M3_PER_KG
    }
}

quantity! {
    /// Mass of moist air (air and vapour) per volume, in kg/m3.
    Density, "kg per cubic metre"
}

impl Density {
    /// In pounds per cubic foot.
    #[must_use]
    pub const fn to_pounds_per_cubic_foot(self) -> f64 {
        self.0 * METRES_PER_FOOT * METRES_PER_FOOT * METRES_PER_FOOT / KILOGRAMS_PER_POUND
    }
}
