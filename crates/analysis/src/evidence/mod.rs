//! What the analysis finds, as plain data: this is what `summary.json` holds and what every chart and page shows.
//!
//! Instants are UTC; names end in their unit (`_c` degC, `_pct` %, `_gpp` grains per pound of dry air, `_pa` Pa,
//! `_kg` kg of water, `_h` hours). `u_..` is an expanded uncertainty (k = 2). `null` means that the record does not
//! tell. Lists are sorted as each says.

mod air;
mod completeness;
mod equipment;
mod finding;
mod forecast;
mod job;
mod material;
mod mould;
mod sizing;

pub use air::{
    AgainstLoad, AirTrack, BiasMeasured, BiasOf, BiasStep, CondensateFacts, DailyAir, DailyDifference, DailyUnitAir,
    DepressionTrack, DifferenceKind, HandAir, HourMeterFacts, LoggerFacts, RunSpan, RunState, Spread, TrackPlace,
    UnitAir,
};
pub use completeness::{DayRecord, EntryKind, ExpectedEntry};
pub use equipment::{
    BilledComparison, DayVerdict, Effect, EquipmentDay, EquipmentTotals, KindTotals, Move, ReleaseStatement,
    StayEvidence, StayPart, UnitEvidence,
};
pub use finding::{Finding, FindingKind, Missing, Subject};
pub use forecast::{Equilibrium, EquilibriumBasis, Forecast, Outlook};
pub use job::{Assumption, ClockBasis, Day, JobFacts, PauseFacts, PressureBasis, PressureUsed, SourceRow, VisitFacts};
pub use material::{
    AirGoalEvidence, AirGoalOf, ChamberEvidence, ChamberSpan, CorrectedReading, DailyRate, Drive, DriveBasis,
    DryStandardBasis, DryStandardEvidence, EndedEvidence, GoalBasis, GoalEvidence, GoalSide, GoalVerdict, MetKnown,
    PointEvidence, PointSpan, PointState, ReadingEvidence, ReadingKind,
};
pub use mould::{MouldExposure, MouldIndex, SurfaceHumidity};
pub use sizing::{CalledFor, CanLeave, EarliestLeave, SizedKind};

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::Serialize;

/// Everything the record shows.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Evidence {
    /// The report's clock: nothing after it is judged.
    pub clock: DateTime<Utc>,
    /// What the clock is.
    pub clock_basis: ClockBasis,
    /// What the job's files say.
    pub job: JobFacts,
    /// The air pressure used.
    pub pressure: PressureUsed,
    /// The verdict over all chambers: `not_met` if any is, else `not_shown` if any is or there is none, else `met`.
    pub verdict: GoalVerdict,
    /// Civil days of the job's zone, in order.
    pub days: Vec<Day>,
    /// Loggers, by id, one entry per placement.
    pub loggers: Vec<LoggerFacts>,
    /// Biases measured by loggers side by side, in the job's order.
    pub side_by_side: Vec<BiasMeasured>,
    /// Daily values of each air, by day, then place.
    pub daily_air: Vec<DailyAir>,
    /// Daily differences between airs, by day, then chamber.
    pub daily_differences: Vec<DailyDifference>,
    /// Air readings taken by hand, by time.
    pub hand_air: Vec<HandAir>,
    /// Air across each dehumidifier, by unit.
    pub unit_air: Vec<UnitAir>,
    /// Chambers, in the job's order.
    pub chambers: Vec<ChamberEvidence>,
    /// Points, in the job's order.
    pub points: Vec<PointEvidence>,
    /// Units, by name.
    pub equipment: Vec<UnitEvidence>,
    /// Totals per kind of equipment.
    pub equipment_totals: Vec<KindTotals>,
    /// From when, and on which readings, equipment could leave: one statement per chamber with equipment.
    pub releases: Vec<ReleaseStatement>,
    /// Dated facts, by start, then kind; numbered from 1.
    pub findings: Vec<Finding>,
    /// What the record lacks, with what to add.
    pub missing: Vec<Missing>,
    /// Recorded pauses, by start.
    pub pauses: Vec<PauseFacts>,
    /// Hour meters beside running hours, by unit, then time.
    pub hour_meters: Vec<HourMeterFacts>,
    /// What a drying log is expected to hold, by day, then chamber; only days with drying equipment.
    pub completeness: Vec<DayRecord>,
    /// Mould exposure of logged surfaces, in the order of `loggers`.
    pub mould: Vec<MouldExposure>,
    /// Initial sizing by chamber, then kind: ranges, no verdict.
    pub sizing: Vec<CalledFor>,
    /// The first instants at which each judged unit could have gone, by unit.
    pub earliest_leaves: Vec<EarliestLeave>,
    /// Visits, by time.
    pub visits: Vec<VisitFacts>,
    /// What was assumed because nothing was stated.
    pub assumptions: Vec<Assumption>,
}

/// The evidence with the full-resolution tracks that charts and the sample table need.
#[derive(Debug, Clone, PartialEq)]
pub struct Analysis {
    /// What the record shows.
    pub evidence: Evidence,
    /// Air at every sample: one track per placement, in the order of `evidence.loggers`.
    pub tracks: Vec<AirTrack>,
    /// Grain depression of each unit with inlet and outlet air, by unit.
    pub depressions: Vec<DepressionTrack>,
}
