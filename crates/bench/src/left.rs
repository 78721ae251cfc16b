//! What blocks leave: the wood that still stands above the camber, its greatest height, its volume.
//!
//! After the blocks the surface lies above the camber by `drop(R(x), y) - drop(R_b(x), y)`, with
//! `R_b` the tightest block whose zone holds x: a saw-tooth along the board, nothing at a zone's
//! far end, most just past it, at the edges. Where no block may work the wood is still flat.

use instrument::arc::drop;
use instrument::{Instrument, Radius};

use crate::blocks::{BlockZone, tightest_at};
use crate::stage::{Arch, Standing};

/// What still stands above the camber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// Greatest height, mm.
    pub max_mm: f64,
    /// Where that is: x along the board and y across it, mm.
    pub at_mm: (f64, f64),
    /// Volume, mm³.
    pub volume_mm3: f64,
}

/// Height of the wood above the camber at `(x, y)` when the blocks of `zones` are done, mm.
/// A planned fall-away is not counted: blocks are straight and leave it for later.
pub fn height_left(instrument: &Instrument, zones: &[BlockZone], x: f64, y: f64) -> f64 {
    let block = tightest_at(zones, x).unwrap_or(Radius::FLAT);
    drop(instrument.camber.radius(x), y) - drop(block, y)
}

/// What the blocks of `zones` leave above the camber, the fall-away not counted.
pub fn left_by_blocks(instrument: &Instrument, zones: &[BlockZone]) -> Left {
    let standing = Standing {
        offset_mm: 0.0,
        arch: Arch::Blocks(zones.to_vec()),
        fall_made: true,
    };
    let (max_mm, at_mm) = standing.greatest_over_aim(instrument);
    Left {
        max_mm,
        at_mm,
        volume_mm3: standing.volume_mm3(instrument),
    }
}
