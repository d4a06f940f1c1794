//! Equipment: presence on site, equipment-days and their verdicts, totals and the release statement.

mod air_log;
pub(crate) mod air_rise;
pub(crate) mod day;
pub(crate) mod depression;
pub(crate) mod effect;
pub(crate) mod load;
pub(crate) mod presence;
pub(crate) mod release;
pub(crate) mod standing;
pub(crate) mod totals;
pub(crate) mod unit;
