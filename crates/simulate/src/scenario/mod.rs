//! A scenario: building, weather, equipment, instruments, visits and what goes wrong, as plain data.
//!
//! Everything a later test needs to vary is a field here; nothing in the physics knows a scenario by name.

mod building;
mod check;
mod equipment;
mod instruments;
mod job;

pub use building::{Chamber, Event, Loading, Material, Point, Role, Unaffected, Weather, Zone};
pub use equipment::{DehumidifierModel, Kind, Machine, Pause, Stay};
pub use instruments::{
    AirSource, Bias, Export, Flag, Flaws, Logger, Meter, MeterResponse, Scale, Shape, StampClock, TempUnit, TextColumn,
};
pub use job::{ChamberSheet, DayRule, Ended, Goal, JobSheet, MaterialSheet, PlannedAir, PlannedReading, Visit, What};

use chrono::{DateTime, Utc};

/// A whole invented job.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Name of the job's folder.
    pub name: String,
    /// Seed of everything random in it.
    pub seed: u64,
    /// Step of the simulation, s; a divisor of 60.
    pub step_s: u32,
    /// First instant simulated: the loss, on a whole minute.
    pub from: DateTime<Utc>,
    /// Last instant simulated; it is also the clock of the truth.
    pub to: DateTime<Utc>,
    /// Air pressure, Pa, the same throughout.
    pub pressure_pa: f64,
    /// What the technician writes about the job.
    pub job: JobSheet,
    /// Outdoor air.
    pub weather: Weather,
    /// The part of the building that stayed dry.
    pub unaffected: Unaffected,
    /// Drying chambers.
    pub chambers: Vec<Chamber>,
    /// Kinds of material as the job lists them.
    pub materials: Vec<MaterialSheet>,
    /// Metered points, each standing for the wet area around it.
    pub points: Vec<Point>,
    /// Equipment, one entry per stay.
    pub stays: Vec<Stay>,
    /// Recorded stops.
    pub pauses: Vec<Pause>,
    /// What happens unplanned.
    pub events: Vec<Event>,
    /// Loggers.
    pub loggers: Vec<Logger>,
    /// Files the loggers are read out to.
    pub exports: Vec<Export>,
    /// Moisture meters.
    pub meters: Vec<Meter>,
    /// Visits.
    pub visits: Vec<Visit>,
}

impl Scenario {
    /// A chamber by its id.
    #[must_use]
    pub fn chamber(&self, id: &str) -> Option<&Chamber> {
        self.chambers.iter().find(|chamber| chamber.id == id)
    }

    /// A point by its id.
    #[must_use]
    pub fn point(&self, id: &str) -> Option<&Point> {
        self.points.iter().find(|point| point.id == id)
    }

    /// A meter by its id.
    #[must_use]
    pub fn meter(&self, id: &str) -> Option<&Meter> {
        self.meters.iter().find(|meter| meter.id == id)
    }

    /// Names of the units in the order of their first stay in the list.
    #[must_use]
    pub fn units(&self) -> Vec<&str> {
        let mut units: Vec<&str> = Vec::new();
        for stay in &self.stays {
            if !units.contains(&stay.unit.as_str()) {
                units.push(&stay.unit);
            }
        }
        units
    }
}
