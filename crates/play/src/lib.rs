//! Strings and the sheet: every figure of a commission gathered into one value.

pub mod bend;
pub mod bow;
pub mod buzz;
pub mod chances;
pub mod chooser;
pub mod fret_tops;
pub mod intonation;
pub mod levelling;
pub mod lowest;
pub mod movement;
pub mod playing;
pub mod set_up;
pub mod sheet;
pub mod stretch;
pub mod strings;
pub mod strung;
pub mod tops;
pub mod tuning;
pub mod warnings;
pub mod wire;
pub mod wished_bends;

pub use playing::{On, Playing, playing, wished_bend_places};
pub use sheet::{CamberFigures, FretFigures, Sheet, sheet};
pub use warnings::Warning;
