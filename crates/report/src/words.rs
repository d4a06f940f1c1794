//! How a report speaks to people: its units and its language. The texts themselves are in `grainfall-words`.

pub use grainfall_words::{Words, say};

use crate::units_shown::UnitSystem;

/// How a report speaks to people: the units it shows and the language it is written in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Manner {
    /// The units.
    pub units: UnitSystem,
    /// The language.
    pub words: Words,
}

impl From<UnitSystem> for Manner {
    fn from(units: UnitSystem) -> Self {
        Self { units, ..Self::default() }
    }
}
