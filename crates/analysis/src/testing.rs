//! Points, readings and whole jobs for the tests of this crate.

use grainfall_job::{Job, Point, PointRole, Reading, ReadingValue, Scale};
use grainfall_record::{LoggerSeries, RowRef, TidyFrame};

use crate::air::testing::{at, ledger};
use crate::evidence::{Evidence, Finding, FindingKind};
use crate::{Settings, analyse};

/// A wood point in chamber `A` with its own goal, % MC.
pub(crate) fn point(id: &str, goal: f64) -> Point {
    Point {
        id: id.into(),
        chamber: Some("A".into()),
        moved: Vec::new(),
        location: None,
        depth: None,
        material: None,
        scale: Scale::WoodMc,
        role: PointRole::Drying,
        dry_standard: None,
        goal: Some(grainfall_job::GoalValue { value: goal, scale: None }),
        logger: None,
        ended: None,
        line: RowRef::new("job.toml", 15),
    }
}

/// A reading of wood by hand, % MC, with an unnamed meter.
pub(crate) fn reading(time: &str, point: &str, value: f64) -> Reading {
    Reading {
        time: at(time),
        point: point.into(),
        value: ReadingValue::Measured(value),
        scale: Scale::WoodMc,
        meter: None,
        surface_temp: None,
        by: None,
        note: None,
        line: RowRef::new("readings.csv", 2),
    }
}

/// The evidence of a job with these series at a clock.
pub(crate) fn evidence(job: &Job, series: Vec<LoggerSeries>, clock: &str) -> Evidence {
    let ledger = ledger(&series);
    let settings = Settings { as_of: Some(at(clock)), folder: "invented".into() };
    analyse(job, &TidyFrame::new(series).unwrap(), &ledger, &settings).unwrap().evidence
}

/// Findings of one kind.
pub(crate) fn of_kind(evidence: &Evidence, kind: FindingKind) -> Vec<&Finding> {
    evidence.findings.iter().filter(|finding| finding.kind == kind).collect()
}
