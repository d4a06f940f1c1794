//! Small jobs and series for the tests of this folder.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{
    Chamber, EquipmentKind, Job, LoggerPlacement, Pause, Place, PressureSource, Purpose, SensorStatement, Span, Stay,
};
use grainfall_psychrometrics::{AirFlow, Celsius, Pascals};
use grainfall_record::{FileTable, Ledger, LoggerRead, LoggerSelector, LoggerSeries, Quantity, RowRef, TidyFrame};

use super::AirAnalysis;

/// An instant from RFC 3339 text.
pub(crate) fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// Degrees Fahrenheit as degrees Celsius.
pub(crate) fn f(fahrenheit: f64) -> f64 {
    Celsius::from_fahrenheit(fahrenheit).get()
}

/// A job in UTC at 14.696 psia with one chamber, `A`, called `Kitchen`.
pub(crate) fn job() -> Job {
    let mut job = Job::empty();
    job.pressure = PressureSource::Stated(Pascals::from_psi(14.696));
    job.chambers = vec![chamber("A", "Kitchen")];
    job
}

/// A chamber.
pub(crate) fn chamber(id: &str, name: &str) -> Chamber {
    Chamber {
        id: id.into(),
        name: name.into(),
        floor_area: None,
        volume: None,
        span: Span::default(),
        parent: None,
        drying_from: None,
        before_drying_reason: None,
        air_goals: vec![],
        line: RowRef::new("job.toml", 5),
    }
}

/// A placement by serial number.
pub(crate) fn placement(serial: &str, place: Place) -> LoggerPlacement {
    LoggerPlacement {
        select: LoggerSelector::Serial(serial.into()),
        place: Some(place),
        chamber: None,
        unit: None,
        span: Span::default(),
        clock: None,
        hours: None,
        columns: BTreeMap::new(),
        accuracy: SensorStatement::default(),
        calibrated: None,
        bias: None,
        line: RowRef::new("job.toml", 10),
    }
}

/// A placement in chamber `A`.
pub(crate) fn in_a(serial: &str, place: Place) -> LoggerPlacement {
    LoggerPlacement { chamber: Some("A".into()), ..placement(serial, place) }
}

/// A placement at unit `D1`.
pub(crate) fn at_d1(serial: &str, place: Place) -> LoggerPlacement {
    LoggerPlacement { unit: Some("D1".into()), ..placement(serial, place) }
}

/// Unit `D1` in chamber `A`, 250 cfm.
pub(crate) fn d1(placed: &str, removed: Option<&str>) -> Stay {
    Stay {
        unit: "D1".into(),
        asset: None,
        kind: EquipmentKind::DehumidifierLowGrain,
        purpose: Purpose::Drying,
        chambers: vec!["A".into()],
        points: vec![],
        placed: at(placed),
        placed_by: None,
        placed_reason: None,
        removed: removed.map(at),
        removed_by: None,
        removed_reason: None,
        airflow: Some(AirFlow::from_cfm(250.0)),
        rated_capacity: None,
        billed_days: None,
        line: RowRef::new("job.toml", 20),
    }
}

/// A recorded pause of all units.
pub(crate) fn pause(from: &str, to: &str) -> Pause {
    Pause { from: at(from), to: at(to), units: vec![], reason: "power".into(), line: RowRef::new("job.toml", 30) }
}

/// A series at even steps: temperature, degC, and humidity, %; `None` where nothing was logged at all.
pub(crate) fn series(id: &str, start: &str, step_s: i64, air: &[Option<(f64, f64)>]) -> LoggerSeries {
    let held: Vec<(usize, (f64, f64))> = air.iter().enumerate().filter_map(|(i, a)| Some((i, (*a)?))).collect();
    let mut files = FileTable::default();
    let file = files.id(&format!("{id}.csv"));
    let start = at(start);
    LoggerSeries {
        logger: id.into(),
        time: held.iter().map(|(i, _)| start + TimeDelta::seconds(step_s * i64::try_from(*i).unwrap())).collect(),
        values: BTreeMap::from([
            (Quantity::AirTemp, held.iter().map(|(_, (t, _))| Some(*t)).collect()),
            (Quantity::RelativeHumidity, held.iter().map(|(_, (_, rh))| Some(*rh)).collect()),
        ]),
        file: vec![file; held.len()],
        row: held.iter().map(|(i, _)| *i as u64 + 2).collect(),
        file_table: Arc::new(files),
    }
}

/// A series that never changes.
pub(crate) fn steady(id: &str, start: &str, step_s: i64, count: usize, air: (f64, f64)) -> LoggerSeries {
    series(id, start, step_s, &vec![Some(air); count])
}

/// A ledger that knows these series by serial number and file.
pub(crate) fn ledger(series: &[LoggerSeries]) -> Ledger {
    let loggers = series
        .iter()
        .filter(|s| !s.is_empty())
        .map(|s| LoggerRead {
            id: s.logger.clone(),
            serial: Some(s.logger.clone()),
            channel: None,
            files: vec![format!("{}.csv", s.logger)],
            quantities: s.values.keys().copied().collect(),
            samples: s.len() as u64,
            first: s.time[0],
            last: s.time[s.len() - 1],
            interval_s: None,
            gaps: vec![],
            duplicates: vec![],
            conflicts: vec![],
            clock: "UTC".into(),
        })
        .collect();
    Ledger { inputs: vec![], loggers }
}

/// The air of a job with these series at a clock.
pub(crate) fn analyse(job: &Job, series: Vec<LoggerSeries>, clock: &str) -> AirAnalysis {
    let ledger = ledger(&series);
    super::analyse_air(job, &TidyFrame::new(series).unwrap(), &ledger, at(clock), None).unwrap()
}
