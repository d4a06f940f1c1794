//! Simulated houses with what the program says of them: the truth is the simulator's, which shares no rule with it.

use std::path::Path;
use std::sync::{Arc, LazyLock};

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Evidence, Subject, TrackPlace};
use grainfall_simulate::scenario::{AirSource, Export, Logger, Point, Role, Scale, Scenario, Shape};
use grainfall_simulate::{Made, Record, export, scenarios};
use grainfall_tests::judge;

/// A house of which everything is known.
pub struct House {
    pub made: Made,
}

impl House {
    /// A scenario, run.
    pub fn of(scenario: Scenario) -> Self {
        Self { made: Made::from_scenario(scenario).unwrap() }
    }

    pub fn scenario(&self) -> &Scenario {
        self.made.simulation.scenario()
    }

    pub fn record(&self) -> &Record {
        &self.made.record
    }

    /// Its job as it was written down, judged.
    pub fn judged(&self) -> Arc<Evidence> {
        told(self.scenario(), self.record())
    }

    /// The record with something else written down than was read.
    pub fn recorded(&self, change: impl FnOnce(&mut Record)) -> Arc<Evidence> {
        let mut record = self.record().clone();
        change(&mut record);
        told(self.scenario(), &record)
    }

    /// The job with something else written in it than was so.
    pub fn written(&self, change: impl FnOnce(&mut Scenario)) -> Arc<Evidence> {
        let mut scenario = self.scenario().clone();
        change(&mut scenario);
        told(&scenario, self.record())
    }

    /// The files of the job changed.
    pub fn with_files(&self, change: impl FnOnce(&mut Vec<(String, String)>)) -> Arc<Evidence> {
        let mut files = export::job_files(self.scenario(), self.record());
        change(&mut files);
        judged(&files)
    }

    /// When a point was read, in order.
    pub fn read_at(&self, point: &str) -> Vec<DateTime<Utc>> {
        self.record().readings.iter().filter(|one| one.point == point).map(|one| one.time).collect()
    }

    /// The true value of a point on its meter's scale.
    pub fn truth(&self, point: &str, time: DateTime<Utc>) -> f64 {
        let meter = &self.scenario().point(point).unwrap().meter;
        self.made.simulation.value(point, self.scenario().meter(meter).unwrap(), time)
    }

    /// The logger that the job says measures an air.
    pub fn logger(&self, stated: &AirSource) -> &Logger {
        self.scenario().loggers.iter().find(|logger| logger.stated == *stated).unwrap()
    }

    /// First and last sample of a logger by its own clock.
    pub fn samples(&self, serial: &str) -> (DateTime<Utc>, DateTime<Utc>) {
        let samples = &self.record().logger(serial).unwrap().samples;
        (samples[0].stamp, samples[samples.len() - 1].stamp)
    }
}

/// A house in which nothing goes wrong, simulated once.
pub fn clean() -> &'static House {
    static CLEAN: LazyLock<House> = LazyLock::new(|| House::of(scenarios::clean(1).unwrap()));
    &CLEAN
}

/// What the program says of it.
pub fn clean_evidence() -> Arc<Evidence> {
    static JUDGED: LazyLock<Arc<Evidence>> = LazyLock::new(|| clean().judged());
    Arc::clone(&JUDGED)
}

fn told(scenario: &Scenario, record: &Record) -> Arc<Evidence> {
    judged(&export::job_files(scenario, record))
}

/// A job of these files, judged.
pub fn judged(files: &[(String, String)]) -> Arc<Evidence> {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        let path = folder.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap_or(Path::new("."))).unwrap();
        std::fs::write(path, text).unwrap();
    }
    Arc::new(judge(folder.path(), None).analysis.evidence)
}

/// The first drying point of wood.
pub fn wood(scenario: &mut Scenario) -> &mut Point {
    scenario.points.iter_mut().find(|point| point.role == Role::Drying && point.scale == Scale::Wood).unwrap()
}

/// A second logger beside the one of an air, with an export of its own.
pub fn beside(scenario: &mut Scenario, source: &AirSource) -> usize {
    let mut twin = scenario.loggers.iter().find(|logger| logger.source == *source).unwrap().clone();
    twin.serial = format!("{}X", twin.serial);
    let file = format!("loggers/{}.csv", twin.serial.to_lowercase());
    scenario.exports.push(Export { file, shape: Shape::PreambleComma, loggers: vec![twin.serial.clone()] });
    scenario.loggers.push(twin);
    scenario.loggers.len() - 1
}

/// The logger that the program has in a place at a unit.
pub fn at_unit(evidence: &Evidence, place: TrackPlace, unit: &str) -> Subject {
    let facts =
        evidence.loggers.iter().find(|facts| facts.place == place && facts.unit.as_deref() == Some(unit)).unwrap();
    Subject::Logger(facts.logger.clone())
}

/// The interval of a logger.
pub fn step(logger: &Logger) -> TimeDelta {
    TimeDelta::minutes(i64::from(logger.interval_min))
}

pub fn chamber(id: &str) -> Subject {
    Subject::Chamber(id.to_owned())
}

pub fn point(id: &str) -> Subject {
    Subject::Point(id.to_owned())
}

pub fn unit(id: &str) -> Subject {
    Subject::Unit(id.to_owned())
}

pub fn logger(id: &str) -> Subject {
    Subject::Logger(id.to_owned())
}
