//! Every fixed number of the crate that is not a coefficient of a single equation: unit factors and the numbers two
//! equations share. One home, one unit, one source each; what can be derived is derived.

/// Metres in one international foot, exact (NIST SP 811 (2008), App. B; from memory).
pub const METRES_PER_FOOT: f64 = 0.3048;

/// Kilograms in one avoirdupois pound, exact (NIST SP 811 (2008), App. B; from memory).
pub const KILOGRAMS_PER_POUND: f64 = 0.453_592_37;

/// Grains in one avoirdupois pound, exact by definition (NIST Handbook 44, App. C; from memory).
pub const GRAINS_PER_POUND: f64 = 7000.0;

/// Standard gravity in m/s2, exact by convention (3rd CGPM, 1901; from memory).
pub const STANDARD_GRAVITY_M_S2: f64 = 9.806_65;

/// Pascals in one pound-force per square inch, derived from foot, pound and standard gravity.
pub const PASCALS_PER_PSI: f64 =
    KILOGRAMS_PER_POUND * STANDARD_GRAVITY_M_S2 / (METRES_PER_FOOT / 12.0 * METRES_PER_FOOT / 12.0);

/// Pascals in one conventional millimetre of mercury: 13595.1 kg/m3 under standard gravity (NIST SP 811 (2008),
/// App. B, note on conventional mercury; from memory).
pub const PASCALS_PER_MM_HG: f64 = 13.595_1 * STANDARD_GRAVITY_M_S2;

/// Pascals in one conventional inch of mercury, 25.4 mm.
pub const PASCALS_PER_IN_HG: f64 = 25.4 * PASCALS_PER_MM_HG;

/// Cubic metres in one US liquid pint: 231 cubic inches to the gallon, 8 pints to the gallon, exact (NIST Handbook 44,
/// App. C; from memory).
pub const CUBIC_METRES_PER_US_PINT: f64 =
    231.0 / 8.0 * (METRES_PER_FOOT / 12.0) * (METRES_PER_FOOT / 12.0) * (METRES_PER_FOOT / 12.0);

/// Kilojoules per kilogram in one Btu (International Table) per pound, exact (NIST SP 811 (2008), App. B; from memory).
pub const KJ_PER_KG_IN_BTU_PER_POUND: f64 = 2.326;

/// Cubic feet per pound in one cubic metre per kilogram, derived.
pub const CUBIC_FEET_PER_POUND_IN_M3_PER_KG: f64 =
    KILOGRAMS_PER_POUND / (METRES_PER_FOOT * METRES_PER_FOOT * METRES_PER_FOOT);

/// Kelvin at 0 degrees Celsius, exact by definition of the Celsius scale.
pub const KELVIN_AT_ZERO_CELSIUS: f64 = 273.15;

/// Triple point of water in degrees Celsius, where the ice and the liquid saturation curves meet and where
/// [`Saturation::IceBelowTriplePoint`](crate::Saturation) changes from one to the other.
pub const TRIPLE_POINT_C: f64 = 0.01;

/// Molar mass of water over that of dry air, as the equation for the humidity ratio uses it (ASHRAE
/// Handbook-Fundamentals (2017), ch. 1, eq. 20).
pub const WATER_TO_DRY_AIR_MASS_RATIO: f64 = 0.621_945;

/// Coldest temperature of the saturation equations in degrees Celsius (ASHRAE Handbook-Fundamentals (2017), ch. 1,
/// eq. 5).
pub const LOWEST_TEMP_C: f64 = -100.0;

/// Hottest temperature of the saturation equations in degrees Celsius (ASHRAE Handbook-Fundamentals (2017), ch. 1,
/// eq. 6).
pub const HIGHEST_TEMP_C: f64 = 200.0;

/// Lowest total pressure accepted, in pascals. Project convention: below any place people work, and high enough to
/// refuse hectopascals, kilopascals, psi or inHg passed as pascals.
pub const LOWEST_PRESSURE_PA: f64 = 10_000.0;

/// Highest total pressure accepted, in pascals. Project convention, see [`LOWEST_PRESSURE_PA`].
pub const HIGHEST_PRESSURE_PA: f64 = 200_000.0;

/// Relative amount by which a vapour pressure may exceed saturation and still count as saturated: room for the
/// rounding of a unit conversion, a millionth of what a sensor resolves. Project convention.
pub const SATURATION_ROUNDING: f64 = 1e-9;
