//! The crate against published values and independent libraries, read from `tests/reference/` at the root.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking, helper functions included")]

mod moist_air;
mod monte_carlo;
mod other_pages;
mod removal;
mod table;
mod uncertainty;
mod wood;
mod wood_resistance;
