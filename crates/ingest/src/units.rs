//! Units as found in files, and how each becomes the canonical unit of a quantity.

use grainfall_psychrometrics::constants::{
    GRAINS_PER_POUND, KELVIN_AT_ZERO_CELSIUS, KILOGRAMS_PER_POUND, KJ_PER_KG_IN_BTU_PER_POUND, PASCALS_PER_IN_HG,
    PASCALS_PER_MM_HG, PASCALS_PER_PSI,
};
use grainfall_record::Quantity;

use crate::words::words;

/// A unit found in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Unit {
    Celsius,
    Fahrenheit,
    Kelvin,
    Percent,
    /// A share of 1.
    Fraction,
    KgPerKg,
    GramsPerKg,
    GrainsPerPound,
    Pascal,
    Hectopascal,
    Kilopascal,
    Bar,
    MmHg,
    InHg,
    Psi,
    GramsPerM3,
    GrainsPerFt3,
    KilojoulesPerKg,
    BtuPerPound,
    Kilogram,
    Gram,
    Pound,
    Ounce,
}

/// Grains per cubic foot in g/m3: 64.79891 mg over 0.028316846592 m3, both exact.
const G_M3_PER_GR_FT3: f64 = 0.064_798_91 / 0.028_316_846_592;
/// Enthalpy of dry air at 0 degC on the inch-pound scale, whose zero is at 0 degF, Btu/lb:
/// 0.240 x 32 (ASHRAE Handbook-Fundamentals (2017), ch. 1, inch-pound form of eq. 30).
const BTU_LB_AT_ZERO_C: f64 = 7.68;
impl Unit {
    const ALL: [(Self, &'static str); 23] = [
        (Self::Celsius, "degC"),
        (Self::Fahrenheit, "degF"),
        (Self::Kelvin, "K"),
        (Self::Percent, "%"),
        (Self::Fraction, "fraction"),
        (Self::KgPerKg, "kg/kg"),
        (Self::GramsPerKg, "g/kg"),
        (Self::GrainsPerPound, "gr/lb"),
        (Self::Pascal, "Pa"),
        (Self::Hectopascal, "hPa"),
        (Self::Kilopascal, "kPa"),
        (Self::Bar, "bar"),
        (Self::MmHg, "mmHg"),
        (Self::InHg, "inHg"),
        (Self::Psi, "psi"),
        (Self::GramsPerM3, "g/m3"),
        (Self::GrainsPerFt3, "gr/ft3"),
        (Self::KilojoulesPerKg, "kJ/kg"),
        (Self::BtuPerPound, "Btu/lb"),
        (Self::Kilogram, "kg"),
        (Self::Gram, "g"),
        (Self::Pound, "lb"),
        (Self::Ounce, "oz"),
    ];

    /// The unit of this name, as the word tables write it.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known)| *known == name).map(|(unit, _)| *unit)
    }

    /// Its name in messages.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(unit, _)| *unit == self).map_or("", |(_, name)| name)
    }

    /// The unit a person wrote in the job, by any spelling of the table.
    pub fn spelled(text: &str) -> Option<Self> {
        words().unit(text.trim())
    }

    /// Whether a quantity can be measured in it.
    pub fn fits(self, quantity: Quantity) -> bool {
        self.linear(quantity).is_some()
    }

    /// `value` in the canonical unit of `quantity`; `None` when the unit does not fit it.
    pub fn canonical(self, quantity: Quantity, value: f64) -> Option<f64> {
        let (factor, offset) = self.linear(quantity)?;
        Some(value.mul_add(factor, offset))
    }

    /// Factor and offset to the canonical unit of a quantity.
    pub fn linear(self, quantity: Quantity) -> Option<(f64, f64)> {
        use Quantity as Q;
        let pair = match quantity {
            Q::AirTemp | Q::DewPoint | Q::WetBulb | Q::SurfaceTemp => match self {
                Self::Celsius => (1.0, 0.0),
                Self::Fahrenheit => (5.0 / 9.0, -160.0 / 9.0),
                Self::Kelvin => (1.0, -KELVIN_AT_ZERO_CELSIUS),
                _ => return None,
            },
            Q::RelativeHumidity | Q::Moisture => match self {
                Self::Percent => (1.0, 0.0),
                Self::Fraction => (100.0, 0.0),
                _ => return None,
            },
            Q::HumidityRatio => match self {
                Self::KgPerKg => (1.0, 0.0),
                Self::GramsPerKg => (1e-3, 0.0),
                Self::GrainsPerPound => (1.0 / GRAINS_PER_POUND, 0.0),
                _ => return None,
            },
            Q::VapourPressure | Q::Pressure => match self {
                Self::Pascal => (1.0, 0.0),
                Self::Hectopascal => (100.0, 0.0),
                Self::Kilopascal => (1e3, 0.0),
                Self::Bar => (1e5, 0.0),
                Self::MmHg => (PASCALS_PER_MM_HG, 0.0),
                Self::InHg => (PASCALS_PER_IN_HG, 0.0),
                Self::Psi => (PASCALS_PER_PSI, 0.0),
                _ => return None,
            },
            Q::AbsoluteHumidity => match self {
                Self::GramsPerM3 => (1.0, 0.0),
                Self::GrainsPerFt3 => (G_M3_PER_GR_FT3, 0.0),
                _ => return None,
            },
            Q::Enthalpy => match self {
                Self::KilojoulesPerKg => (1.0, 0.0),
                Self::BtuPerPound => (KJ_PER_KG_IN_BTU_PER_POUND, -KJ_PER_KG_IN_BTU_PER_POUND * BTU_LB_AT_ZERO_C),
                _ => return None,
            },
            Q::Weight => match self {
                Self::Kilogram => (1.0, 0.0),
                Self::Gram => (1e-3, 0.0),
                Self::Pound => (KILOGRAMS_PER_POUND, 0.0),
                Self::Ounce => (KILOGRAMS_PER_POUND / 16.0, 0.0),
                _ => return None,
            },
            _ => return None,
        };
        Some(pair)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(got: Option<f64>, want: f64, within: f64) {
        let got = got.unwrap();
        assert!((got - want).abs() <= within, "got {got}, want {want}");
    }

    #[test]
    fn fixed_points() {
        near(Unit::Fahrenheit.canonical(Quantity::AirTemp, 212.0), 100.0, 1e-12);
        near(Unit::Fahrenheit.canonical(Quantity::DewPoint, -40.0), -40.0, 1e-12);
        near(Unit::Kelvin.canonical(Quantity::AirTemp, 273.15), 0.0, 1e-12);
        // One standard atmosphere, 101 325 Pa, is 29.921 inHg, 760 mmHg, 14.696 psi (rounded as printed).
        near(Unit::InHg.canonical(Quantity::Pressure, 29.921), 101_325.0, 2.0);
        near(Unit::MmHg.canonical(Quantity::Pressure, 760.0), 101_325.0, 0.1);
        near(Unit::Psi.canonical(Quantity::Pressure, 14.696), 101_325.0, 1.0);
        near(Unit::GrainsPerPound.canonical(Quantity::HumidityRatio, 70.0), 0.01, 1e-12);
        // Dry air at 70 degF: 16.8 Btu/lb on the inch-pound scale, 1.006 x 21.11 = 21.24 kJ/kg on the SI scale.
        near(Unit::BtuPerPound.canonical(Quantity::Enthalpy, 16.8), 21.24, 0.04);
        near(Unit::GrainsPerFt3.canonical(Quantity::AbsoluteHumidity, 1.0), 2.288_35, 1e-4);
        near(Unit::Ounce.canonical(Quantity::Weight, 16.0), 0.453_592_37, 1e-12);
    }

    #[test]
    fn a_unit_of_another_kind_does_not_fit() {
        assert!(!Unit::Percent.fits(Quantity::AirTemp));
        assert!(Unit::Celsius.canonical(Quantity::Pressure, 1.0).is_none());
    }

    #[test]
    fn names_go_both_ways() {
        for (unit, name) in Unit::ALL {
            assert_eq!(Unit::named(name), Some(unit));
            assert_eq!(unit.name(), name);
        }
    }
}
