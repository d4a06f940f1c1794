//! Findings that other findings rest on, looked for once: loggers that cannot be compared as the job places them (swapped
//! ones and those whose clock is off), which others leave out of their comparisons, and points that got wetter.

use std::cell::OnceCell;

use super::{Draft, Record, clock_offset, loggers_swapped, rewetting};

/// What was found, once it was asked for.
#[derive(Default)]
pub(crate) struct Known {
    swaps: OnceCell<Vec<Fault>>,
    clocks: OnceCell<Vec<Fault>>,
    rewettings: OnceCell<Vec<Draft>>,
}

/// A finding with the tracks, by position, that it casts doubt on.
pub(super) struct Fault {
    pub draft: Draft,
    pub tracks: Vec<usize>,
}

impl Record<'_> {
    /// Loggers in each other's place.
    pub(super) fn swaps(&self) -> &[Fault] {
        self.known.swaps.get_or_init(|| loggers_swapped::swaps(self))
    }

    /// Loggers whose clock is off.
    pub(super) fn clock_offsets(&self) -> &[Fault] {
        self.known.clocks.get_or_init(|| clock_offset::offsets(self))
    }

    /// Readings that rose.
    pub(super) fn rewettings(&self) -> &[Draft] {
        self.known.rewettings.get_or_init(|| rewetting::rewettings(self))
    }

    /// Whether a track stands where the job says, as far as the record tells.
    pub(super) fn in_its_place(&self, track: usize) -> bool {
        !self.swaps().iter().any(|fault| fault.tracks.contains(&track))
    }

    /// Whether the clock of a track agrees with its neighbours', as far as the record tells.
    pub(super) fn on_time(&self, track: usize) -> bool {
        !self.clock_offsets().iter().any(|fault| fault.tracks.contains(&track))
    }
}
