//! Which cells of a row say when, and what wall time or instant they say.

pub(crate) mod epoch;
pub(crate) mod evidence;
pub(crate) mod face;
mod fast;
pub(crate) mod order;
pub(crate) mod source;
pub(crate) mod stamp;
pub(crate) mod zone;
