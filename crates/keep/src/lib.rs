//! What was worked out before, and whose turn it is.
//!
//! Answers: has this very thing been worked out already ([`Store`]), and is another run at work on this job folder
//! ([`RunLock`]).
//!
//! Nothing here is ever needed for a result: without the store, or with a damaged one, the same is worked out again.
//!
//! Left out: what is kept and how it is written down, which is the business of the crate that made it.

mod lock;
mod store;

pub use lock::{LOCK_FILE, LockError, RunLock};
pub use store::{Key, Store, StoreError};
