//! The scenarios there are: a new one is a file here and a line in [`ALL`].

mod larch_street;

pub use larch_street::larch_street;

use crate::Error;
use crate::scenario::Scenario;

/// Makes a scenario.
pub type Make = fn() -> Result<Scenario, Error>;

/// Every scenario by the name of its job folder.
pub const ALL: &[(&str, Make)] = &[("larch-street", larch_street)];
