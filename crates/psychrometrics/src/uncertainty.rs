//! How far a moist-air figure may be off, given what its sensors may be off.
//!
//! First-order propagation after JCGM 100:2008 (GUM): sensitivities are the derivatives of the equations, temperature
//! and humidity errors of one sensor are independent of each other, the errors of two sensors carry a stated
//! correlation. The result is a [`Budget`]: the parts from temperature, humidity and pressure, the combined standard
//! uncertainty and the expanded one. A mean over a day keeps the uncertainty of one reading: a sensor's error is bias,
//! the same in every sample.
//!
//! Left out: drift, response time, self-heating, and the 0.3 to 0.7 % by which ideal-gas equations read low.

use crate::constants::{GRAINS_PER_POUND, WATER_TO_DRY_AIR_MASS_RATIO};
use crate::error::Error;
use crate::mixture::enthalpy_slopes;
use crate::moist_air::MoistAir;
use crate::saturation::saturation_and_slope;
use crate::units::{CelsiusDelta, Enthalpy, GrainsPerPound, Pascals, Quantity, RelativeHumidityDelta};

/// What a stated accuracy means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Distribution {
    /// Limits: any error within them is as likely as any other; standard uncertainty = limit / sqrt 3 (JCGM 100:2008,
    /// 4.3.7).
    Rectangular,
    /// An expanded uncertainty at k = 2, as calibration certificates state: standard uncertainty = limit / 2
    /// (JCGM 100:2008, 4.3.3).
    NormalK2,
}

/// Where an accuracy comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AccuracyBasis {
    /// Somebody stated it for this instrument.
    Stated,
    /// A project convention, to be printed as assumed.
    Assumed,
}

/// An accuracy of plus or minus `limit`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy<Q> {
    limit: Q,
    distribution: Distribution,
    basis: AccuracyBasis,
}

impl<Q: Quantity> Accuracy<Q> {
    /// An accuracy stated for the instrument.
    ///
    /// # Arguments
    /// * `limit`: the half width, zero or above.
    ///
    /// # Errors
    /// [`Error::Negative`] for a limit below zero, without end, or not a number.
    pub fn stated(limit: Q, distribution: Distribution) -> Result<Self, Error> {
        not_negative("accuracy", limit.canonical())?;
        Ok(Self { limit, distribution, basis: AccuracyBasis::Stated })
    }

    /// An accuracy that nobody stated, to be printed as assumed.
    ///
    /// # Arguments
    /// * `limit`: the half width, zero or above.
    ///
    /// # Errors
    /// [`Error::Negative`] for a limit below zero, without end, or not a number.
    pub fn assumed(limit: Q, distribution: Distribution) -> Result<Self, Error> {
        Ok(Self { basis: AccuracyBasis::Assumed, ..Self::stated(limit, distribution)? })
    }

    /// The half width.
    pub fn limit(&self) -> Q {
        self.limit
    }

    /// What the limit means.
    pub fn distribution(&self) -> Distribution {
        self.distribution
    }

    /// Where the limit comes from.
    pub fn basis(&self) -> AccuracyBasis {
        self.basis
    }

    /// The standard uncertainty.
    ///
    /// # Source
    /// JCGM 100:2008, 4.3.3 and 4.3.7.
    pub fn standard(&self) -> Q {
        let limit = self.limit.canonical();
        Q::from_canonical(match self.distribution {
            Distribution::Rectangular => limit / 3.0_f64.sqrt(),
            Distribution::NormalK2 => limit / 2.0,
        })
    }
}

/// Accuracy of a temperature and humidity sensor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SensorAccuracy {
    /// Of its temperature.
    pub temp: Accuracy<CelsiusDelta>,
    /// Of its relative humidity.
    pub rh: Accuracy<RelativeHumidityDelta>,
}

impl SensorAccuracy {
    /// What is taken where nothing is stated: +-0.5 F and +-2 % RH as rectangular limits.
    ///
    /// # Source
    /// Project convention.
    #[must_use]
    pub const fn assumed() -> Self {
        let (distribution, basis) = (Distribution::Rectangular, AccuracyBasis::Assumed);
        Self {
            temp: Accuracy { limit: CelsiusDelta::from_fahrenheit_degrees(0.5), distribution, basis },
            rh: Accuracy { limit: RelativeHumidityDelta::new(2.0), distribution, basis },
        }
    }

    /// Whether any part of it is assumed rather than stated.
    #[must_use]
    pub fn is_assumed(&self) -> bool {
        self.temp.basis == AccuracyBasis::Assumed || self.rh.basis == AccuracyBasis::Assumed
    }
}

/// What the total pressure contributes. 1 kPa moves grains per pound by about 1 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PressureAccuracy {
    /// The pressure is taken as exact.
    Neglected,
    /// The pressure is known within limits. Two sensors in one building share the pressure and so its error.
    Known(Accuracy<Pascals>),
}

impl PressureAccuracy {
    /// The standard uncertainty.
    #[must_use]
    pub fn standard(&self) -> Pascals {
        match self {
            Self::Neglected => Pascals::new(0.0),
            Self::Known(accuracy) => accuracy.standard(),
        }
    }
}

/// Correlation of the errors of two sensors, applied to their temperature errors and to their humidity errors alike.
///
/// 0 for two loggers about which nothing is known (same model is no proof), 1 for one probe carried between two
/// places. Anything else has to be measured, by leaving the loggers side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlation(f64);

impl Correlation {
    /// Different sensors, nothing measured.
    pub const INDEPENDENT: Self = Self(0.0);

    /// One probe used at both places.
    pub const SAME_PROBE: Self = Self(1.0);

    /// A measured coefficient.
    ///
    /// # Errors
    /// [`Error::CorrelationOutOfRange`] outside -1 to 1.
    pub fn new(coefficient: f64) -> Result<Self, Error> {
        if (-1.0..=1.0).contains(&coefficient) {
            Ok(Self(coefficient))
        } else {
            Err(Error::CorrelationOutOfRange { found: coefficient })
        }
    }

    /// The coefficient, -1 to 1.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// The factor from standard to expanded uncertainty (JCGM 100:2008, 6.2.1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoverageFactor(f64);

impl CoverageFactor {
    /// k = 2, about 95 % for a normal distribution: the factor of every printed U.
    pub const K2: Self = Self(2.0);

    /// Another factor.
    ///
    /// # Errors
    /// [`Error::Negative`] below zero and for a value that is not a number.
    pub fn new(factor: f64) -> Result<Self, Error> {
        not_negative("coverage factor", factor)?;
        Ok(Self(factor))
    }

    /// The factor.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// How a figure follows its inputs, in units of the figure per unit of input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensitivity {
    /// Per kelvin of air temperature, relative humidity held.
    pub per_k: f64,
    /// Per percentage point of relative humidity.
    pub per_rh_pct: f64,
    /// Per pascal of total pressure.
    pub per_pa: f64,
}

/// Standard uncertainty of a figure by origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Budget<Q> {
    /// From the temperature.
    pub from_temp: Q,
    /// From the relative humidity.
    pub from_rh: Q,
    /// From the total pressure.
    pub from_pressure: Q,
}

/// Uncertainty of grains per pound, or of a difference of two.
pub type GppUncertainty = Budget<GrainsPerPound>;

impl<Q: Quantity> Budget<Q> {
    /// Combined standard uncertainty.
    ///
    /// # Source
    /// JCGM 100:2008, eq. 10.
    pub fn standard(&self) -> Q {
        Q::from_canonical(self.variance().sqrt())
    }

    /// Expanded uncertainty U = k u.
    ///
    /// # Source
    /// JCGM 100:2008, 6.2.1.
    pub fn expanded(&self, factor: CoverageFactor) -> Q {
        Q::from_canonical(factor.get() * self.standard().canonical())
    }

    /// Share of the variance that comes from the relative humidity, 0 to 1; `None` if there is no uncertainty at all.
    pub fn rh_share(&self) -> Option<f64> {
        let variance = self.variance();
        (variance > 0.0).then(|| self.from_rh.canonical() * self.from_rh.canonical() / variance)
    }

    fn variance(&self) -> f64 {
        [self.from_temp, self.from_rh, self.from_pressure].iter().map(|part| part.canonical() * part.canonical()).sum()
    }
}

/// A difference of two sensors' figures with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference<Q> {
    /// First minus second.
    pub value: Q,
    /// Uncertainty of the difference.
    pub budget: Budget<Q>,
}

impl<Q: Quantity> Difference<Q> {
    /// Whether the difference is no larger than its expanded uncertainty.
    pub fn is_within_uncertainty(&self, factor: CoverageFactor) -> bool {
        self.value.canonical().abs() <= self.budget.expanded(factor).canonical()
    }
}

/// One side of a difference: a state and the accuracy of the sensor that gave it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured<'a> {
    /// The state.
    pub air: &'a MoistAir,
    /// The sensor.
    pub sensor: SensorAccuracy,
}

/// Sensitivities of the vapour pressure, in pascals.
///
/// # Source
/// Derivative of ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 5 / 6 and 22.
#[must_use]
pub fn vapour_pressure_sensitivity(air: &MoistAir) -> Sensitivity {
    let (saturated_pa, slope) = saturation_and_slope(air.temperature().get(), air.saturation());
    Sensitivity { per_k: air.rh().fraction() * slope, per_rh_pct: saturated_pa / 100.0, per_pa: 0.0 }
}

/// Sensitivities of the grains per pound.
///
/// # Source
/// Derivative of ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 20.
#[must_use]
pub fn gpp_sensitivity(air: &MoistAir) -> Sensitivity {
    let (vapour_pa, pressure_pa) = (air.vapour_pressure().get(), air.pressure().get());
    let dry_pa = pressure_pa - vapour_pa;
    let scale = GRAINS_PER_POUND * WATER_TO_DRY_AIR_MASS_RATIO / (dry_pa * dry_pa);
    let of_vapour = vapour_pressure_sensitivity(air);
    Sensitivity {
        per_k: scale * pressure_pa * of_vapour.per_k,
        per_rh_pct: scale * pressure_pa * of_vapour.per_rh_pct,
        per_pa: -scale * vapour_pa,
    }
}

/// Sensitivities of the enthalpy, in kJ per kg of dry air.
///
/// # Source
/// Derivative of ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 30 (SI form).
#[must_use]
pub fn enthalpy_sensitivity(air: &MoistAir) -> Sensitivity {
    let (of_temp, of_ratio) = enthalpy_slopes(air.temperature().get(), air.humidity_ratio().get());
    let of_gpp = gpp_sensitivity(air);
    let per_gpp = of_ratio / GRAINS_PER_POUND;
    Sensitivity {
        per_k: of_temp + per_gpp * of_gpp.per_k,
        per_rh_pct: per_gpp * of_gpp.per_rh_pct,
        per_pa: per_gpp * of_gpp.per_pa,
    }
}

/// Sensitivities of the dew point, in kelvin; `None` where the air has no dew point.
///
/// # Source
/// Derivative of the inverse of ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 5 / 6.
#[must_use]
pub fn dew_point_sensitivity(air: &MoistAir) -> Option<Sensitivity> {
    let (_, slope) = saturation_and_slope(air.dew_point()?.get(), air.saturation());
    let of_vapour = vapour_pressure_sensitivity(air);
    Some(Sensitivity { per_k: of_vapour.per_k / slope, per_rh_pct: of_vapour.per_rh_pct / slope, per_pa: 0.0 })
}

/// Uncertainty of the grains per pound of one reading.
///
/// # Source
/// JCGM 100:2008, eq. 10.
///
/// ```
/// use grainfall_psychrometrics::{Celsius, MoistAir, Pascals, RelativeHumidity, Saturation};
/// use grainfall_psychrometrics::uncertainty::{CoverageFactor, PressureAccuracy, SensorAccuracy, gpp_uncertainty};
/// let air = MoistAir::from_temp_and_rh(
///     Celsius::from_fahrenheit(80.0),
///     RelativeHumidity::from_percent(60.0)?,
///     Pascals::from_psi(14.696),
///     Saturation::LiquidWater,
/// )?;
/// // +-0.5 F and +-2 % at 80 F / 60 %: U = 4.03 gr/lb (derivatives of psychrolib 2.5.0's equations).
/// let budget = gpp_uncertainty(&air, &SensorAccuracy::assumed(), &PressureAccuracy::Neglected);
/// assert!((budget.expanded(CoverageFactor::K2).get() - 4.03).abs() < 0.005);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
#[must_use]
pub fn gpp_uncertainty(air: &MoistAir, sensor: &SensorAccuracy, pressure: &PressureAccuracy) -> GppUncertainty {
    single(gpp_sensitivity(air), sensor, pressure)
}

/// Uncertainty of the enthalpy of one reading.
///
/// # Source
/// JCGM 100:2008, eq. 10.
#[must_use]
pub fn enthalpy_uncertainty(air: &MoistAir, sensor: &SensorAccuracy, pressure: &PressureAccuracy) -> Budget<Enthalpy> {
    single(enthalpy_sensitivity(air), sensor, pressure)
}

/// Uncertainty of the vapour pressure of one reading.
///
/// # Source
/// JCGM 100:2008, eq. 10.
#[must_use]
pub fn vapour_pressure_uncertainty(air: &MoistAir, sensor: &SensorAccuracy) -> Budget<Pascals> {
    single(vapour_pressure_sensitivity(air), sensor, &PressureAccuracy::Neglected)
}

/// Uncertainty of the dew point of one reading; `None` where the air has no dew point.
///
/// # Source
/// JCGM 100:2008, eq. 10.
#[must_use]
pub fn dew_point_uncertainty(air: &MoistAir, sensor: &SensorAccuracy) -> Option<Budget<CelsiusDelta>> {
    Some(single(dew_point_sensitivity(air)?, sensor, &PressureAccuracy::Neglected))
}

/// Difference of the grains per pound of two readings, first minus second: grain depression, or one area against
/// another.
///
/// # Arguments
/// * `correlation`: of the two sensors' errors.
/// * `pressure`: shared by both places, so its error is too.
///
/// # Source
/// JCGM 100:2008, eq. 13.
#[must_use]
pub fn gpp_difference(
    first: Measured<'_>,
    second: Measured<'_>,
    correlation: Correlation,
    pressure: &PressureAccuracy,
) -> Difference<GrainsPerPound> {
    Difference {
        value: first.air.grains_per_pound() - second.air.grains_per_pound(),
        budget: paired(
            (gpp_sensitivity(first.air), first.sensor),
            (gpp_sensitivity(second.air), second.sensor),
            correlation,
            pressure,
        ),
    }
}

/// Difference of the vapour pressures of two readings, first minus second.
///
/// # Source
/// JCGM 100:2008, eq. 13.
#[must_use]
pub fn vapour_pressure_difference(
    first: Measured<'_>,
    second: Measured<'_>,
    correlation: Correlation,
) -> Difference<Pascals> {
    Difference {
        value: Pascals::new(first.air.vapour_pressure().get() - second.air.vapour_pressure().get()),
        budget: paired(
            (vapour_pressure_sensitivity(first.air), first.sensor),
            (vapour_pressure_sensitivity(second.air), second.sensor),
            correlation,
            &PressureAccuracy::Neglected,
        ),
    }
}

/// Difference of the dew points of two readings, first minus second; `None` where either air has none.
///
/// # Source
/// JCGM 100:2008, eq. 13.
#[must_use]
pub fn dew_point_difference(
    first: Measured<'_>,
    second: Measured<'_>,
    correlation: Correlation,
) -> Option<Difference<CelsiusDelta>> {
    Some(Difference {
        value: first.air.dew_point()? - second.air.dew_point()?,
        budget: paired(
            (dew_point_sensitivity(first.air)?, first.sensor),
            (dew_point_sensitivity(second.air)?, second.sensor),
            correlation,
            &PressureAccuracy::Neglected,
        ),
    })
}

fn single<Q: Quantity>(sensitivity: Sensitivity, sensor: &SensorAccuracy, pressure: &PressureAccuracy) -> Budget<Q> {
    let part = |per_unit: f64, standard: f64| Q::from_canonical((per_unit * standard).abs());
    Budget {
        from_temp: part(sensitivity.per_k, sensor.temp.standard().get()),
        from_rh: part(sensitivity.per_rh_pct, sensor.rh.standard().get()),
        from_pressure: part(sensitivity.per_pa, pressure.standard().get()),
    }
}

fn paired<Q: Quantity>(
    first: (Sensitivity, SensorAccuracy),
    second: (Sensitivity, SensorAccuracy),
    correlation: Correlation,
    pressure: &PressureAccuracy,
) -> Budget<Q> {
    let ((of_first, first), (of_second, second)) = (first, second);
    Budget {
        from_temp: Q::from_canonical(correlated(
            of_first.per_k * first.temp.standard().get(),
            of_second.per_k * second.temp.standard().get(),
            correlation,
        )),
        from_rh: Q::from_canonical(correlated(
            of_first.per_rh_pct * first.rh.standard().get(),
            of_second.per_rh_pct * second.rh.standard().get(),
            correlation,
        )),
        from_pressure: Q::from_canonical(((of_first.per_pa - of_second.per_pa) * pressure.standard().get()).abs()),
    }
}

/// Standard uncertainty of a difference of two correlated parts. The variance of equal parts at correlation 1 is zero;
/// rounding may leave it a hair below, which is taken as zero.
fn correlated(first: f64, second: f64, correlation: Correlation) -> f64 {
    (first * first + second * second - 2.0 * correlation.get() * first * second).max(0.0).sqrt()
}

fn not_negative(what: &'static str, found: f64) -> Result<(), Error> {
    if found >= 0.0 && found.is_finite() { Ok(()) } else { Err(Error::Negative { what, found }) }
}
