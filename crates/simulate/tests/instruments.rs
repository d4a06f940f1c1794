//! Instruments err as stated and no more, and their flaws are where the scenario puts them.

#![allow(clippy::unwrap_used, reason = "what fails here fails a test")]

mod common;

use chrono::TimeDelta;
use common::{at, larch_with, unit};
use grainfall_psychrometrics::removal::{AirFlowAccuracy, removal};
use grainfall_psychrometrics::uncertainty::{
    Correlation, CoverageFactor, Measured, PressureAccuracy, SensorAccuracy, gpp_difference,
};
use grainfall_psychrometrics::{AirFlow, Celsius, MoistAir, Pascals, RelativeHumidity, Saturation};
use grainfall_simulate::instruments::{LoggerRecord, ReadValue, Sample};
use grainfall_simulate::scenario::{AirSource, Bias, TempUnit};
use grainfall_simulate::{Made, export};

fn celsius(record: &LoggerRecord, sample: &Sample) -> Option<f64> {
    let value = sample.temp.number()?;
    Some(match record.temp_unit {
        TempUnit::Celsius => value,
        TempUnit::Fahrenheit => (value - 32.0) / 1.8,
    })
}

#[test]
fn loggers_err_by_a_constant_within_their_limits_and_a_little_noise() {
    let made = larch_with(|_| {});
    for logger in &made.simulation.scenario().loggers {
        let record = made.record.logger(&logger.serial).unwrap();
        let mut temp_errors = Vec::new();
        let mut rh_errors = Vec::new();
        for sample in &record.samples {
            let truth = made.simulation.air(&logger.source, sample.time);
            temp_errors.extend(celsius(record, sample).map(|temp| temp - truth.temp_c));
            rh_errors.extend(sample.rh.number().map(|rh| rh - truth.rh_pct));
        }
        for (errors, limit) in [(&temp_errors, logger.temp_limit_k), (&rh_errors, logger.rh_limit_pct)] {
            #[allow(clippy::cast_precision_loss)]
            let mean = errors.iter().sum::<f64>() / errors.len() as f64;
            // The bias is drawn within 0.6 of the limit; the mean of hundreds of noisy samples is within 0.02 of it.
            assert!(mean.abs() <= 0.62 * limit, "{}: bias {mean} of {limit}", logger.serial);
            assert!(errors.iter().all(|error| error.abs() <= limit * 1.35), "{}: noise", logger.serial);
        }
    }
}

#[test]
fn meters_read_within_their_accuracy_and_in_steps_of_their_display() {
    let made = larch_with(|_| {});
    let scenario = made.simulation.scenario();
    let mut read = 0;
    for reading in &made.record.readings {
        let meter = scenario.meter(&reading.meter).unwrap();
        let truth = made.simulation.value(&reading.point, meter, reading.time);
        match reading.value {
            ReadValue::Measured(value) => {
                assert!((value - truth).abs() <= meter.accuracy + 1e-9, "{reading:?} for {truth}");
                let steps = value / meter.resolution;
                assert!((steps - steps.round()).abs() < 1e-6, "{reading:?}");
                read += 1;
            }
            ReadValue::Above(limit) => assert!(truth > limit - meter.accuracy, "{reading:?} for {truth}"),
            ReadValue::NoReading(_) => {}
        }
    }
    assert_eq!(
        read, 67,
        "8 visits of 8 points, 4 reference readings, one second spot, less one over range and one missed"
    );
}

#[test]
fn water_removed_by_the_logged_depression_agrees_with_the_truth_within_its_uncertainty() {
    let made = larch_with(|_| {});
    let pressure = Pascals::new(made.simulation.scenario().pressure_pa);
    for (name, inlet, outlet, flow) in [("D1", "B-301", "B-302", 250.0), ("D2", "K8", "K9", 150.0)] {
        let (inlet, outlet) = (made.record.logger(inlet).unwrap(), made.record.logger(outlet).unwrap());
        let air = |record: &LoggerRecord, sample: &Sample| {
            MoistAir::from_temp_and_rh(
                Celsius::new(celsius(record, sample)?),
                RelativeHumidity::from_percent(sample.rh.number()?).ok()?,
                pressure,
                Saturation::LiquidWater,
            )
            .ok()
        };
        for period in &unit(&made.truth, name).periods {
            let (mut rate, mut expanded, mut count) = (0.0, 0.0, 0.0);
            for (before, after) in inlet.samples.iter().zip(&outlet.samples) {
                assert_eq!(before.time, after.time);
                let running = made.simulation.running(name, before.time);
                if !running || before.time < period.from || before.time >= period.to {
                    continue;
                }
                let (Some(entering), Some(leaving)) = (air(inlet, before), air(outlet, after)) else { continue };
                let sensor = SensorAccuracy::assumed();
                let depression = gpp_difference(
                    Measured { air: &entering, sensor },
                    Measured { air: &leaving, sensor },
                    Correlation::INDEPENDENT,
                    &PressureAccuracy::Neglected,
                );
                let exact = PressureAccuracy::Neglected;
                let removed =
                    removal(AirFlow::from_cfm(flow), AirFlowAccuracy::Neglected, &entering, &depression, &exact)
                        .unwrap();
                rate += removed.rate.get();
                expanded += removed.expanded(CoverageFactor::K2).get();
                count += 1.0;
            }
            let days = period.ran_h / 24.0;
            let (logged_kg, within_kg) = (rate / count * days, expanded / count * days);
            let true_kg = period.removed_kg.unwrap();
            // The uncertainty of a mean is not divided by the root of the count: what the loggers err by stays the same.
            assert!(
                (logged_kg - true_kg).abs() <= within_kg,
                "{name} {}: {logged_kg} +- {within_kg}, truly {true_kg}",
                period.number
            );
        }
    }
}

#[test]
fn condensate_measured_agrees_with_the_water_removed() {
    let made = larch_with(|_| {});
    let measured: f64 = made.record.condensate.iter().filter(|entry| entry.unit == "D1").map(|entry| entry.pints).sum();
    let last = made.record.condensate.iter().rfind(|entry| entry.unit == "D1").unwrap().time;
    // A US pint of water at 80 F weighs 1.0396 lb (CoolProp), a pound 0.45359237 kg.
    let true_pints = made.simulation.removed_kg("D1", at("06 11:00"), last) / (1.0396 * 0.453_592_37);
    // Each bucket is misread by at most 2 %.
    assert!((measured / true_pints - 1.0).abs() < 0.021, "{measured} and {true_pints} pints");
}

#[test]
fn hour_meters_show_the_stop() {
    let made = larch_with(|_| {});
    let hours: Vec<_> = made.record.hour_meters.iter().map(|entry| (entry.time, entry.hours)).collect();
    let elapsed = |index: usize| (hours[index + 1].0 - hours[index].0).as_seconds_f64() / 3600.0;
    let missing = |index: usize| elapsed(index) - (hours[index + 1].1 - hours[index].1);
    // Both readings are cut to tenths of an hour.
    assert!((missing(0) - 5.333).abs() < 0.11, "{} h", missing(0));
    assert!((1..hours.len() - 1).all(|index| missing(index).abs() < 0.11));
}

#[test]
fn flaws_are_where_the_scenario_puts_them() {
    let made = larch_with(|_| {});
    let logger = |serial: &str| made.truth.loggers.iter().find(|logger| logger.serial == serial).unwrap();
    let k7 = made.record.logger("K7").unwrap();
    let longest = k7.samples.windows(2).map(|pair| pair[1].time - pair[0].time).max().unwrap();
    assert_eq!(longest, TimeDelta::minutes(105), "the samples of 13:30 to 14:45 are missing");
    assert_eq!((logger("G-1043").rows - logger("G-1043").samples, logger("K8").rows - logger("K8").samples), (2, 1));
    assert_eq!(made.truth.loggers.iter().map(|logger| logger.words).sum::<usize>(), 2);
}

#[test]
fn one_more_reading_leaves_all_other_readings_as_they_were() {
    let made = larch_with(|_| {});
    let more = larch_with(|scenario| {
        let again = scenario.visits[1].readings[0].clone();
        scenario.visits[1].readings.push(grainfall_simulate::scenario::PlannedReading { after_min: 50, ..again });
    });
    let others: Vec<_> = more
        .record
        .readings
        .iter()
        .filter(|reading| reading.time != more.simulation.scenario().visits[1].at + TimeDelta::minutes(50))
        .collect();
    assert_eq!(others, made.record.readings.iter().collect::<Vec<_>>());
    assert_eq!(more.record.loggers, made.record.loggers);
}

/// Rows of an export that hold a time, by its file.
fn text(made: &Made, file: &str) -> String {
    let files = export::job_files(made.simulation.scenario(), &made.record);
    files.into_iter().find(|(path, _)| path == file).unwrap().1
}

#[test]
fn a_clock_that_is_ahead_and_a_swapped_logger_change_the_export_and_not_the_truth() {
    let plain = larch_with(|_| {});
    let made = larch_with(|scenario| {
        scenario.loggers[0].clock_ahead_s = 3600;
        scenario.loggers[1].stated = AirSource::Chamber("A".to_owned());
        scenario.loggers[2].bias = Bias::Given { temp_k: 0.0, rh_pct: 6.0 };
    });
    assert!(text(&plain, "loggers/outdoor.csv").lines().nth(6).unwrap().starts_with("10/06/2025 11:00 AM,"));
    assert!(text(&made, "loggers/outdoor.csv").lines().nth(6).unwrap().starts_with("10/06/2025 12:00 PM,"));
    assert!(text(&made, "job.toml").contains("serial = \"G-1042\"\nplace = \"affected\"\nchamber = \"A\"\n"));
    let rh = |made: &Made| made.record.logger("G-1043").unwrap().samples[300].rh.number().unwrap();
    assert!((3.9..8.0).contains(&(rh(&made) - rh(&plain))));
    assert_eq!((&made.truth.air, &made.truth.units), (&plain.truth.air, &plain.truth.units));
    let swapped = made.truth.loggers.iter().find(|logger| logger.serial == "G-1042").unwrap();
    assert_eq!((swapped.measured.as_str(), swapped.stated.as_str()), ("unaffected", "chamber A"));
}

#[test]
fn a_frozen_logger_repeats_its_last_value() {
    let made = larch_with(|scenario| scenario.loggers[2].flaws.frozen = Some((at("09 06:00"), at("09 12:00"))));
    let samples = &made.record.logger("G-1043").unwrap().samples;
    let frozen: Vec<_> =
        samples.iter().filter(|sample| (at("09 06:00")..at("09 12:00")).contains(&sample.time)).collect();
    assert_eq!(frozen.len(), 24);
    assert!(frozen.windows(2).all(|pair| pair[0].temp == pair[1].temp && pair[0].rh == pair[1].rh));
}
