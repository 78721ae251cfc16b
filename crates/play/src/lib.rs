//! From strings to a set-up: what a commission's figures are, and how it will play.
//!
//! 1. [`strings`] brings the strings to pitch, [`stretch`] says how they stand against being
//!    stretched; [`sheet()`] gathers these and every figure of the board into one value.
//! 2. [`mod@tops`] are the fret tops as planned, on the measured wood or as read ([`fret_tops`]),
//!    [`bow`] the shape of the relief; [`strung`] lays every string over its own tops.
//! 3. On those lines [`buzz`] tells the air over the frets, [`bend`] where bends choke, [`chooser`]
//!    which cambers grant them, [`mod@lowest`] the lowest set-up free of buzz.
//! 4. [`intonation`] and [`mod@tuning`] tell set-backs and cents, [`mod@levelling`] what comes off
//!    the frets, [`set_up`] the figures to cut to.
//! 5. [`playing()`] gathers all that into one value, and [`chances`] draws necks around it.

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

pub use playing::{On, Playing, planned_bends, planned_buzz, playing, wished_bend_places};
pub use sheet::{CamberFigures, FretFigures, Sheet, sheet};
pub use warnings::Warning;
