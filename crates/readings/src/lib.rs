//! What measured values prove about the wood.

pub mod bell;
pub mod choice;
pub mod departure;
pub mod doubt;
pub mod figures;
pub mod fit;
pub mod grid;
pub mod heights;
pub mod level;
pub mod measured;
pub mod moments;
pub mod net;
pub mod next;
pub mod normal;
pub mod observe;
pub mod pieces;
pub mod program;
pub mod reading;
pub mod report;
pub mod sagitta;
pub mod steps;
pub mod telling;
pub mod together;
pub mod wood;

pub use reading::{Reading, Spot, Visit, What};
