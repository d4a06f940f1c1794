//! Every exit code of the program, in one place.

use std::process::ExitCode;

use grainfall_analysis::evidence::GoalVerdict;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It did what it was asked.
    Done,
    /// `check`: the goals are as this verdict says.
    Goals(GoalVerdict),
    /// `verify`: something is not as recorded.
    Differs,
}

impl Outcome {
    /// The process's exit code: 0 done, same or all goals met, 1 not met or differing, 3 not shown. A failure is 2.
    #[must_use]
    pub fn code(self) -> ExitCode {
        ExitCode::from(match self {
            Self::Done | Self::Goals(GoalVerdict::Met) => 0,
            Self::Goals(GoalVerdict::NotMet) | Self::Differs => 1,
            Self::Goals(GoalVerdict::NotShown) => 3,
        })
    }

    /// The exit code of a failure.
    #[must_use]
    pub fn failed() -> ExitCode {
        ExitCode::from(2)
    }
}
