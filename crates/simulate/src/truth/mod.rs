//! The truth of a simulated job, to hold a program's answers against.
//!
//! Two kinds of facts stand here side by side. *True states* (moisture, running spans, water removed, air) come from the
//! simulation and no instrument. *Due answers* (goals, meeting readings, verdicts) follow from the readings as written
//! down by the project's rules, worked out here on their own; the module [`rules`] says how each rule is read.
//!
//! Numbers are rounded to the decimals their fields name, so that the file is the same on every machine.

pub mod days;
pub mod rules;

mod air;
mod assemble;

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;

pub use air::TrueAir;
pub use days::{Period, Verdict};
pub use rules::{Meeting, State, StateSpan};

use crate::Error;
use crate::instruments::Record;
use crate::simulation::Simulation;

/// Everything true of a job, and every answer due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Truth {
    /// The scenario.
    pub scenario: String,
    /// What the file is.
    pub note: String,
    /// Its seed.
    pub seed: u64,
    /// The zone of its civil days.
    pub time_zone: String,
    /// Air pressure, Pa (to 0.1).
    pub pressure_pa: f64,
    /// The last instant simulated: the clock that open ends are counted to.
    pub clock: DateTime<Utc>,
    /// Chambers.
    pub chambers: Vec<TrueChamber>,
    /// Points, drying and reference.
    pub points: Vec<TruePoint>,
    /// Units.
    pub units: Vec<TrueUnit>,
    /// Totals of equipment-days by verdict, over units that dry.
    pub days: BTreeMap<Verdict, usize>,
    /// Where all the water went, kg (to 1e-4).
    pub water: TrueWater,
    /// Loggers: true source and clock.
    pub loggers: Vec<TrueLogger>,
    /// Hourly means of the true air.
    pub air: TrueAir,
}

/// A chamber's due verdict.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueChamber {
    /// The chamber.
    pub chamber: String,
    /// Whether all its goals are met at the clock.
    pub verdict: rules::GoalVerdict,
    /// The last of its meeting readings, when met.
    pub met_at: Option<DateTime<Utc>>,
    /// When the true values of all its points last came to their goals.
    pub truly_met_at: Option<DateTime<Utc>>,
}

/// A point: its true course and the answers due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TruePoint {
    /// The point.
    pub point: String,
    /// `drying` or `reference`.
    pub role: &'static str,
    /// Its chamber.
    pub chamber: Option<String>,
    /// Its scale, in the job's word.
    pub scale: &'static str,
    /// Its meter.
    pub meter: String,
    /// Dry standard: written, or the median of its reference points at their first visit.
    pub dry_standard: Option<f64>,
    /// Its goal and where that comes from.
    pub goal: Option<rules::DueGoal>,
    /// Readings by visit, the highest of each visit, beside the truth.
    pub visits: Vec<TrueReading>,
    /// Open and closed spans from the loss to the clock.
    pub spans: Vec<StateSpan>,
    /// The reading that meets the goal in force at the clock.
    pub meeting: Option<Meeting>,
    /// Readings that reopened the point.
    pub reopened: Vec<DateTime<Utc>>,
    /// When the true value passed its goal: at or below it, or above it again.
    pub crossings: Vec<Crossing>,
    /// Verdict on its goal at the clock.
    pub verdict: Option<rules::GoalVerdict>,
}

/// A reading beside the truth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueReading {
    /// When the reading that counts was taken, or would have been.
    pub time: DateTime<Utc>,
    /// What was written; `None` for no reading.
    pub recorded: Option<f64>,
    /// Whether `recorded` is only a lower bound.
    pub lower_bound: bool,
    /// The true value on the meter's scale (to 1e-3).
    pub true_value: f64,
    /// The true moisture content, % of dry mass (to 1e-3).
    pub moisture_pct: f64,
}

/// The true value passing a goal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Crossing {
    /// First minute on the new side.
    pub time: DateTime<Utc>,
    /// `at_or_below` or `above`.
    pub to: &'static str,
}

/// A unit: what it truly did and the verdicts due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueUnit {
    /// The unit.
    pub unit: String,
    /// What it is, in the job's words.
    pub kind: &'static str,
    /// Whether its days are judged: it is there for drying.
    pub judged: bool,
    /// Spans in which it truly ran.
    pub running: Vec<TrueSpan>,
    /// Spans on site in which it did not, with what the job says of them.
    pub stopped: Vec<TrueStop>,
    /// Water truly removed on each civil day of the job's zone, kg (to 1e-4); empty for units that remove none.
    pub removed_kg_by_day: BTreeMap<NaiveDate, f64>,
    /// Its equipment-days.
    pub periods: Vec<Period>,
    /// Their number.
    pub recorded_days: usize,
    /// Days billed, over all stays; `None` where none is given.
    pub billed_days: Option<f64>,
}

/// A span of time, `from <= t < to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct TrueSpan {
    /// Start.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
}

/// A span in which a unit on site stood still.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TrueStop {
    /// Start.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
    /// Whether the job records it as a pause.
    pub recorded_pause: bool,
}

/// The water balance, kg (to 1e-4).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TrueWater {
    /// In materials and chamber air at the start.
    pub start_kg: f64,
    /// In materials and chamber air at the end.
    pub end_kg: f64,
    /// Come in from the unaffected area, net.
    pub from_unaffected_kg: f64,
    /// Come in from outdoors, net.
    pub from_outdoor_kg: f64,
    /// Taken up in rewettings.
    pub rewetted_kg: f64,
    /// Removed by machines.
    pub removed_kg: f64,
}

/// A logger's truth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueLogger {
    /// Serial number.
    pub serial: String,
    /// The file it is read out to.
    pub file: Option<String>,
    /// Air it truly measured.
    pub measured: String,
    /// Air the job says it measured.
    pub stated: String,
    /// How far its clock is ahead, s.
    pub clock_ahead_s: i64,
    /// Samples taken, each counted once.
    pub samples: usize,
    /// Rows in its export, repeated ones included.
    pub rows: usize,
    /// Samples with words instead of a number.
    pub words: usize,
    /// Spans without samples.
    pub gaps: Vec<TrueSpan>,
    /// First sample, true time.
    pub first: Option<DateTime<Utc>>,
    /// Last sample, true time.
    pub last: Option<DateTime<Utc>>,
}

impl Truth {
    /// The truth of a simulated and recorded job.
    #[must_use]
    pub fn of(simulation: &Simulation, record: &Record) -> Self {
        assemble::truth(simulation, record)
    }

    /// The truth as JSON text, indented, with a line end at its end.
    ///
    /// # Errors
    /// [`Error::Json`] when a number is not finite.
    pub fn to_json(&self) -> Result<String, Error> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

/// A number to this many decimals: the one place where the truth is rounded.
pub(crate) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}
