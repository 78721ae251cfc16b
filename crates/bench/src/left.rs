//! What blocks leave: the wood that still stands above the camber, its greatest height, its volume.
//!
//! After the blocks the surface lies above the camber by `drop(R(x), y) - drop(R_b(x), y)`, with
//! `R_b` the tightest block whose zone holds x: a saw-tooth along the board, nothing at a zone's
//! far end, most just past it, at the edges. Where no block may work the wood is still flat.

use instrument::arc::{area_above, drop};
use instrument::integrate::{greatest, integrate, pieces};
use instrument::outline::Edge;
use instrument::{Instrument, Radius};

use crate::blocks::{BlockZone, tightest_at, zone_ends};

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

/// What the blocks of `zones` leave above the camber.
pub fn left_by_blocks(instrument: &Instrument, zones: &[BlockZone]) -> Left {
    let mut breaks = instrument.breaks();
    breaks.extend(zone_ends(zones));
    let (max_mm, at_mm) = greatest_left(instrument, zones, &breaks);
    Left {
        max_mm,
        at_mm,
        volume_mm3: volume_left(instrument, zones, &breaks),
    }
}

/// At any x the height left grows toward the edge, so that the greatest lies on one of the edges.
fn greatest_left(
    instrument: &Instrument,
    zones: &[BlockZone],
    breaks: &[f64],
) -> (f64, (f64, f64)) {
    let outline = &instrument.outline;
    let corners = outline.corners();
    let sides: [(Edge, f64, f64, f64); 2] = [
        (outline.treble, 1.0, corners[0].0, corners[1].0),
        (outline.bass, -1.0, corners[3].0, corners[2].0),
    ];
    let mut best = (0.0, (0.0, 0.0));
    for (edge, side, from, to) in sides {
        for (start, end) in pieces(from, to, breaks) {
            // The block is one and the same inside the piece; at its ends the step is one-sided.
            let block = tightest_at(zones, 0.5 * (start + end)).unwrap_or(Radius::FLAT);
            let height = |x: f64| {
                let y = edge.at(x);
                drop(instrument.camber.radius(x), y) - drop(block, y)
            };
            let (x, most) = greatest(start, end, 8, height);
            if most > best.0 {
                best = (most, (x, side * edge.at(x)));
            }
        }
    }
    best
}

fn volume_left(instrument: &Instrument, zones: &[BlockZone], breaks: &[f64]) -> f64 {
    let (from, to) = instrument.outline.reach();
    integrate(from, to, breaks, |x| {
        let Some((low, high)) = instrument.outline.span(x) else {
            return 0.0;
        };
        let block = tightest_at(zones, x).unwrap_or(Radius::FLAT);
        let above = |radius| area_above(radius, high) - area_above(radius, low);
        above(instrument.camber.radius(x)) - above(block)
    })
}
