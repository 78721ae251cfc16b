//! What measured values prove about the wood.

pub mod sagitta;
