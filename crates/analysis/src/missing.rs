//! What the record lacks, each with what to add and where.

use grainfall_job::{Job, PressureSource, Purpose};
use grainfall_record::{Ledger, Outcome};
use grainfall_words::say;

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
    let words = job.zone.words;
    let mut missing = Vec::new();
    let mut add = |text: String, remedy: String| missing.push(Missing { text, remedy });
    for input in &ledger.inputs {
        if let Outcome::Refused { reason, remedy } = &input.outcome {
            add(say!(words, "lacking.was_not_read", path = input.path, reason = reason), remedy.clone());
        }
    }
    if !job.files.iter().any(|file| file == "job.toml") {
        add(
            say!(words, "lacking.there_is_no_job_toml").to_owned(),
            say!(words, "lacking.run_grainfall_start_on_this").to_owned(),
        );
    }
    if !job.zone.stated {
        add(
            say!(words, "lacking.the_time_zone_is_not").to_owned(),
            say!(words, "lacking.job_toml_job_time_zone").to_owned(),
        );
    }
    if job.pressure == PressureSource::NotStated && pressure == PressureBasis::SeaLevel {
        add(
            say!(words, "lacking.neither_elevation_nor_pressure_is").to_owned(),
            say!(words, "lacking.job_toml_job_elevation_620").to_owned(),
        );
    }
    if job.pressure_accuracy.is_some() && pressure == PressureBasis::SeaLevel {
        add(
            say!(words, "lacking.pressure_accuracy_is_of_nothing").to_owned(),
            say!(words, "lacking.state_or_log_the_pressure").to_owned(),
        );
    }
    if job.loss_at.is_none() {
        add(
            say!(words, "lacking.the_time_of_the_loss").to_owned(),
            say!(words, "lacking.job_toml_job_loss_at").to_owned(),
        );
    }
    for logger in loggers.iter().filter(|logger| logger.place == TrackPlace::Unplaced) {
        add(
            say!(words, "lacking.logger_is_not_placed", logger = logger.logger),
            say!(words, "lacking.job_toml_logger_place_affected", logger = selector(ledger, &logger.logger)),
        );
    }
    for place in [TrackPlace::Affected, TrackPlace::Unaffected, TrackPlace::Outdoor] {
        let hand = job.air_readings.iter().any(|reading| reading.place.place.word() == place.word());
        if !loggers.iter().any(|logger| logger.place == place) && !hand {
            add(
                say!(words, "lacking.no_air_is_on_the", place = place.said(words)),
                say!(words, "lacking.a_logger_with_place_or", word = place.word()),
            );
        }
    }
    if !points.iter().any(|point| !point.reference) {
        add(
            say!(words, "lacking.no_metered_point_is_on").to_owned(),
            say!(words, "lacking.job_toml_point_id_chamber").to_owned(),
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
                match point.readings.iter().any(|reading| reading.decides) {
                    true => say!(words, "lacking.has_too_few_readings_to", point = point.id, why = point.why),
                    false => say!(words, "lacking.has_no_reading_that_decides", point = point.id, why = point.why),
                },
                say!(words, "lacking.readings_csv_time_value", point = point.id, scale = point.scale),
            );
        }
    }
    if job.equipment.is_empty() {
        add(
            say!(words, "lacking.no_equipment_is_on_the").to_owned(),
            say!(words, "lacking.job_toml_equipment_unit_kind").to_owned(),
        );
    }
    for stay in job.equipment.iter().filter(|stay| stay.purpose == Purpose::Drying && stay.kind.is_dehumidifier()) {
        let air = unit_air.iter().find(|air| air.unit == stay.unit);
        if let Some(why) = air.and_then(|air| air.why_not.clone()) {
            add(
                say!(words, "lacking.no_grain_depression", unit = stay.unit, why = why),
                say!(words, "lacking.a_logger_with_place_outlet", unit = stay.unit),
            );
        } else if stay.airflow.is_none() {
            add(
                say!(words, "lacking.its_airflow_is_not_stated", unit = stay.unit),
                say!(words, "lacking.job_toml_equipment_unit_airflow", unit = stay.unit),
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
