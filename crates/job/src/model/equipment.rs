//! Equipment: stays, pauses, condensate and hour meters.

use chrono::{DateTime, Utc};
use grainfall_psychrometrics::{AirFlow, WaterMass, WaterRate};
use grainfall_record::RowRef;
use grainfall_words::{Words, say};

/// The name a unit is known by on the job.
pub type UnitId = String;

/// One stay of one unit in one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Stay {
    /// The unit.
    pub unit: UnitId,
    /// Asset number.
    pub asset: Option<String>,
    /// What it is.
    pub kind: EquipmentKind,
    /// What it is there for.
    pub purpose: Purpose,
    /// Chambers it serves.
    pub chambers: Vec<String>,
    /// Points it serves, when only some; empty means all points of its chambers.
    pub points: Vec<String>,
    /// Placed.
    pub placed: DateTime<Utc>,
    /// Placed by.
    pub placed_by: Option<String>,
    /// Why it was placed.
    pub placed_reason: Option<String>,
    /// Removed; `None` while still on site.
    pub removed: Option<DateTime<Utc>>,
    /// Removed by.
    pub removed_by: Option<String>,
    /// Why it was removed.
    pub removed_reason: Option<String>,
    /// Airflow, where stated.
    pub airflow: Option<AirFlow>,
    /// Rated capacity, where stated.
    pub rated_capacity: Option<RatedCapacity>,
    /// Days somebody billed for this stay.
    pub billed_days: Option<f64>,
    /// Where it is written.
    pub line: RowRef,
}

/// Rated water removal with the condition it was rated at, as written.
#[derive(Debug, Clone, PartialEq)]
pub struct RatedCapacity {
    /// Water per day.
    pub rate: WaterRate,
    /// The rating condition as written (`80 F 60 %`).
    pub condition: Option<String>,
}

/// The purpose of an air scrubber of which none is written.
pub const AIR_CLEANING: &str = "air cleaning";

/// The purpose of a heater of which none is written.
pub const HEAT: &str = "heat";

/// What a unit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EquipmentKind {
    /// Low-grain refrigerant dehumidifier.
    DehumidifierLowGrain,
    /// Conventional refrigerant dehumidifier.
    DehumidifierRefrigerant,
    /// Desiccant dehumidifier.
    DehumidifierDesiccant,
    /// Air mover.
    AirMover,
    /// Air scrubber or negative-air machine.
    AirScrubber,
    /// Heater.
    Heater,
}

impl EquipmentKind {
    /// Every kind with the word the job's files use and the words people read.
    pub const WORDS: [(&'static str, &'static str, Self); 6] = [
        ("dehumidifier low-grain", "Dehumidifier, low-grain refrigerant", Self::DehumidifierLowGrain),
        ("dehumidifier refrigerant", "Dehumidifier, refrigerant", Self::DehumidifierRefrigerant),
        ("dehumidifier desiccant", "Dehumidifier, desiccant", Self::DehumidifierDesiccant),
        ("air mover", "Air mover", Self::AirMover),
        ("air scrubber", "Air scrubber", Self::AirScrubber),
        ("heater", "Heater", Self::Heater),
    ];

    /// The word the job's files use for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(.., kind)| *kind == self).map_or("", |(word, ..)| word)
    }

    /// The words of messages.
    #[must_use]
    pub fn label(self) -> &'static str {
        Self::WORDS.iter().find(|(.., kind)| *kind == self).map_or("", |(_, label, _)| label)
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::DehumidifierLowGrain => say!(words, "equipment_kinds.dehumidifier_low_grain"),
            Self::DehumidifierRefrigerant => say!(words, "equipment_kinds.dehumidifier_refrigerant"),
            Self::DehumidifierDesiccant => say!(words, "equipment_kinds.dehumidifier_desiccant"),
            Self::AirMover => say!(words, "equipment_kinds.air_mover"),
            Self::AirScrubber => say!(words, "equipment_kinds.air_scrubber"),
            Self::Heater => say!(words, "equipment_kinds.heater"),
        }
    }

    /// Whether it takes water out of the air.
    #[must_use]
    pub fn is_dehumidifier(self) -> bool {
        matches!(self, Self::DehumidifierLowGrain | Self::DehumidifierRefrigerant | Self::DehumidifierDesiccant)
    }

    /// The purpose when none is written: drying for dehumidifiers and air movers; a scrubber or a heater has no
    /// drying purpose unless the job says so.
    #[must_use]
    pub fn default_purpose(self) -> Purpose {
        match self {
            Self::AirScrubber => Purpose::Other(AIR_CLEANING.to_owned()),
            Self::Heater => Purpose::Other(HEAT.to_owned()),
            _ => Purpose::Drying,
        }
    }
}

/// What a unit is there for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Purpose {
    /// Drying: its days are judged by the load.
    Drying,
    /// Something else, in the job's words: listed, not judged by moisture.
    Other(String),
}

/// Condensate measured by hand since the entry before it.
#[derive(Debug, Clone, PartialEq)]
pub struct CondensateEntry {
    /// When.
    pub time: DateTime<Utc>,
    /// Which unit.
    pub unit: UnitId,
    /// How much since the entry before (or since placed).
    pub water: WaterMass,
    /// Where it is written.
    pub line: RowRef,
}

/// An hour meter read by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct HourMeterEntry {
    /// When.
    pub time: DateTime<Utc>,
    /// Which unit.
    pub unit: UnitId,
    /// Hours shown.
    pub hours: f64,
    /// Where it is written.
    pub line: RowRef,
}

/// A stop with a recorded reason: no fault of the unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Pause {
    /// Start.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
    /// Units; empty means all.
    pub units: Vec<UnitId>,
    /// Why.
    pub reason: String,
    /// Where it is written.
    pub line: RowRef,
}

/// Days billed for a unit, apart from its stays.
#[derive(Debug, Clone, PartialEq)]
pub struct BilledDays {
    /// Which unit.
    pub unit: UnitId,
    /// How many days.
    pub days: f64,
    /// Where it is written.
    pub line: RowRef,
}
