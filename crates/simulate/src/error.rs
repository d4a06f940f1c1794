//! Why a scenario cannot be simulated or written.

use std::path::PathBuf;

/// Why a scenario cannot be simulated or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A local time that cannot be read, does not exist in the zone, or exists twice.
    #[error(
        "`{text}` is not one instant in {zone}: write `YYYY-MM-DD HH:MM`, outside the hours a clock change skips or repeats"
    )]
    Time {
        /// The text.
        text: String,
        /// The zone's name.
        zone: String,
    },
    /// A scenario names something it does not have.
    #[error("scenario `{scenario}`: {by} names the {kind} `{id}`, which the scenario does not have")]
    Unknown {
        /// The scenario.
        scenario: String,
        /// The entry that names it.
        by: String,
        /// What is missing: chamber, point, unit, meter, logger.
        kind: &'static str,
        /// The id named.
        id: String,
    },
    /// A scenario whose numbers cannot be.
    #[error("scenario `{scenario}`: {what}")]
    Invalid {
        /// The scenario.
        scenario: String,
        /// What is wrong, and what is accepted.
        what: String,
    },
    /// A step so long that the explicit scheme would swing.
    #[error(
        "scenario `{scenario}`: `{node}` changes by {share:.2} of its distance to equilibrium in one step of {step_s} s, \
         at most {limit} is accepted: use a shorter step"
    )]
    Unstable {
        /// The scenario.
        scenario: String,
        /// The air or material that changes too fast.
        node: String,
        /// Share of the distance in one step.
        share: f64,
        /// The share accepted.
        limit: f64,
        /// The step.
        step_s: u32,
    },
    /// A state left the range of the moist-air or wood equations.
    #[error("the building left what the equations cover: {0}")]
    State(#[from] grainfall_psychrometrics::Error),
    /// A file could not be written.
    #[error("cannot write `{}`: {source}", path.display())]
    Write {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The truth could not be written as JSON.
    #[error("cannot write the truth as JSON: {0}")]
    Json(#[from] serde_json::Error),
}
