//! Water a machine takes out of the air: airflow times grain depression over specific volume.
//!
//! The volume is that of the air at the place where the airflow was measured; air leaving a dehumidifier is hotter and
//! takes more room than air entering it. Taking standard air instead overstates a warm inlet by some 4 %.

use crate::error::Error;
use crate::uncertainty::{Accuracy, CoverageFactor, Difference};
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
    /// Standard uncertainty from the grain depression.
    pub from_depression: WaterRate,
    /// Standard uncertainty from the airflow.
    pub from_airflow: WaterRate,
}

impl Removal {
    /// Combined standard uncertainty.
    ///
    /// # Source
    /// JCGM 100:2008, eq. 10.
    #[must_use]
    pub fn standard(&self) -> WaterRate {
        WaterRate::new(self.from_depression.get().hypot(self.from_airflow.get()))
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

/// Rate of water removal with its uncertainty.
///
/// The specific volume is taken as exact: half a degree Fahrenheit moves it by 0.1 %.
///
/// # Arguments
/// As [`removal_rate`], the depression with its budget.
///
/// # Errors
/// As [`removal_rate`].
///
/// # Source
/// JCGM 100:2008, eq. 10 on the product of airflow and depression.
pub fn removal(
    flow: AirFlow,
    flow_accuracy: AirFlowAccuracy,
    volume: SpecificVolume,
    depression: &Difference<GrainsPerPound>,
) -> Result<Removal, Error> {
    let rate = removal_rate(flow, volume, depression.value)?;
    let from_depression = removal_rate(flow, volume, depression.budget.standard())?;
    let relative = match flow_accuracy {
        AirFlowAccuracy::Neglected => 0.0,
        AirFlowAccuracy::Known(accuracy) => accuracy.standard().get(),
    };
    Ok(Removal { rate, from_depression, from_airflow: WaterRate::new(relative * rate.get().abs()) })
}
