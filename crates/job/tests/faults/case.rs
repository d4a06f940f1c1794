//! A job as texts, and the faults it shows.

use grainfall_job::{JobFiles, parse};

/// The texts of a job; empty for a file that is not there.
#[derive(Debug, Clone, Copy, Default)]
pub struct Case {
    /// `job.toml`.
    pub job_toml: &'static str,
    /// `readings.csv`.
    pub readings: &'static str,
    /// `air.csv`.
    pub air: &'static str,
    /// `visits.csv`.
    pub visits: &'static str,
    /// `equipment.csv`.
    pub equipment: &'static str,
}

impl Case {
    /// The texts as files.
    pub fn files(self) -> JobFiles {
        let text = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        JobFiles {
            job_toml: text(self.job_toml),
            readings: text(self.readings),
            air: text(self.air),
            visits: text(self.visits),
            equipment: text(self.equipment),
        }
    }

    /// Asserts every message, one a line.
    pub fn shows(self, expected: &str) {
        match parse(&self.files()) {
            Ok(job) => panic!("no fault in {job:#?}"),
            Err(faults) => assert_eq!(faults.to_string(), expected),
        }
    }
}
