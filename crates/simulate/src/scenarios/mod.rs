//! The scenarios there are: a new one is a file here and a line in one of the lists.

mod biased_and_swapped;
mod changed_loggers;
mod clean;
mod clock_faults;
mod everything_at_once;
mod faulty_loggers;
mod house;
mod humid_summer;
mod larch_street;
mod left_too_long;
mod lived_in_winter;
mod long_job;
mod missing_days;
mod opened_chamber;
mod outage;
mod rainy_autumn;
mod rewetting;
mod three_problems;
mod unreachable_goal;
mod winter_cabin;

pub use biased_and_swapped::biased_and_swapped;
pub use changed_loggers::changed_loggers;
pub use clean::clean;
pub use clock_faults::clock_faults;
pub use everything_at_once::everything_at_once;
pub use faulty_loggers::faulty_loggers;
pub use humid_summer::humid_summer;
pub use larch_street::larch_street;
pub use left_too_long::left_too_long;
pub use lived_in_winter::lived_in_winter;
pub use long_job::long_job;
pub use missing_days::missing_days;
pub use opened_chamber::opened_chamber;
pub use outage::outage;
pub use rainy_autumn::rainy_autumn;
pub use rewetting::rewetting;
pub use three_problems::three_problems;
pub use unreachable_goal::unreachable_goal;
pub use winter_cabin::winter_cabin;

use crate::Error;
use crate::scenario::Scenario;

/// Makes a scenario.
pub type Make = fn() -> Result<Scenario, Error>;

/// Every scenario with a folder in the sample data, by the name of that folder.
pub const ALL: &[(&str, Make)] = &[("larch-street", larch_street)];

/// Scenarios that are written only when asked for by name.
pub const ON_REQUEST: &[(&str, Make)] = &[("long-job", long_job), ("three-problems", three_problems)];

/// Every scenario with a name of its own.
pub fn named() -> impl Iterator<Item = &'static (&'static str, Make)> {
    ALL.iter().chain(ON_REQUEST)
}

/// A scenario of the suite: any number of houses, one for each seed.
#[derive(Debug, Clone, Copy)]
pub struct Suite {
    /// Its name.
    pub name: &'static str,
    /// The house of a seed.
    pub make: fn(u64) -> Result<Scenario, Error>,
    /// Whether it was set aside when thresholds were chosen, and is reported on its own.
    pub held_out: bool,
}

/// The scenarios that a program which judges is measured against.
pub const SUITE: &[Suite] = &[
    Suite { name: "clean", make: clean, held_out: false },
    Suite { name: "outage", make: outage, held_out: false },
    Suite { name: "opened chamber", make: opened_chamber, held_out: false },
    Suite { name: "rewetting", make: rewetting, held_out: false },
    Suite { name: "clock faults", make: clock_faults, held_out: false },
    Suite { name: "biased and swapped", make: biased_and_swapped, held_out: false },
    Suite { name: "missing days", make: missing_days, held_out: false },
    Suite { name: "faulty loggers", make: faulty_loggers, held_out: false },
    Suite { name: "left too long", make: left_too_long, held_out: true },
    Suite { name: "unreachable goal", make: unreachable_goal, held_out: true },
    Suite { name: "everything at once", make: everything_at_once, held_out: true },
    Suite { name: "humid summer", make: humid_summer, held_out: true },
    Suite { name: "winter cabin", make: winter_cabin, held_out: true },
    Suite { name: "changed loggers", make: changed_loggers, held_out: true },
    Suite { name: "rainy autumn", make: rainy_autumn, held_out: true },
    Suite { name: "lived-in winter", make: lived_in_winter, held_out: true },
];
