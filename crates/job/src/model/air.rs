//! Air readings by hand.

use chrono::{DateTime, Utc};
use grainfall_psychrometrics::{Celsius, GrainsPerPound, RelativeHumidity};
use grainfall_record::RowRef;

use super::Place;

/// One air reading by hand: part of the record, not a sample.
#[derive(Debug, Clone, PartialEq)]
pub struct AirReading {
    /// When.
    pub time: DateTime<Utc>,
    /// Where.
    pub place: AirPlace,
    /// Dry-bulb temperature.
    pub air_temp: Celsius,
    /// How wet.
    pub water: AirWater,
    /// Instrument.
    pub instrument: Option<String>,
    /// By whom, as written.
    pub by: Option<String>,
    /// Where it is written.
    pub line: RowRef,
}

/// Where an air reading was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AirPlace {
    /// What air it is.
    pub place: Place,
    /// The chamber.
    pub chamber: Option<String>,
    /// The unit.
    pub unit: Option<String>,
}

/// How wet an air reading says the air is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AirWater {
    /// Relative humidity.
    Rh(RelativeHumidity),
    /// Grains per pound.
    Gpp(GrainsPerPound),
}
