//! Water a machine takes out of the air: airflow times grain depression over specific volume.
//!
//! The volume is that of the air at the place where the airflow was measured; air leaving a dehumidifier is hotter and
//! takes more room than air entering it. Taking standard air instead overstates a warm inlet by some 4 %.

use crate::error::Error;
use crate::moist_air::MoistAir;
use crate::uncertainty::{Accuracy, CoverageFactor, Difference, PressureAccuracy};
use crate::units::{AirFlow, GrainsPerPound, HumidityRatio, Share, SpecificVolume, WaterRate};

/// Seconds in 24 h.
const SECONDS_PER_DAY: f64 = 86_400.0;

/// Rate of water removal at one moment.
///
/// # Arguments
/// * `flow`: measured volume flow, zero or above.
/// * `volume`: of the air where the flow was measured, above zero.
/// * `depression`: inlet minus outlet; a negative one gives a negative rate, water added to the air.
///
/// # Errors
/// [`Error::Negative`] for a flow below zero, [`Error::NotPositive`] for a volume at or below zero,
/// [`Error::HumidityRatioOutOfRange`] for a depression that is not a number.
///
/// # Source
/// Mass balance of the dry air. Its inch-pound form, lb/h = cfm x 60 / v x depression / 7000, is common practice.
///
/// ```
/// use grainfall_psychrometrics::{AirFlow, GrainsPerPound, SpecificVolume, WaterDensity, removal::removal_rate};
/// // 250 cfm at 13.89285 ft3/lb, 32.9948 gr/lb: 5.08918 lb/h, 117.48 pints a day at 1.03964 lb/pint (hand calculation
/// // from psychrolib 2.5.0 states; pint of water at 80 F from CoolProp 8.0.0).
/// let volume = SpecificVolume::from_cubic_feet_per_pound(13.89285);
/// let rate = removal_rate(AirFlow::from_cfm(250.0), volume, GrainsPerPound::new(32.9948))?;
/// assert!((rate.to_pounds_per_hour() - 5.08918).abs() < 1e-4);
/// assert!((rate.to_pints_per_day(WaterDensity::AT_80_F) - 117.48).abs() < 0.005);
/// # Ok::<(), grainfall_psychrometrics::Error>(())
/// ```
pub fn removal_rate(flow: AirFlow, volume: SpecificVolume, depression: GrainsPerPound) -> Result<WaterRate, Error> {
    if !(flow.get() >= 0.0 && flow.get().is_finite()) {
        return Err(Error::Negative { what: "airflow in m3/s", found: flow.get() });
    }
    if !(volume.get() > 0.0 && volume.get().is_finite()) {
        return Err(Error::NotPositive { what: "specific volume in m3/kg", found: volume.get() });
    }
    if !depression.get().is_finite() {
        return Err(Error::HumidityRatioOutOfRange { found_kg_kg: HumidityRatio::from(depression).get() });
    }
    let dry_air_kg_s = flow.get() / volume.get();
    Ok(WaterRate::new(dry_air_kg_s * HumidityRatio::from(depression).get() * SECONDS_PER_DAY))
}

/// What the airflow contributes to the uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AirFlowAccuracy {
    /// The airflow is taken as exact, to be said where the result is shown: 10 to 20 % is usual for a field airflow
    /// (project estimate).
    Neglected,
    /// The airflow is known to a share of itself.
    Known(Accuracy<Share>),
}

/// A rate of water removal with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Removal {
    /// The rate.
    pub rate: WaterRate,
    /// Standard uncertainty from the sensors of the grain depression.
    pub from_depression: WaterRate,
    /// Standard uncertainty from the airflow.
    pub from_airflow: WaterRate,
    /// Standard uncertainty from the total pressure.
    pub from_pressure: WaterRate,
}

impl Removal {
    /// Combined standard uncertainty.
    ///
    /// # Source
    /// JCGM 100:2008, eq. 10.
    #[must_use]
    pub fn standard(&self) -> WaterRate {
        WaterRate::new(self.from_depression.get().hypot(self.from_airflow.get()).hypot(self.from_pressure.get()))
    }

    /// Expanded uncertainty U = k u.
    ///
    /// # Source
    /// JCGM 100:2008, 6.2.1.
    #[must_use]
    pub fn expanded(&self, factor: CoverageFactor) -> WaterRate {
        WaterRate::new(factor.get() * self.standard().get())
    }

    /// Whether the rate is no larger than its expanded uncertainty.
    #[must_use]
    pub fn is_within_uncertainty(&self, factor: CoverageFactor) -> bool {
        self.rate.get().abs() <= self.expanded(factor).get()
    }
}

/// What an error of the total pressure leaves of itself in the water a volume of air loses, as grains per pound.
///
/// Thinner air of the same temperatures and humidities holds more grains per pound, and a volume of it holds fewer
/// pounds: an error of the pressure moves the depression one way and the dry air per volume the other, so that most of it
/// cancels. The depression always moves against the pressure, which is why two figures without sign suffice.
///
/// # Arguments
/// * `depression`: inlet minus outlet.
/// * `from_pressure`: its uncertainty from the pressure, zero or above.
/// * `dry_air_share`: the uncertainty of the pressure over the pressure of the dry air alone (total minus vapour) where
///   the air flows, zero or above, of the same kind (standard or expanded): by it the mass of dry air in a volume moves.
///
/// # Source
/// JCGM 100:2008, eq. 10 with the derivative of depression over specific volume; ASHRAE Handbook-Fundamentals (2017),
/// ch. 1, eq. 20 and 26.
#[must_use]
pub fn carried_by_volume(
    depression: GrainsPerPound,
    from_pressure: GrainsPerPound,
    dry_air_share: f64,
) -> GrainsPerPound {
    GrainsPerPound::new((depression.get().abs() * dry_air_share - from_pressure.get()).abs())
}

/// Rate of water removal with its uncertainty.
///
/// What the sensors of the air do to the specific volume is left out: half a degree Fahrenheit moves it by 0.1 %.
///
/// # Arguments
/// * `flow`: measured volume flow, zero or above, in `air`.
/// * `depression`: with its budget, at the same pressure.
/// * `pressure`: shared by both sides of the depression and by the air that flows.
///
/// # Errors
/// As [`removal_rate`].
///
/// # Source
/// JCGM 100:2008, eq. 10 on the product of airflow, depression and density.
pub fn removal(
    flow: AirFlow,
    flow_accuracy: AirFlowAccuracy,
    air: &MoistAir,
    depression: &Difference<GrainsPerPound>,
    pressure: &PressureAccuracy,
) -> Result<Removal, Error> {
    let rate_of = |gpp| removal_rate(flow, air.specific_volume(), gpp);
    let rate = rate_of(depression.value)?;
    let budget = &depression.budget;
    let sensors = GrainsPerPound::new(budget.from_temp.get().hypot(budget.from_rh.get()));
    let dry_air_share = pressure.standard().get() / (air.pressure().get() - air.vapour_pressure().get());
    let relative = match flow_accuracy {
        AirFlowAccuracy::Neglected => 0.0,
        AirFlowAccuracy::Known(accuracy) => accuracy.standard().get(),
    };
    Ok(Removal {
        rate,
        from_depression: rate_of(sensors)?,
        from_airflow: WaterRate::new(relative * rate.get().abs()),
        from_pressure: rate_of(carried_by_volume(depression.value, budget.from_pressure, dry_air_share))?,
    })
}
