//! What people and loggers write down: the truth through instruments that err.
//!
//! Every instrument has random streams of its own, so one more reading leaves all others as they were. Errors of
//! readings by hand stay inside the stated accuracy; a logger's constant bias is drawn inside 0.6 of its limits (or given by
//! the scenario), with small noise and the rounding of its export on top.

mod hand;
mod logger;

pub use hand::{AirReading, Condensate, HourMeter, MaterialReading, ReadValue};
pub use logger::{Cell, LoggerRecord, Sample};

use crate::simulation::Simulation;

/// Everything recorded of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Loggers, in the scenario's order.
    pub loggers: Vec<LoggerRecord>,
    /// Material readings, by time.
    pub readings: Vec<MaterialReading>,
    /// Air readings by hand, by time.
    pub air: Vec<AirReading>,
    /// Condensate measured, by time.
    pub condensate: Vec<Condensate>,
    /// Hour meters read, by time.
    pub hour_meters: Vec<HourMeter>,
}

impl Record {
    /// Records a simulated job.
    #[must_use]
    pub fn of(simulation: &Simulation) -> Self {
        let mut readings = hand::material_readings(simulation);
        let mut air = hand::air_readings(simulation);
        readings.sort_by_key(|reading| reading.time);
        air.sort_by_key(|reading| reading.time);
        Self {
            loggers: simulation.scenario().loggers.iter().map(|logger| logger::record(simulation, logger)).collect(),
            readings,
            air,
            condensate: hand::condensate(simulation),
            hour_meters: hand::hour_meters(simulation),
        }
    }

    /// The record of one logger.
    #[must_use]
    pub fn logger(&self, serial: &str) -> Option<&LoggerRecord> {
        self.loggers.iter().find(|logger| logger.serial == serial)
    }
}

/// Degrees Fahrenheit of degrees Celsius.
pub(crate) fn fahrenheit(temp_c: f64) -> f64 {
    temp_c * 1.8 + 32.0
}

/// A value rounded to a multiple of a step.
pub(crate) fn to_step(value: f64, step: f64) -> f64 {
    // The second rounding takes off what the product leaves behind its last decimal: 82 x 0.1 is 8.200000000000001.
    ((value / step).round() * step * 1e4).round() / 1e4
}
