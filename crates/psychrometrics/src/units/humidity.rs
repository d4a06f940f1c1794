//! Amounts of water in air and in wood. All are ratios; as types none can be taken for another.

use std::ops::Sub;

use super::text::{Limit, QuantityError, QuantityProblem, Unit, Written};
use super::{quantity, written};
use crate::constants::GRAINS_PER_POUND;
use crate::error::Error;

/// Relative humidity, 0 to 100 %: vapour pressure over the saturation pressure at the same temperature. Written `60 %`
/// or `60 %RH`.
///
/// The one checked type: a reading of 101 % is an event to record, not a humidity.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct RelativeHumidity(f64);

impl RelativeHumidity {
    /// Saturated air.
    pub const SATURATED: Self = Self(100.0);

    /// Air without water.
    pub const DRY: Self = Self(0.0);

    /// From percent.
    ///
    /// # Errors
    /// [`Error::HumidityOutOfRange`] outside 0 to 100 and for a value that is not a number.
    pub fn from_percent(percent: f64) -> Result<Self, Error> {
        if (0.0..=100.0).contains(&percent) {
            Ok(Self(percent))
        } else {
            Err(Error::HumidityOutOfRange { found_pct: percent })
        }
    }

    /// In percent, 0 to 100.
    #[must_use]
    pub const fn percent(self) -> f64 {
        self.0
    }

    /// As a fraction, 0 to 1.
    #[must_use]
    pub const fn fraction(self) -> f64 {
        self.0 / 100.0
    }

    /// From a fraction that the equations keep within 0 to 1 up to rounding.
    pub(crate) fn from_computed_fraction(fraction: f64) -> Self {
        Self((100.0 * fraction).clamp(0.0, 100.0))
    }
}

impl TryFrom<f64> for RelativeHumidity {
    type Error = Error;

    fn try_from(percent: f64) -> Result<Self, Error> {
        Self::from_percent(percent)
    }
}

impl From<RelativeHumidity> for f64 {
    fn from(humidity: RelativeHumidity) -> Self {
        humidity.0
    }
}

impl std::str::FromStr for RelativeHumidity {
    type Err = QuantityError;

    /// Reads `60 %` or `60 %RH`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let written = Written { kind: "a relative humidity", limit: Limit::None, units: &[PERCENT_RELATIVE_HUMIDITY] };
        let percent = written.read(text)?;
        Self::from_percent(percent).map_err(|_| QuantityError {
            found: text.to_owned(),
            kind: "a relative humidity",
            accepted: vec![PERCENT_RELATIVE_HUMIDITY.name],
            problem: QuantityProblem::OutOfRange { limit: "lies in 0 to 100 %" },
        })
    }
}

impl Sub for RelativeHumidity {
    type Output = RelativeHumidityDelta;

    fn sub(self, other: Self) -> RelativeHumidityDelta {
        RelativeHumidityDelta(self.0 - other.0)
    }
}

const PERCENT_RELATIVE_HUMIDITY: Unit =
    Unit { name: "%", spellings: &["%", "%rh", "rh%", "percent"], to_canonical: |v| v };

quantity! {
    /// A difference of two relative humidities in percentage points, such as a sensor's accuracy or bias. Written
    /// `2 %` or `2 %RH`.
    RelativeHumidityDelta, "percentage points of relative humidity"
}

written!(RelativeHumidityDelta, "a relative humidity difference", Limit::None, [PERCENT_RELATIVE_HUMIDITY]);

quantity! {
    /// Humidity ratio in kg of water per kg of **dry** air. Written `92 gr/lb` (or `92 GPP`), `13.2 g/kg` or
    /// `0.0132 kg/kg`.
    HumidityRatio, "kg of water per kg of dry air"
}

written!(
    HumidityRatio,
    "a humidity ratio",
    Limit::NotNegative,
    [
        Unit { name: "gr/lb", spellings: &["gr/lb", "gpp", "grains/lb"], to_canonical: |v| v / GRAINS_PER_POUND },
        Unit { name: "g/kg", spellings: &["g/kg"], to_canonical: |v| v / 1000.0 },
        Unit { name: "kg/kg", spellings: &["kg/kg"], to_canonical: |v| v },
    ]
);

impl HumidityRatio {
    /// From grains per pound of dry air.
    #[must_use]
    pub const fn from_grains_per_pound(grains: f64) -> Self {
        Self(grains / GRAINS_PER_POUND)
    }

    /// In grains per pound of dry air.
    #[must_use]
    pub const fn to_grains_per_pound(self) -> f64 {
        self.0 * GRAINS_PER_POUND
    }

    /// From grams per kilogram of dry air.
    #[must_use]
    pub const fn from_grams_per_kilogram(grams: f64) -> Self {
        Self(grams / 1000.0)
    }

    /// In grams per kilogram of dry air.
    #[must_use]
    pub const fn to_grams_per_kilogram(self) -> f64 {
        self.0 * 1000.0
    }
}

impl From<GrainsPerPound> for HumidityRatio {
    fn from(grains: GrainsPerPound) -> Self {
        Self::from_grains_per_pound(grains.0)
    }
}

quantity! {
    /// Grains of water per pound of **dry** air, the trade's humidity ratio and the unit of grain depression, so a
    /// difference of two is the same type and may be negative. Written `92 gr/lb`, `92 GPP` or `13.2 g/kg`.
    ///
    /// # Source
    /// 7000 grains to the pound, exact (NIST Handbook 44, App. C; from memory).
    GrainsPerPound, "grains per pound of dry air"
}

written!(
    GrainsPerPound,
    "a humidity ratio",
    Limit::NotNegative,
    [
        Unit { name: "gr/lb", spellings: &["gr/lb", "gpp", "grains/lb"], to_canonical: |v| v },
        Unit { name: "g/kg", spellings: &["g/kg"], to_canonical: |v| v / 1000.0 * GRAINS_PER_POUND },
    ]
);

impl From<HumidityRatio> for GrainsPerPound {
    fn from(ratio: HumidityRatio) -> Self {
        Self(ratio.to_grains_per_pound())
    }
}

impl Sub for GrainsPerPound {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

quantity! {
    /// Water vapour per volume of moist air in g/m3. Computed, not written.
    AbsoluteHumidity, "g of water per cubic metre of moist air"
}

quantity! {
    /// Moisture content of wood in percent of its oven-dry mass; above 100 % is possible. Written `14.5 %` or
    /// `14.5 %MC`.
    WoodMoisture, "percent of the oven-dry mass"
}

written!(
    WoodMoisture,
    "a wood moisture content",
    Limit::NotNegative,
    [Unit { name: "%", spellings: &["%", "%mc", "percent"], to_canonical: |v| v },]
);

quantity! {
    /// A share of something as a fraction, 1 being the whole: an airflow known to a tenth of itself. Written `10 %`.
    Share, "a fraction of the whole"
}

written!(
    Share,
    "a share",
    Limit::NotNegative,
    [Unit { name: "%", spellings: &["%", "percent"], to_canonical: |v| v / 100.0 },]
);
