//! Equipment-days and the release of equipment.

use std::ops::AddAssign;

use chrono::{DateTime, Utc};
use grainfall_words::{Words, say};
use schemars::JsonSchema;
use serde::Serialize;

use super::SourceRow;
use crate::rules::DID_NOT_RUN_HOURS;

/// Verdict on one equipment-day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DayVerdict {
    /// There was load in the area the unit serves.
    Needed,
    /// Every point was closed before the period began.
    NotNeeded,
    /// The record cannot tell.
    NotShown,
    /// The unit is not there for drying: listed with its purpose, not judged by moisture.
    NotJudged,
}

impl DayVerdict {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Needed => "needed",
            Self::NotNeeded => "not needed",
            Self::NotShown => "not shown",
            Self::NotJudged => "not judged",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::Needed => say!(words, "verdict.needed"),
            Self::NotNeeded => say!(words, "verdict.not_needed"),
            Self::NotShown => say!(words, "verdict.day_not_shown"),
            Self::NotJudged => say!(words, "verdict.not_judged"),
        }
    }
}

/// One unit with all its stays.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UnitEvidence {
    /// The unit.
    pub unit: String,
    /// Asset number.
    pub asset: Option<String>,
    /// Kind as people read it.
    pub kind: String,
    /// Purpose as people read it (`drying`, or the job's words).
    pub purpose: String,
    /// Whether its days are judged by the drying load.
    pub judged: bool,
    /// Stated airflow, m3/s.
    pub airflow_m3_per_s: Option<f64>,
    /// Stated rated water removal, kg a day.
    pub rated_kg_per_day: Option<f64>,
    /// The condition it was rated at, as written.
    pub rated_at: Option<String>,
    /// Stays, in order.
    pub stays: Vec<StayEvidence>,
    /// Totals over its stays.
    pub totals: EquipmentTotals,
    /// Recorded beside billed days: of the stays that carry billed days, or of all where they are written apart.
    pub billed: Option<BilledComparison>,
}

impl UnitEvidence {
    /// The stay it is on site for at the end of the record; `None` once it was removed.
    #[must_use]
    pub fn staying(&self) -> Option<&StayEvidence> {
        self.stays.last().filter(|stay| stay.removed.is_none())
    }
}

/// One stay (moves within an hour are one stay).
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StayEvidence {
    /// Chamber ids it served.
    pub chambers: Vec<String>,
    /// Points it served, when only some.
    pub points: Vec<String>,
    /// Placed.
    pub placed: DateTime<Utc>,
    /// By whom.
    pub placed_by: Option<String>,
    /// Why.
    pub placed_reason: Option<String>,
    /// Removed; `null` while on site.
    pub removed: Option<DateTime<Utc>>,
    /// By whom.
    pub removed_by: Option<String>,
    /// Why.
    pub removed_reason: Option<String>,
    /// Hours on site, to the report's clock; moves are not counted.
    pub hours: f64,
    /// Short absences that interrupt nothing: out and back within an hour (or within a civil day, if days are counted so).
    pub moves: Vec<Move>,
    /// What it served and when, in order.
    pub parts: Vec<StayPart>,
    /// Equipment-days, in order; their hours add up to those of the stay.
    pub days: Vec<EquipmentDay>,
    /// Recorded beside billed days, where they are written for this stay.
    pub billed: Option<BilledComparison>,
    /// Where it is written.
    pub rows: Vec<SourceRow>,
}

impl StayEvidence {
    /// Chamber ids it serves at its end.
    #[must_use]
    pub fn serves_now(&self) -> &[String] {
        self.parts.last().map_or(&self.chambers, |part| &part.chambers)
    }

    /// The stretches in which it served a chamber.
    pub fn in_chamber<'a>(&'a self, chamber: &'a str) -> impl Iterator<Item = &'a StayPart> {
        self.parts.iter().filter(move |part| part.chambers.iter().any(|id| id == chamber))
    }
}

/// A part of a stay in which a unit served one area.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StayPart {
    /// Chamber ids: those of its points where it served only some, else the ones it is written for.
    pub chambers: Vec<String>,
    /// Start.
    pub from: DateTime<Utc>,
    /// End: removed, or the report's clock.
    pub to: DateTime<Utc>,
    /// Whether it was taken away at the end.
    pub removed: bool,
    /// Why it was taken away.
    pub reason: Option<String>,
}

/// A short absence of a unit: moved, or out and back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Move {
    /// Taken away.
    pub from: DateTime<Utc>,
    /// Placed again.
    pub to: DateTime<Utc>,
    /// By whom it was taken away.
    pub by: Option<String>,
    /// Why it was taken away.
    pub reason: Option<String>,
}

/// One equipment-day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EquipmentDay {
    /// Number within the unit, from 1.
    pub number: u32,
    /// Start.
    pub from: DateTime<Utc>,
    /// End: of the period, the stay or the report's clock, whichever is first.
    pub to: DateTime<Utc>,
    /// Hours on site in it; short absences are not counted.
    pub hours: f64,
    /// Verdict.
    pub verdict: DayVerdict,
    /// Why, in one sentence that names the point and the reading.
    pub why: String,
    /// When the reading was taken that decides: that of the point named, nearest to the day. `null` where no reading
    /// decides.
    pub read_at: Option<DateTime<Utc>>,
    /// Whether it takes the verdict of the day before, because the unit left within the pull window.
    pub by_pull_window: bool,
    /// Whether it is `not shown` only because the air got wetter, unexplained, after every point was read as closed.
    pub doubted_by_air: bool,
    /// Hours of recorded pause in it, whether its air is logged or not.
    pub paused_h: f64,
    /// Rows the verdict rests on.
    pub rows: Vec<SourceRow>,
    /// Points that show load in the period, by id.
    pub load_points: Vec<String>,
    /// What the unit did, where its air is logged.
    pub effect: Option<Effect>,
}

/// What a unit did in a period; printed beside the verdict, never overruling it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Effect {
    /// Hours it ran.
    pub running_h: f64,
    /// Hours it stood without a recorded pause.
    pub did_not_run_h: f64,
    /// Hours of recorded pause.
    pub paused_h: f64,
    /// Hours the record cannot tell.
    pub not_shown_h: f64,
    /// Mean depression while running, GPP.
    pub depression_gpp: Option<f64>,
    /// Expanded uncertainty, GPP.
    pub u_depression_gpp: Option<f64>,
    /// Whether it is no larger than that.
    pub within_uncertainty: Option<bool>,
    /// Water removed, kg.
    pub water_kg: Option<f64>,
    /// Expanded uncertainty, kg.
    pub u_water_kg: Option<f64>,
}

/// Totals of equipment-days.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, JsonSchema)]
pub struct EquipmentTotals {
    /// Equipment-days recorded.
    pub recorded_days: u32,
    /// Of these, needed.
    pub needed: u32,
    /// Of those needed, days that take the verdict of the day before by the pull window.
    pub by_pull_window: u32,
    /// Days for which a log tells whether the unit ran.
    pub run_logged_days: u32,
    /// Not needed.
    pub not_needed: u32,
    /// Not shown.
    pub not_shown: u32,
    /// Not judged by moisture.
    pub not_judged: u32,
    /// Days needed in which the unit stood at least an hour without a recorded pause.
    pub did_not_run_days: u32,
    /// Hours it stood without a recorded pause while needed.
    pub did_not_run_h: f64,
    /// Hours of recorded pause.
    pub paused_h: f64,
    /// Hours on site.
    pub hours: f64,
}

impl EquipmentTotals {
    /// Totals over stays of one unit.
    #[must_use]
    pub fn of(stays: &[StayEvidence]) -> Self {
        let mut totals = Self::default();
        for stay in stays {
            totals.hours += stay.hours;
            for day in &stay.days {
                totals.recorded_days += 1;
                match day.verdict {
                    DayVerdict::Needed => totals.needed += 1,
                    DayVerdict::NotNeeded => totals.not_needed += 1,
                    DayVerdict::NotShown => totals.not_shown += 1,
                    DayVerdict::NotJudged => totals.not_judged += 1,
                }
                totals.paused_h += day.paused_h;
                totals.run_logged_days += u32::from(day.effect.is_some());
                totals.by_pull_window += u32::from(day.by_pull_window && day.verdict == DayVerdict::Needed);
                let stood = day.effect.as_ref().map_or(0.0, |effect| effect.did_not_run_h);
                if day.verdict == DayVerdict::Needed && stood >= DID_NOT_RUN_HOURS {
                    totals.did_not_run_days += 1;
                    totals.did_not_run_h += stood;
                }
            }
        }
        totals
    }
}

impl AddAssign for EquipmentTotals {
    fn add_assign(&mut self, other: Self) {
        self.recorded_days += other.recorded_days;
        self.needed += other.needed;
        self.by_pull_window += other.by_pull_window;
        self.run_logged_days += other.run_logged_days;
        self.not_needed += other.not_needed;
        self.not_shown += other.not_shown;
        self.not_judged += other.not_judged;
        self.did_not_run_days += other.did_not_run_days;
        self.did_not_run_h += other.did_not_run_h;
        self.paused_h += other.paused_h;
        self.hours += other.hours;
    }
}

/// Recorded beside billed days.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BilledComparison {
    /// Equipment-days recorded.
    pub recorded_days: u32,
    /// Days billed.
    pub billed_days: f64,
    /// Billed minus recorded.
    pub difference_days: f64,
    /// Where the billed days are written.
    pub rows: Vec<SourceRow>,
}

/// Totals of one kind of equipment.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KindTotals {
    /// Kind as people read it.
    pub kind: String,
    /// Units.
    pub units: u32,
    /// Totals.
    pub totals: EquipmentTotals,
    /// Billed days, where any unit of the kind has them.
    pub billed_days: Option<f64>,
    /// Recorded days of those units that have billed days.
    pub recorded_days_of_billed: u32,
}

impl KindTotals {
    /// Nothing of a kind yet.
    #[must_use]
    pub fn none(kind: &str) -> Self {
        Self {
            kind: kind.to_owned(),
            units: 0,
            totals: EquipmentTotals::default(),
            billed_days: None,
            recorded_days_of_billed: 0,
        }
    }

    /// The sum of several kinds, under another name.
    #[must_use]
    pub fn sum(name: &str, kinds: &[Self]) -> Self {
        let mut sum = Self::none(name);
        for kind in kinds {
            sum.units += kind.units;
            sum.totals += kind.totals;
            sum.bill(kind.billed_days, kind.recorded_days_of_billed);
        }
        sum
    }

    /// Counts one unit.
    pub fn add(&mut self, unit: &UnitEvidence) {
        self.units += 1;
        self.totals += unit.totals;
        if let Some(billed) = &unit.billed {
            self.bill(Some(billed.billed_days), billed.recorded_days);
        }
    }

    fn bill(&mut self, days: Option<f64>, recorded_days: u32) {
        if let Some(days) = days {
            self.billed_days = Some(self.billed_days.unwrap_or(0.0) + days);
            self.recorded_days_of_billed += recorded_days;
        }
    }
}

/// From when, and on which readings, equipment of a chamber could leave.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReleaseStatement {
    /// Chamber ids it is about.
    pub chambers: Vec<String>,
    /// Units it is about, by name.
    pub units: Vec<String>,
    /// From when every judged unit could leave; `null` while load is open or not shown.
    pub from: Option<DateTime<Utc>>,
    /// From when equipment could leave and what became of it, one sentence each.
    pub sentences: Vec<String>,
    /// What that rests on: each point and air goal with the reading that decides, one sentence each.
    pub rests_on: Vec<String>,
    /// Rows it rests on.
    pub rows: Vec<SourceRow>,
}
