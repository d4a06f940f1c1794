//! One file per command.

pub mod air;
pub mod check;
pub mod completions;
pub mod explain;
pub mod jobs;
pub mod report;
pub mod start;
pub mod verify;
pub mod watch;
