//! Strings and the sheet: every figure of a commission gathered into one value.

pub mod movement;
pub mod sheet;
pub mod stretch;
pub mod strings;
pub mod warnings;
pub mod wire;

pub use sheet::{CamberFigures, FretFigures, Sheet, sheet};
pub use warnings::Warning;
