//! What measured values prove about the wood.

pub mod reading;
pub mod sagitta;

pub use reading::{Reading, Spot, Visit, What};
