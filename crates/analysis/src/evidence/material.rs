//! Points, goals and chambers.

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_words::{Words, say};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Forecast, SourceRow};
use crate::rules::READING_REACH;

/// Verdict on a drying goal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum GoalVerdict {
    /// The goal is met.
    Met,
    /// The goal is not met.
    NotMet,
    /// The record cannot tell.
    NotShown,
}

impl GoalVerdict {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Met => "met",
            Self::NotMet => "not met",
            Self::NotShown => "not shown",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::Met => say!(words, "verdict.met"),
            Self::NotMet => say!(words, "verdict.not_met"),
            Self::NotShown => say!(words, "verdict.goal_not_shown"),
        }
    }
}

/// One drying chamber.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChamberEvidence {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Verdict over its points and air goals.
    pub verdict: GoalVerdict,
    /// When the last of them was met.
    pub met_at: Option<DateTime<Utc>>,
    /// The verdict's reason in one sentence.
    pub why: String,
    /// Points that are still open, by id.
    pub open_points: Vec<String>,
    /// Points without any usable reading or goal, by id.
    pub not_shown_points: Vec<String>,
    /// Points that ended (removed, demolished), by id.
    pub ended_points: Vec<String>,
    /// Points that lay here and lie in another chamber now, by id: load here until they left.
    pub moved_points: Vec<String>,
    /// Since when all its points lie in other chambers and are judged there, so that it counts no more; `null` while it has
    /// a point or an air goal of its own to be judged by.
    pub judged_elsewhere_since: Option<DateTime<Utc>>,
    /// Points that count: all drying points that have not ended.
    pub point_count: u32,
    /// Of these, how many are met.
    pub met_count: u32,
    /// Air goals.
    pub air_goals: Vec<AirGoalEvidence>,
    /// Floor area, m2.
    pub floor_area_m2: Option<f64>,
    /// Air volume, m3.
    pub volume_m3: Option<f64>,
    /// Median over points of the share of initial excess moisture gone, 0 to 1, by day.
    pub progress: Vec<(NaiveDate, f64)>,
}

impl ChamberEvidence {
    /// Whether all its points lie in other chambers now and are judged there: it is left out wherever chambers are counted.
    #[must_use]
    pub fn judged_elsewhere(&self) -> bool {
        self.judged_elsewhere_since.is_some()
    }

    /// From when nothing in it holds equipment: its goals were met, or its points had gone to other chambers; `None` while
    /// load is open or not shown.
    #[must_use]
    pub fn free_since(&self) -> Option<DateTime<Utc>> {
        match self.verdict {
            GoalVerdict::Met => self.met_at,
            GoalVerdict::NotMet | GoalVerdict::NotShown => self.judged_elsewhere_since,
        }
    }
}

/// A goal on a chamber's air.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AirGoalEvidence {
    /// The goal in words (`GPP at most 55 for 24 h`).
    pub text: String,
    /// Of what it is.
    pub quantity: AirGoalOf,
    /// Which side of the limit meets it.
    pub side: GoalSide,
    /// The limit: GPP, % or degC.
    pub limit: f64,
    /// How long it must hold, hours.
    pub hold_h: f64,
    /// Verdict at the report's clock.
    pub verdict: GoalVerdict,
    /// When the hold time was first complete and has not been broken since.
    pub met_at: Option<DateTime<Utc>>,
    /// The reason in one sentence.
    pub why: String,
    /// Spans in which the goal is open, closed or unread.
    pub spans: Vec<PointSpan>,
}

impl AirGoalEvidence {
    /// Since when it had held that was closed in a span: after a silence it goes on by the sample that closed it.
    #[must_use]
    pub fn closed_since(&self, span: &PointSpan) -> DateTime<Utc> {
        let first = self.spans.iter().find(|one| one.state == PointState::Closed && one.row == span.row);
        first.map_or(span.from, |first| first.from)
    }
}

/// What an air goal is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AirGoalOf {
    /// Grains per pound.
    Gpp,
    /// Relative humidity, %.
    Rh,
    /// Dew point, degC.
    DewPoint,
}

/// Which side of a limit meets a goal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum GoalSide {
    /// At or below it.
    AtMost,
    /// At or above it.
    AtLeast,
}

impl GoalSide {
    /// As tables and the terminal have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AtMost => "at most",
            Self::AtLeast => "at least",
        }
    }

    /// As a report says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::AtMost => say!(words, "sides.at_most"),
            Self::AtLeast => say!(words, "sides.at_least"),
        }
    }
}

/// One metered point.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PointEvidence {
    /// Id.
    pub id: String,
    /// The chamber it lies in at the report's clock.
    pub chamber: Option<String>,
    /// Where it lay from the start of its states to the report's clock, in order.
    pub chambers: Vec<ChamberSpan>,
    /// Where it is.
    pub location: Option<String>,
    /// Depth, as written.
    pub depth: Option<String>,
    /// Material.
    pub material: Option<String>,
    /// Whether it is a reference point in unaffected material.
    pub reference: bool,
    /// The goal's scale as the job's files write it.
    pub scale: String,
    /// Unit printed after values of that scale.
    pub unit: String,
    /// What the material read before the loss.
    pub dry_standard: Option<DryStandardEvidence>,
    /// The goal.
    pub goal: Option<GoalEvidence>,
    /// Verdict at the report's clock.
    pub verdict: GoalVerdict,
    /// The reason in one sentence.
    pub why: String,
    /// When it was met (and not reopened since).
    pub met_at: Option<DateTime<Utc>>,
    /// The row of the reading that met it.
    pub met_row: Option<SourceRow>,
    /// Last reading of the goal's series minus the goal, in the scale's unit.
    pub distance_to_goal: Option<f64>,
    /// Highest reading of the goal's series; of a lower bound its number.
    pub highest: Option<f64>,
    /// Whether the highest is a lower bound (`>40`, over range).
    pub highest_is_bound: bool,
    /// Last reading of the goal's series.
    pub last: Option<f64>,
    /// When that was.
    pub last_at: Option<DateTime<Utc>>,
    /// State over time, from the loss (or the record's start) to the report's clock, without holes.
    pub spans: Vec<PointSpan>,
    /// All readings, by time, with what each means.
    pub readings: Vec<ReadingEvidence>,
    /// Times at which a met goal was lost again.
    pub reopened_at: Vec<DateTime<Utc>>,
    /// Drying rate by day.
    pub rates: Vec<DailyRate>,
    /// Whether its readings come from a logger.
    pub logged: bool,
    /// When it may meet its goal; only while it is open.
    pub forecast: Option<Forecast>,
    /// Why it left the record.
    pub ended: Option<EndedEvidence>,
}

/// How near a point's readings say when it met its goal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MetKnown {
    /// Between two readings no further apart than an equipment-day asks for.
    Near,
    /// At the latest with the reading that met it: the one before it is further back, at this time.
    NotReadSince(DateTime<Utc>),
    /// At the latest with the reading that met it, the point's first.
    FirstReading,
}

impl PointEvidence {
    /// How near the time is known at which it met its goal; `None` while it has not.
    #[must_use]
    pub fn met_known(&self) -> Option<MetKnown> {
        let row = self.met_row.as_ref().filter(|_| self.met_at.is_some())?;
        let met = self.readings.iter().position(|reading| reading.row == *row)?;
        let at = self.readings[met].time;
        let before = self.readings[..met].iter().rev().find(|reading| reading.decides && reading.time < at);
        Some(match before {
            Some(before) if at - before.time <= READING_REACH => MetKnown::Near,
            Some(before) => MetKnown::NotReadSince(before.time),
            None => MetKnown::FirstReading,
        })
    }

    /// The stretches of `from..to` in which it lay in a chamber.
    pub fn within<'a>(
        &'a self,
        chamber: &'a str,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> impl Iterator<Item = (DateTime<Utc>, DateTime<Utc>)> + 'a {
        self.chambers
            .iter()
            .filter(move |span| span.chamber == chamber)
            .map(move |span| (span.from.map_or(from, |start| start.max(from)), span.to.map_or(to, |end| end.min(to))))
            .filter(|(from, to)| from < to)
    }

    /// Whether it lay in a chamber at an instant.
    #[must_use]
    pub fn lies_in(&self, chamber: &str, time: DateTime<Utc>) -> bool {
        self.chambers.iter().any(|span| span.chamber == chamber && span.holds(time))
    }

    /// When it left a chamber for another one; `None` while it is there or never was.
    #[must_use]
    pub fn left(&self, chamber: &str) -> Option<DateTime<Utc>> {
        self.chambers.iter().rev().find(|span| span.chamber == chamber)?.to
    }
}

/// A stretch of time in which a point lay in one chamber.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ChamberSpan {
    /// Chamber id.
    pub chamber: String,
    /// Start, included; `null` from the start.
    pub from: Option<DateTime<Utc>>,
    /// End, excluded; `null` while it lies there.
    pub to: Option<DateTime<Utc>>,
}

impl ChamberSpan {
    /// Whether it has begun and is not over at an instant.
    #[must_use]
    pub fn holds(&self, time: DateTime<Utc>) -> bool {
        self.from.is_none_or(|from| from <= time) && self.to.is_none_or(|to| time < to)
    }
}

/// The end of a point's record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EndedEvidence {
    /// When.
    pub at: DateTime<Utc>,
    /// Why.
    pub reason: String,
}

/// What the material read before the loss.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DryStandardEvidence {
    /// The value, in the scale's unit.
    pub value: f64,
    /// Where it comes from.
    pub basis: DryStandardBasis,
}

/// Where a dry standard comes from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum DryStandardBasis {
    /// Written in the job.
    Stated {
        /// Where.
        row: SourceRow,
    },
    /// Median of reference points at the first visit.
    ReferencePoints {
        /// The points used.
        points: Vec<String>,
        /// Meter they were read with.
        meter: Option<String>,
        /// When.
        at: DateTime<Utc>,
        /// Least reading.
        min: f64,
        /// Greatest reading.
        max: f64,
        /// The rows.
        rows: Vec<SourceRow>,
    },
}

/// The goal of a point.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GoalEvidence {
    /// At most this, in the scale's unit.
    pub value: f64,
    /// Where it comes from.
    pub basis: GoalBasis,
    /// The same in words.
    pub text: String,
}

/// Where a goal comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum GoalBasis {
    /// Written for the point.
    Point,
    /// Written for its material.
    Material,
    /// Common practice from the dry standard; no source.
    CommonPractice,
}

/// State of a point (or air goal) at one time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PointState {
    /// Above its goal: there is load.
    Open,
    /// Goal met.
    Closed,
    /// No reading tells.
    Unread,
    /// Out of the record.
    Ended,
}

/// A half-open stretch in one state.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PointSpan {
    /// Start, included.
    pub from: DateTime<Utc>,
    /// End, excluded.
    pub to: DateTime<Utc>,
    /// State.
    pub state: PointState,
    /// The row that began it.
    pub row: Option<SourceRow>,
}

/// What a reading says.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum ReadingKind {
    /// A number.
    Measured {
        /// In the scale's unit.
        value: f64,
    },
    /// More than this.
    Above {
        /// In the scale's unit.
        value: f64,
    },
    /// Over the meter's range.
    OverRange,
    /// No number, with the reason.
    NoReading {
        /// Why.
        reason: String,
    },
}

/// One reading of a point.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReadingEvidence {
    /// When.
    pub time: DateTime<Utc>,
    /// What it says.
    pub kind: ReadingKind,
    /// Scale as the job's files write it.
    pub scale: String,
    /// Unit printed after it.
    pub unit: String,
    /// Meter.
    pub meter: Option<String>,
    /// How far it may be off either way, in the scale's unit: what is stated of the meter, times what a point of it is worth
    /// where the reading is corrected; `null` where nothing is stated.
    pub accuracy: Option<f64>,
    /// What was corrected, where the job asks for it: `kind` is the result.
    pub correction: Option<CorrectedReading>,
    /// Whether it takes part in the verdict (goal's series, and the highest of its visit).
    pub decides: bool,
    /// Why not, when it does not.
    pub why_not: Option<String>,
    /// Reading minus goal, when it decides.
    pub distance_to_goal: Option<f64>,
    /// Whether it is at or below the goal, when it decides.
    pub meets: Option<bool>,
    /// Vapour-pressure drive at the time.
    pub drive: Option<Drive>,
    /// By whom, as written.
    pub by: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Where it is written.
    pub row: SourceRow,
}

impl ReadingEvidence {
    /// How far it is known to be off at most, in the scale's unit; 0 where nothing is stated of the meter.
    #[must_use]
    pub fn stated_accuracy(&self) -> f64 {
        self.accuracy.unwrap_or(0.0)
    }
}

/// A resistance reading of wood with what the meter showed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CorrectedReading {
    /// What the meter showed, % MC.
    pub shown: f64,
    /// The moisture content after the correction, % MC.
    pub corrected: f64,
    /// Temperature of the wood, degC.
    pub wood_temp_c: f64,
    /// By what it was corrected, with the citation of species coefficients.
    pub by: String,
}

/// Vapour-pressure drive: surface minus air.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Drive {
    /// Surface minus air, Pa; positive dries.
    pub drive_pa: f64,
    /// Vapour pressure at the surface, Pa.
    pub surface_pa: f64,
    /// Vapour pressure of the air, Pa.
    pub air_pa: f64,
    /// Surface temperature used, degC.
    pub surface_temp_c: f64,
    /// Whether that was measured; otherwise assumed.
    pub surface_temp_measured: bool,
    /// How the surface's water activity was found.
    pub basis: DriveBasis,
    /// Label of the air used.
    pub air: String,
}

/// How the water activity of a surface was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DriveBasis {
    /// Free water: wood above fibre saturation, activity 1.
    FreeWater,
    /// Wood sorption equation inverted at the reading.
    WoodSorption,
    /// No curve for the material: activity 1 as an upper bound.
    UpperBound,
}

/// Drying rate of a point over the readings up to one day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DailyRate {
    /// The day.
    pub date: NaiveDate,
    /// Theil-Sen slope since the last rewetting or change of meter, scale units per day; negative dries.
    pub per_day: f64,
    /// Lower end of its 95 % interval.
    pub low: Option<f64>,
    /// Upper end of its 95 % interval.
    pub high: Option<f64>,
    /// Readings used.
    pub readings: u32,
}
