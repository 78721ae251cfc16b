//! A commission's text, checked once, becomes an [`Instrument`]: scale, lanes, outline, camber, frets.
//!
//! The frame is the finished board's own: x runs along the centreline from the nut's front
//! face toward the saddle, y across it (positive on the treble side), z up out of the wood.
//! Lengths inside are millimetres, angles radians.

pub mod arc;
pub mod board;
pub mod camber;
pub mod commission;
pub mod cutting;
pub mod dots;
pub mod format;
pub mod frets;
pub mod fretwork;
mod instrument;
pub mod integrate;
pub mod lanes;
pub mod neck;
pub mod outline;
pub mod scala;
pub mod scale;
pub mod set_up;
pub mod tuning;
pub mod wish;

pub use arc::Radius;
pub use commission::{COMMISSION_KEYS, TuningFiles, read_commission};
pub use format::{Fault, Faults};
pub use instrument::{Binding, Drawn, DrawnReading, Instrument, StringSpec, fret_name};
