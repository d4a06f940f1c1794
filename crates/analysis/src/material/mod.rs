//! Points: their readings, dry standards, goals, states over time and drying rates.

pub(crate) mod air_goal;
pub(crate) mod chamber;
pub(crate) mod correction;
pub(crate) mod drive;
pub(crate) mod dry_standard;
pub(crate) mod goal;
pub(crate) mod point;
pub(crate) mod rate;
pub(crate) mod readings;
pub(crate) mod spans;
