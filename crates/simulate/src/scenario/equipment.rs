//! Equipment: stays with what the job says of them and the machine behind.

use chrono::{DateTime, Utc};

/// One stay of one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Stay {
    /// The unit's name on the job.
    pub unit: String,
    /// Asset number.
    pub asset: Option<String>,
    /// What the job calls it.
    pub kind: Kind,
    /// What it is there for, when the job says so; `None` leaves the kind's own purpose.
    pub purpose: Option<String>,
    /// Chambers it serves; it stands in the first.
    pub chambers: Vec<String>,
    /// Points it serves, when only some; empty means all of its chambers.
    pub points: Vec<String>,
    /// Placed, on a whole minute.
    pub placed: DateTime<Utc>,
    /// Placed by.
    pub placed_by: String,
    /// Why it was placed.
    pub placed_reason: String,
    /// Removed, on a whole minute; `None` while still on site.
    pub removed: Option<DateTime<Utc>>,
    /// Removed by.
    pub removed_by: Option<String>,
    /// Why it was removed.
    pub removed_reason: Option<String>,
    /// Airflow as stated (`"250 cfm"`).
    pub airflow: Option<String>,
    /// Rated capacity as stated (`"130 pint/day"`).
    pub rated_capacity: Option<String>,
    /// Condition of the rating as stated (`"80 F 60 %"`).
    pub rated_condition: Option<String>,
    /// Days somebody billed for the stay.
    pub billed_days: Option<f64>,
    /// Reading of the hour meter when placed, h; `None` for a unit whose meter nobody reads.
    pub hour_meter_start_h: Option<f64>,
    /// What it does to air.
    pub machine: Machine,
}

/// What a unit is, in the job's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Low-grain refrigerant dehumidifier.
    DehumidifierLowGrain,
    /// Conventional refrigerant dehumidifier.
    DehumidifierRefrigerant,
    /// Air mover.
    AirMover,
    /// Air scrubber.
    AirScrubber,
    /// Heater.
    Heater,
}

impl Kind {
    /// The word `job.toml` uses for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::DehumidifierLowGrain => "dehumidifier low-grain",
            Self::DehumidifierRefrigerant => "dehumidifier refrigerant",
            Self::AirMover => "air mover",
            Self::AirScrubber => "air scrubber",
            Self::Heater => "heater",
        }
    }

    /// Whether a unit of this kind is there for drying when the job gives no purpose.
    #[must_use]
    pub fn dries_by_default(self) -> bool {
        matches!(self, Self::DehumidifierLowGrain | Self::DehumidifierRefrigerant | Self::AirMover)
    }
}

/// What a machine does to the air of its chamber while it runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Machine {
    /// Takes water out and gives its heat and its power to the air.
    Dehumidifier(DehumidifierModel),
    /// Moves air over surfaces; its power warms the air.
    AirMover {
        /// Electric power, W.
        power_w: f64,
    },
    /// Only warms the air by its power: a scrubber, a heater.
    Heat {
        /// Electric power, W.
        power_w: f64,
    },
}

/// A refrigerant dehumidifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DehumidifierModel {
    /// True airflow at the inlet's state, m3/s.
    pub airflow_m3_s: f64,
    /// Share of the air that meets the coil; the rest passes by it.
    pub contact_share: f64,
    /// Coil temperature with inlet air at 26.7 degC, degC.
    pub coil_temp_c: f64,
    /// Most water the refrigerant circuit can condense, kg/s.
    pub limit_kg_s: f64,
    /// Electric power, W.
    pub power_w: f64,
}

/// A recorded stop.
#[derive(Debug, Clone, PartialEq)]
pub struct Pause {
    /// Start.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
    /// Units; empty means all.
    pub units: Vec<String>,
    /// Why.
    pub reason: String,
}
