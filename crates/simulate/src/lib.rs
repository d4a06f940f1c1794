//! An invented wet building: seeded physics, instruments that err, and the truth to test against.
//!
//! What the crate answers: what a job folder looks like when everything about the building is known, and what a program
//! that reads the folder must say about it. A scenario is run to true states, the states are seen through instruments
//! that err, and two things come out: the folder a technician would have, and the [`Truth`].
//!
//! ```
//! use grainfall_simulate::{Made, scenarios};
//!
//! let made = Made::from_scenario(scenarios::larch_street()?)?;
//! // The water that left the materials is all accounted for.
//! assert!(made.simulation.balance().residual_kg().abs() < 1e-9 * made.simulation.balance().removed_kg);
//! // The large chamber met its goals by the last visit.
//! assert_eq!(made.truth.chambers[0].chamber, "A");
//! assert!(made.truth.chambers[0].met_at.is_some());
//! # Ok::<(), grainfall_simulate::Error>(())
//! ```
//!
//! Modules in reading order:
//! 1. [`scenario`]: building, equipment, instruments, visits and events as plain data;
//! 2. [`scenarios`]: the scenarios there are, one file each; [`generate`]: scenarios of any size from a seed;
//! 3. [`physics`]: the true building, with the model and its sources;
//! 4. [`simulation`]: a scenario that has been run;
//! 5. [`instruments`]: what loggers and people write down;
//! 6. [`export`]: the job folder;
//! 7. [`truth`]: true states and due answers, with the rules as read here;
//! 8. [`rng`], [`clock`]: random streams and local times.
//!
//! Left out: reading job folders and judging them. The rules in [`truth`] are written on their own so that they can
//! contradict a program that judges; nothing here uses the crates that read and judge.

pub mod clock;
pub mod export;
pub mod generate;
pub mod instruments;
pub mod physics;
pub mod rng;
pub mod scenario;
pub mod scenarios;
pub mod simulation;
pub mod truth;

mod error;
mod moist;

use std::path::Path;

pub use error::Error;
pub use instruments::Record;
pub use scenario::Scenario;
pub use simulation::Simulation;
pub use truth::Truth;

/// A scenario taken all the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// True states.
    pub simulation: Simulation,
    /// What was written down.
    pub record: Record,
    /// The truth and the answers due.
    pub truth: Truth,
}

impl Made {
    /// Runs, records and judges a scenario.
    ///
    /// # Errors
    /// Those of [`Scenario::check`].
    pub fn from_scenario(scenario: Scenario) -> Result<Self, Error> {
        let simulation = Simulation::run(scenario)?;
        let record = Record::of(&simulation);
        let truth = Truth::of(&simulation, &record);
        Ok(Self { simulation, record, truth })
    }

    /// Writes the job folder `parent/NAME` and beside it `parent/NAME.truth.json`.
    ///
    /// # Errors
    /// [`Error::Write`] when a file cannot be written, [`Error::Json`] when the truth holds a number that is not finite.
    pub fn write(&self, parent: &Path) -> Result<(), Error> {
        let scenario = self.simulation.scenario();
        export::write_job(scenario, &self.record, &parent.join(&scenario.name))?;
        export::write(&parent.join(format!("{}.truth.json", scenario.name)), &self.truth.to_json()?)
    }
}
