//! Why there is no evidence at all. A sample or a reading that cannot be used is no error: it is left out and listed.

/// What stops the analysis of a job.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The job's pressure or elevation lies outside the moist-air equations.
    #[error("air pressure of the job: {source}; correct `pressure` or `elevation` in `[job]`")]
    Pressure {
        /// What the equations say.
        source: grainfall_psychrometrics::Error,
    },
    /// A stated sensor accuracy or airflow cannot be used.
    #[error("{entry}: {source}; correct that entry")]
    Entry {
        /// Where the entry is written.
        entry: String,
        /// What the equations say.
        source: grainfall_psychrometrics::Error,
    },
    /// The moist-air, wood or uncertainty equations have no answer.
    #[error("{0}")]
    Psychrometrics(#[from] grainfall_psychrometrics::Error),
    /// There is neither a sample nor a dated entry.
    #[error("there is neither a sample nor a dated entry to judge")]
    NothingRecorded,
}
