//! From text to entries with positions, and from entries to types.
//!
//! Reading order: [`desk`] (where faults gather), [`toml_text`] and [`sheet`] (the two kinds of file), [`entry`] (typed
//! values of keys), [`time`], then one file per table.

pub(crate) mod desk;
pub(crate) mod entry;
pub(crate) mod sheet;
pub(crate) mod time;
pub(crate) mod toml_text;

pub(crate) mod air;
pub(crate) mod chamber;
pub(crate) mod equipment;
pub(crate) mod job;
pub(crate) mod logger;
pub(crate) mod point;
pub(crate) mod reading;
pub(crate) mod scale;
pub(crate) mod visit;
