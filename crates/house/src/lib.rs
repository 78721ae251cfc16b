//! Checks of the house itself: which room may know which, what the core may touch, whether the
//! words about the house hold.
//!
//! Every check is a function from texts or lists to the faults found, so that its own tests can
//! show it failing; the tests under `tests/` hand it the house as it stands. It also lists what the
//! program is made of, and puts a release together.

pub mod arrows;
pub mod cargo;
pub mod house;
pub mod licence;
pub mod notices;
pub mod parts;
pub mod paths;
pub mod sbom;
pub mod sources;

pub use house::{House, Source};
