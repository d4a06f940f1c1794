//! `readings.csv`, `air.csv` and `visits.csv`.

use super::line;
use crate::clock::wall;
use crate::instruments::{ReadValue, Record};
use crate::scenario::{AirSource, Scenario};

pub(super) fn readings(scenario: &Scenario, record: &Record) -> String {
    let mut text = line(&["time", "point", "value", "scale", "meter", "surface_temp_f", "by", "note"]);
    for reading in &record.readings {
        let (value, note) = match &reading.value {
            ReadValue::Measured(value) => (format!("{value:.*}", reading.decimals), reading.note.clone()),
            ReadValue::Above(limit) => (format!(">{limit}"), reading.note.clone()),
            ReadValue::NoReading(reason) => (String::new(), reason.clone()),
        };
        let surface = reading.surface_temp_f.map(|temp| format!("{temp:.1}")).unwrap_or_default();
        text += &line(&[
            &wall(scenario.job.zone, reading.time),
            &reading.point,
            &value,
            reading.scale.word(),
            &reading.meter,
            &surface,
            &reading.by,
            &note,
        ]);
    }
    text
}

pub(super) fn air(scenario: &Scenario, record: &Record) -> String {
    let mut text = line(&["time", "place", "chamber", "unit", "air_temp", "rh", "instrument", "by"]);
    for reading in &record.air {
        let (place, chamber, unit) = place(&reading.source);
        text += &line(&[
            &wall(scenario.job.zone, reading.time),
            place,
            chamber.unwrap_or(""),
            unit.unwrap_or(""),
            &format!("{:.1} F", reading.temp_f),
            &format!("{:.1} %", reading.rh_pct),
            "hygrometer H1",
            &reading.by,
        ]);
    }
    text
}

pub(super) fn visits(scenario: &Scenario) -> String {
    let mut text = line(&["time", "by", "credential", "instruments", "reason", "photos", "note"]);
    for visit in &scenario.visits {
        text += &line(&[
            &wall(scenario.job.zone, visit.at),
            &visit.by,
            &visit.credential,
            &visit.instruments,
            &visit.reason,
            &visit.photos,
            &visit.note,
        ]);
    }
    text
}

/// The job's words for a kind of air: place, chamber, unit.
pub(super) fn place(source: &AirSource) -> (&'static str, Option<&str>, Option<&str>) {
    match source {
        AirSource::Outdoor => ("outdoor", None, None),
        AirSource::Unaffected => ("unaffected", None, None),
        AirSource::Chamber(id) => ("affected", Some(id), None),
        AirSource::Inlet(unit) => ("inlet", None, Some(unit)),
        AirSource::Outlet(unit) => ("outlet", None, Some(unit)),
    }
}
