//! What the record lacks, each with what to add and where.

use grainfall_job::{Job, PressureSource, Purpose};
use grainfall_record::{Ledger, Outcome};

use crate::evidence::{GoalVerdict, LoggerFacts, Missing, PointEvidence, PressureBasis, TrackPlace, UnitAir};
use crate::material::goal;

/// Everything missing, in the order a person would fill it in.
pub(crate) fn list(
    job: &Job,
    ledger: &Ledger,
    loggers: &[LoggerFacts],
    points: &[PointEvidence],
    unit_air: &[UnitAir],
    pressure: PressureBasis,
) -> Vec<Missing> {
    let mut missing = Vec::new();
    let mut add = |text: String, remedy: String| missing.push(Missing { text, remedy });
    for input in &ledger.inputs {
        if let Outcome::Refused { reason, remedy } = &input.outcome {
            add(format!("{} was not read: {reason}", input.path), remedy.clone());
        }
    }
    if !job.files.iter().any(|file| file == "job.toml") {
        add(
            "there is no job.toml: where loggers stood, goals and equipment are unknown".to_owned(),
            "run `grainfall start` on this folder for a first one made from its exports".to_owned(),
        );
    }
    if !job.zone.stated {
        add(
            "the time zone is not stated: days and times are shown in UTC".to_owned(),
            "job.toml, [job]: time_zone = \"America/Chicago\" (an IANA zone name)".to_owned(),
        );
    }
    if job.pressure == PressureSource::NotStated && pressure == PressureBasis::SeaLevel {
        add(
            "neither elevation nor pressure is stated: the standard atmosphere at sea level is used".to_owned(),
            "job.toml, [job]: elevation = \"620 ft\" (or pressure = \"29.3 inHg\")".to_owned(),
        );
    }
    if job.loss_at.is_none() {
        add(
            "the time of the loss is not stated: points are followed from the start of the record".to_owned(),
            "job.toml, [job]: loss_at = \"2025-10-05 18:30\"".to_owned(),
        );
    }
    for logger in loggers.iter().filter(|logger| logger.place == TrackPlace::Unplaced) {
        add(
            format!("logger {} is not placed", logger.logger),
            format!(
                "job.toml: [[logger]] {} place = \"affected\" (or unaffected, outdoor, inlet, outlet, ...) chamber = \"A\"",
                selector(ledger, &logger.logger)
            ),
        );
    }
    for place in [TrackPlace::Affected, TrackPlace::Unaffected, TrackPlace::Outdoor] {
        let hand = job.air_readings.iter().any(|reading| reading.place.place.word() == place.word());
        if !loggers.iter().any(|logger| logger.place == place) && !hand {
            add(
                format!("no {} air is on the record", place.word()),
                format!("a logger with place = \"{}\", or hand readings in air.csv", place.word()),
            );
        }
    }
    if !points.iter().any(|point| !point.reference) {
        add(
            "no metered point is on the record, so no goal can be shown".to_owned(),
            "job.toml: [[point]] id, chamber, material, scale, goal or dry_standard; readings in readings.csv"
                .to_owned(),
        );
    }
    for point in points.iter().filter(|point| !point.reference && point.ended.is_none()) {
        if point.goal.is_none() {
            if let Some(written) = job.points.iter().find(|written| written.id == point.id) {
                let (why, to_add) = goal::why_none(job, written);
                add(format!("{}: {why}", point.id), to_add);
            }
        } else if point.verdict == GoalVerdict::NotShown {
            add(
                format!("{} has no reading that decides on its goal: {}", point.id, point.why),
                format!("readings.csv: time, {}, value, {}", point.id, point.scale),
            );
        }
    }
    if job.equipment.is_empty() {
        add(
            "no equipment is on the record".to_owned(),
            "job.toml: [[equipment]] unit, kind, chamber, placed, removed (or equipment.csv)".to_owned(),
        );
    }
    for stay in job.equipment.iter().filter(|stay| stay.purpose == Purpose::Drying && stay.kind.is_dehumidifier()) {
        let air = unit_air.iter().find(|air| air.unit == stay.unit);
        if let Some(why) = air.and_then(|air| air.why_not.clone()) {
            add(
                format!("{}: no grain depression: {why}", stay.unit),
                format!("a logger with place = \"outlet\", unit = \"{}\" (and one at its inlet)", stay.unit),
            );
        } else if stay.airflow.is_none() {
            add(
                format!("{}: its airflow is not stated, so the water it removed cannot be computed", stay.unit),
                format!("job.toml, [[equipment]] unit = \"{}\": airflow = \"300 cfm\"", stay.unit),
            );
        }
    }
    missing.dedup();
    missing
}

fn selector(ledger: &Ledger, id: &str) -> String {
    let Some(logger) = ledger.logger(id) else { return format!("serial = \"{id}\"") };
    match (&logger.serial, &logger.channel) {
        (Some(serial), _) => format!("serial = \"{serial}\""),
        (None, Some(channel)) => {
            format!("file = \"{}\" channel = \"{channel}\"", logger.files.first().map_or("", String::as_str))
        }
        (None, None) => format!("file = \"{}\"", logger.files.first().map_or("", String::as_str)),
    }
}
