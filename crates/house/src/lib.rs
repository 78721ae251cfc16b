//! Checks of the house itself: which room may know which, what the core may touch, whether the
//! words about the house hold.
//!
//! Every check is a function from texts or lists to the faults found, so that its own tests can
//! show it failing; the tests under `tests/` hand it the house as it stands.

pub mod arrows;
pub mod house;
pub mod paths;
pub mod sources;

pub use house::{House, Source};
