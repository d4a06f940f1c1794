//! The third quantity of a log: its names, the numbers written and what they are.

use grainfall_record::Quantity;

use crate::axes::Dialect;

/// How a third quantity is written.
pub struct Third {
    pub name: &'static str,
    pub unit: &'static str,
    pub quantity: Quantity,
    /// Lowest and highest number in the last decimal, and the decimals.
    range: (i64, i64),
    pub places: usize,
    /// Factor and offset to the canonical unit.
    factor: f64,
    offset: f64,
}

/// Pascals in an inch and a millimetre of mercury (conventional; NIST SP 811, appendix B.8), kilograms in a pound
/// (exact), kilojoules per kilogram in a Btu per pound (exact; international table), grains in a pound (exact).
const PA_PER_IN_HG: f64 = 3_386.389;
const PA_PER_MM_HG: f64 = 133.322_4;
const KG_PER_LB: f64 = 0.453_592_37;
const KJ_KG_PER_BTU_LB: f64 = 2.326;
const GRAINS_PER_LB: f64 = 7000.0;
/// Enthalpy of dry air at 0 degC on the inch-pound scale, Btu/lb: 0.240 x 32 (ASHRAE Handbook-Fundamentals (2017), ch. 1).
const BTU_LB_AT_ZERO_C: f64 = 7.68;

#[rustfmt::skip]
static THIRDS: [(&str, Third); 18] = [
    ("dew point", Third { name: "Dew point", unit: "temperature", quantity: Quantity::DewPoint, range: (-100, 700), places: 1, factor: 1.0, offset: 0.0 }),
    ("wet bulb", Third { name: "Wet bulb", unit: "temperature", quantity: Quantity::WetBulb, range: (-100, 700), places: 1, factor: 1.0, offset: 0.0 }),
    ("surface temperature", Third { name: "Surface temp", unit: "temperature", quantity: Quantity::SurfaceTemp, range: (-100, 900), places: 1, factor: 1.0, offset: 0.0 }),
    ("GPP", Third { name: "Humidity ratio", unit: "gr/lb", quantity: Quantity::HumidityRatio, range: (50, 1500), places: 1, factor: 1.0 / GRAINS_PER_LB, offset: 0.0 }),
    ("humidity ratio g/kg", Third { name: "Mixing ratio", unit: "g/kg", quantity: Quantity::HumidityRatio, range: (100, 2500), places: 2, factor: 1e-3, offset: 0.0 }),
    ("absolute humidity", Third { name: "Absolute humidity", unit: "g/m³", quantity: Quantity::AbsoluteHumidity, range: (10, 300), places: 1, factor: 1.0, offset: 0.0 }),
    ("vapour pressure hPa", Third { name: "Vapour pressure", unit: "hPa", quantity: Quantity::VapourPressure, range: (20, 450), places: 1, factor: 100.0, offset: 0.0 }),
    ("vapour pressure kPa", Third { name: "Vapor pressure", unit: "kPa", quantity: Quantity::VapourPressure, range: (200, 4500), places: 3, factor: 1e3, offset: 0.0 }),
    ("enthalpy kJ/kg", Third { name: "Enthalpy", unit: "kJ/kg", quantity: Quantity::Enthalpy, range: (50, 1200), places: 1, factor: 1.0, offset: 0.0 }),
    ("enthalpy Btu/lb", Third { name: "Enthalpy", unit: "Btu/lb", quantity: Quantity::Enthalpy, range: (50, 600), places: 1, factor: KJ_KG_PER_BTU_LB, offset: -KJ_KG_PER_BTU_LB * BTU_LB_AT_ZERO_C }),
    ("pressure hPa", Third { name: "Station pressure", unit: "hPa", quantity: Quantity::Pressure, range: (9000, 10500), places: 1, factor: 100.0, offset: 0.0 }),
    ("pressure kPa", Third { name: "Barometric pressure", unit: "kPa", quantity: Quantity::Pressure, range: (9000, 10500), places: 2, factor: 1e3, offset: 0.0 }),
    ("pressure inHg", Third { name: "Station pressure", unit: "inHg", quantity: Quantity::Pressure, range: (2600, 3100), places: 2, factor: PA_PER_IN_HG, offset: 0.0 }),
    ("pressure mmHg", Third { name: "Air pressure", unit: "mmHg", quantity: Quantity::Pressure, range: (7000, 7900), places: 1, factor: PA_PER_MM_HG, offset: 0.0 }),
    ("pressure Pa", Third { name: "Pressure", unit: "Pa", quantity: Quantity::Pressure, range: (90_000, 105_000), places: 0, factor: 1.0, offset: 0.0 }),
    ("moisture", Third { name: "Wood moisture", unit: "%", quantity: Quantity::Moisture, range: (50, 600), places: 1, factor: 1.0, offset: 0.0 }),
    ("weight kg", Third { name: "Weight", unit: "kg", quantity: Quantity::Weight, range: (500, 9000), places: 3, factor: 1.0, offset: 0.0 }),
    ("weight lb", Third { name: "Sample weight", unit: "lb", quantity: Quantity::Weight, range: (50, 900), places: 2, factor: KG_PER_LB, offset: 0.0 }),
];

/// The third quantity of a name; `None` for `none`.
pub fn third(name: &str) -> Option<&'static Third> {
    let found = THIRDS.iter().find(|(known, _)| *known == name).map(|(_, third)| third);
    assert!(found.is_some() || name == "none", "no third quantity {name}");
    found
}

impl Third {
    /// The number written for a thousandth of the range, in its last decimal; a temperature in kelvin is one of degC.
    pub fn number(&self, dialect: &Dialect, thousandths: i32) -> i64 {
        let zero = if self.unit == "temperature" && dialect.is("unit", "K") { 2731 } else { 0 };
        zero + self.range.0 + (self.range.1 - self.range.0) * i64::from(thousandths) / 1000
    }

    /// What that number is in the canonical unit. Temperatures are the caller's to convert.
    pub fn canonical(&self, number: i64) -> f64 {
        let value = number as f64 / 10_f64.powi(i32::try_from(self.places).unwrap());
        value * self.factor + self.offset
    }
}
