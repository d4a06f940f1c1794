//! Findings: dated facts with their evidence, one kind a file. A new kind is a new file and one line in [`all`].

mod air_movers_category_3;
mod air_stays_wetter;
mod billed_differs;
mod chamber_opened;
mod clock_offset;
mod clock_reset;
mod condensate_outside_stay;
mod day_without_reading;
mod equipment_after_goals;
mod goal_below_equilibrium;
mod hour_meter_backwards;
mod hour_meter_differs;
mod known;
mod logger_bias;
mod logger_dead;
mod logger_frozen;
mod logger_gap;
mod logger_misplaced;
mod logger_silent;
mod logger_unplaced;
mod loggers_swapped;
mod meter_changed;
mod neighbours;
mod outside_working_range;
mod over_dried;
mod pause_contradicted;
mod point_ended;
mod reading_implausible;
mod readings_stop_early;
mod reopened;
mod rewetting;
mod rows_contradict;
mod samples_refused;
mod scale_not_of_goal;
mod stall;
mod surface_above_critical;
mod surface_dew_point;
mod unit_stopped;

use chrono::{DateTime, Utc};
use grainfall_job::{Job, Zone};
use grainfall_record::Ledger;
use grainfall_words::Words;

use crate::air::hours::HourMeterCheck;
use crate::air::left_out::LeftOut;
use crate::evidence::{
    AirTrack, ChamberEvidence, DailyDifference, Day, Finding, FindingKind, LoggerFacts, MouldExposure, PointEvidence,
    SourceRow, Subject, UnitAir, UnitEvidence,
};
use crate::mould::surface::SurfaceAir;
pub(crate) use known::Known;

/// What findings are looked for in.
pub(crate) struct Record<'a> {
    pub job: &'a Job,
    pub ledger: &'a Ledger,
    pub clock: DateTime<Utc>,
    pub days: &'a [Day],
    pub loggers: &'a [LoggerFacts],
    pub tracks: &'a [AirTrack],
    pub differences: &'a [DailyDifference],
    pub left_out: &'a [LeftOut],
    pub hour_meters: &'a [HourMeterCheck],
    pub unit_air: &'a [UnitAir],
    pub chambers: &'a [ChamberEvidence],
    pub surfaces: &'a [SurfaceAir],
    pub mould: &'a [MouldExposure],
    pub points: &'a [PointEvidence],
    pub units: &'a [UnitEvidence],
    /// Starts empty.
    pub known: Known,
}

impl Record<'_> {
    pub fn zone(&self) -> Zone {
        self.job.zone
    }

    pub fn words(&self) -> Words {
        self.job.zone.words
    }
}

/// A finding before it has its number.
#[derive(Clone)]
pub(crate) struct Draft {
    pub kind: FindingKind,
    pub subject: Subject,
    pub from: DateTime<Utc>,
    pub to: Option<DateTime<Utc>>,
    pub text: String,
    pub threshold: String,
    pub rows: Vec<SourceRow>,
}

/// Every finding of the record, by start, then kind, then subject; numbered from 1.
pub(crate) fn all(record: &Record<'_>) -> Vec<Finding> {
    let kinds: [fn(&Record<'_>) -> Vec<Draft>; 36] = [
        air_movers_category_3::find,
        air_stays_wetter::find,
        billed_differs::find,
        chamber_opened::find,
        clock_offset::find,
        clock_reset::find,
        condensate_outside_stay::find,
        day_without_reading::find,
        equipment_after_goals::find,
        goal_below_equilibrium::find,
        hour_meter_backwards::find,
        hour_meter_differs::find,
        logger_bias::find,
        logger_dead::find,
        logger_frozen::find,
        logger_gap::find,
        logger_misplaced::find,
        logger_silent::find,
        logger_unplaced::find,
        loggers_swapped::find,
        meter_changed::find,
        outside_working_range::find,
        over_dried::find,
        pause_contradicted::find,
        point_ended::find,
        reading_implausible::find,
        readings_stop_early::find,
        reopened::find,
        rewetting::find,
        rows_contradict::find,
        samples_refused::find,
        scale_not_of_goal::find,
        stall::find,
        surface_above_critical::find,
        surface_dew_point::find,
        unit_stopped::find,
    ];
    let mut drafts: Vec<Draft> = kinds.iter().flat_map(|find| find(record)).collect();
    drafts.sort_by(|a, b| (a.from, a.kind, &a.subject, &a.text).cmp(&(b.from, b.kind, &b.subject, &b.text)));
    (1..)
        .zip(drafts)
        .map(|(number, draft)| Finding {
            number,
            kind: draft.kind,
            subject: draft.subject,
            from: draft.from,
            to: draft.to,
            text: draft.text,
            threshold: draft.threshold,
            rows: draft.rows,
        })
        .collect()
}
