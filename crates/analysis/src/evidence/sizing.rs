//! Initial sizing, and when a unit could have gone.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_words::{Words, say};
use schemars::JsonSchema;
use serde::Serialize;

use super::{Evidence, SourceRow};

/// What the simple method of the standard calls for at the start, beside what stood there: a range, never a verdict.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CalledFor {
    /// Chamber id.
    pub chamber: String,
    /// Of what.
    pub what: SizedKind,
    /// What stood there in the first 24 h of equipment, in the unit of the range; `null` where the record does not tell.
    pub on_site: Option<f64>,
    /// Units counted in `on_site`, by name.
    pub units: Vec<String>,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Unit of the three values.
    pub unit: String,
    /// How the range is found, with edition and marks.
    pub method: String,
}

/// What is sized.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SizedKind {
    /// Refrigerant dehumidifiers by rated water removal.
    RefrigerantCapacity,
    /// Desiccant dehumidifiers by airflow.
    DesiccantAirflow,
    /// Air movers by count.
    AirMovers,
}

impl SizedKind {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::RefrigerantCapacity => "refrigerant dehumidification",
            Self::DesiccantAirflow => "desiccant airflow",
            Self::AirMovers => "air movers",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::RefrigerantCapacity => say!(words, "sized.refrigerant_capacity"),
            Self::DesiccantAirflow => say!(words, "sized.desiccant_airflow"),
            Self::AirMovers => say!(words, "sized.air_movers"),
        }
    }
}

/// The first instants at which a unit could have gone.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EarliestLeave {
    /// The unit.
    pub unit: String,
    /// From goals: since when everything its last stay served at its end was closed, or lay elsewhere, and stayed so; `null`
    /// while load is open or not shown.
    pub goals_met: Option<DateTime<Utc>>,
    /// From capacity, as advice: since when the other dehumidifiers of its chamber could hold what all of them removed;
    /// `null` where the record does not tell.
    pub capacity: Option<DateTime<Utc>>,
    /// Both in sentences.
    pub text: String,
    /// What the capacity advice takes for granted; empty without one.
    pub assumption: String,
    /// Rows of the readings that closed the points it served.
    pub rows: Vec<SourceRow>,
}

/// Units on site that nothing on the record holds there any more: the one rule of what can leave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CanLeave {
    /// Units, by name.
    pub units: Vec<String>,
    /// What all of them serve now: chamber ids.
    pub chambers: Vec<String>,
    /// Since when the last of them could go.
    pub since: DateTime<Utc>,
}

impl Evidence {
    /// Judged units on site whose last stay serves nothing that is open or not shown, together by what they serve now.
    #[must_use]
    pub fn can_leave(&self) -> Vec<CanLeave> {
        let mut groups: BTreeMap<Vec<String>, CanLeave> = BTreeMap::new();
        for unit in self.equipment.iter().filter(|unit| unit.judged) {
            let Some(stay) = unit.staying() else { continue };
            let leave = self.earliest_leaves.iter().find(|leave| leave.unit == unit.unit);
            let Some(since) = leave.and_then(|leave| leave.goals_met) else { continue };
            let chambers = stay.serves_now().to_vec();
            let group =
                groups.entry(chambers.clone()).or_insert_with(|| CanLeave { units: Vec::new(), chambers, since });
            group.units.push(unit.unit.clone());
            group.since = group.since.max(since);
        }
        groups.into_values().collect()
    }
}
