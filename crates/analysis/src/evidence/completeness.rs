//! What a drying log is expected to hold, day by day.

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_words::{Words, say};
use schemars::JsonSchema;
use serde::Serialize;

use super::SourceRow;

/// One chamber on one civil day with drying equipment.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DayRecord {
    /// The day.
    pub date: NaiveDate,
    /// Chamber id.
    pub chamber: String,
    /// Start of the part of the day that is judged.
    pub from: DateTime<Utc>,
    /// Its end: of the day, the equipment's stay or the report's clock.
    pub to: DateTime<Utc>,
    /// Whether the day is not over at the report's clock: its holes can still be filled.
    pub running: bool,
    /// The entries, in a fixed order.
    pub entries: Vec<ExpectedEntry>,
}

/// One expected entry.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExpectedEntry {
    /// What is expected.
    pub kind: EntryKind,
    /// Whether it is there.
    pub present: bool,
    /// What is there, or what is not.
    pub text: String,
    /// What to add; `null` when it is there.
    pub add: Option<String>,
    /// A row that shows it.
    pub rows: Vec<SourceRow>,
}

/// Entries a drying log is expected to hold for a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EntryKind {
    /// Temperature and humidity of the affected air.
    AffectedAir,
    /// Of unaffected air.
    UnaffectedAir,
    /// Of outdoor air.
    OutdoorAir,
    /// Of the air leaving each dehumidifier.
    UnitOutlet,
    /// A reading of every open point.
    MaterialReadings,
    /// A visit.
    Visit,
    /// The instruments used.
    Instrument,
    /// Who read them.
    Technician,
}

impl EntryKind {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AffectedAir => "affected air",
            Self::UnaffectedAir => "unaffected air",
            Self::OutdoorAir => "outdoor air",
            Self::UnitOutlet => "dehumidifier outlet",
            Self::MaterialReadings => "material readings",
            Self::Visit => "visit",
            Self::Instrument => "instrument",
            Self::Technician => "technician",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::AffectedAir => say!(words, "entry_kinds.affected_air"),
            Self::UnaffectedAir => say!(words, "entry_kinds.unaffected_air"),
            Self::OutdoorAir => say!(words, "entry_kinds.outdoor_air"),
            Self::UnitOutlet => say!(words, "entry_kinds.unit_outlet"),
            Self::MaterialReadings => say!(words, "entry_kinds.material_readings"),
            Self::Visit => say!(words, "entry_kinds.visit"),
            Self::Instrument => say!(words, "entry_kinds.instrument"),
            Self::Technician => say!(words, "entry_kinds.technician"),
        }
    }
}
