//! What measured values prove about the wood.

pub mod place;
pub mod reading;
pub mod sagitta;
pub mod table;

pub use reading::{Reading, Spot, Visit, What};
pub use table::{ReadOut, read_readings};
