//! Where fences lie, and how large templates are: the router's own offsets. Derived.

use instrument::Instrument;
use instrument::outline::Side;

use super::JigFault;
use crate::machine::Carriage;

/// Offsets of the router, fences for the board's edges and slots, and templates for its outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Offsets {
    /// From the cutter's centre to the plate's edge along the fence, mm. From the kit.
    pub centre_to_fence_mm: f64,
    /// From the cut's nearer side to the fence, mm: the base less half the cutter. Derived.
    pub cut_to_fence_mm: f64,
    /// From a template's edge to the nearer side of the cut along it, mm: `(bush - cutter)/2`.
    pub bush_offset_mm: f64,
    /// From a template's edge to the farther side of the cut, mm: `(bush + cutter)/2`. Derived.
    pub bush_reach_mm: f64,
    /// The corners of a solid template, the bush running round it, the board under it: the outline
    /// moved inward by the offset. Nut treble, end treble, end bass, nut bass, mm. Derived.
    pub template_mm: [(f64, f64); 4],
    /// The corners of the opening of a frame, the bush running round inside it, the board in its
    /// middle: the outline moved outward by the reach, mm. Derived.
    pub frame_mm: [(f64, f64); 4],
    /// The fence for each long edge: treble, bass.
    pub edges: [EdgeFence; 2],
    /// The fence for each slot, from the first fret on.
    pub slots: Vec<SlotFence>,
}

/// A straight fence along a board's edge. It lies on the board's side of the cut, so that a router
/// that strays from it strays into waste.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeFence {
    /// Where it passes the edge's corner at the nut: x along and y across, mm. Derived.
    pub nut_mm: (f64, f64),
    /// Where it passes the edge's corner at the board's end, mm. Derived.
    pub end_mm: (f64, f64),
}

/// A straight fence along a fret's slot, on its side toward the nut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlotFence {
    /// The fret.
    pub fret: usize,
    /// From the slot's centre to the fence along the centreline, mm: more than the base when the
    /// fret is skewed. Derived.
    pub along_mm: f64,
    /// Where it passes the treble and the bass edge's distance from the centreline: x and y, mm.
    /// Derived.
    pub ends_mm: [(f64, f64); 2],
}

/// The router's offsets on this board.
///
/// # Errors
/// [`JigFault::BushTooNarrow`], [`JigFault::PlateTooNarrow`] or [`JigFault::NoTemplate`].
pub fn offsets(instrument: &Instrument, carriage: Carriage) -> Result<Offsets, JigFault> {
    let half = 0.5 * carriage.cutter_mm;
    if carriage.bush_mm <= carriage.cutter_mm {
        return Err(JigFault::BushTooNarrow {
            bush_mm: carriage.bush_mm,
            cutter_mm: carriage.cutter_mm,
        });
    }
    if carriage.base_mm <= half {
        return Err(JigFault::PlateTooNarrow {
            base_mm: carriage.base_mm,
            cutter_mm: carriage.cutter_mm,
        });
    }
    let bush_offset_mm = 0.5 * carriage.bush_mm - half;
    let bush_reach_mm = 0.5 * carriage.bush_mm + half;
    let corners = instrument.outline.corners();
    let template_mm = moved(corners, -bush_offset_mm);
    if !same_way(corners, template_mm) {
        return Err(JigFault::NoTemplate {
            inward_mm: bush_offset_mm,
        });
    }
    let cut_to_fence_mm = carriage.base_mm - half;
    let fence = |side: Side| edge_fence(side, cut_to_fence_mm);
    Ok(Offsets {
        centre_to_fence_mm: carriage.base_mm,
        cut_to_fence_mm,
        bush_offset_mm,
        bush_reach_mm,
        template_mm,
        frame_mm: moved(corners, bush_reach_mm),
        edges: instrument.outline.sides().map(fence),
        slots: slot_fences(instrument, carriage.base_mm),
    })
}

/// A four-cornered outline with every side moved outward by so much, inward when negative.
fn moved(corners: [(f64, f64); 4], outward_mm: f64) -> [(f64, f64); 4] {
    // Corners run nut treble, end treble, end bass: the board lies to the right of every side.
    let side = |index: usize| {
        let (from, to) = (corners[index % 4], corners[(index + 1) % 4]);
        let (along, across) = (to.0 - from.0, to.1 - from.1);
        let length = along.hypot(across);
        let way = (along / length, across / length);
        let at = (from.0 - outward_mm * way.1, from.1 + outward_mm * way.0);
        (at, way)
    };
    [0, 1, 2, 3].map(|index| {
        let ((before, way), (after, turn)) = (side(index + 3), side(index));
        let cross = way.0 * turn.1 - way.1 * turn.0;
        let gap = (after.0 - before.0, after.1 - before.1);
        let ahead = (gap.0 * turn.1 - gap.1 * turn.0) / cross;
        (before.0 + ahead * way.0, before.1 + ahead * way.1)
    })
}

/// True when every side of the moved outline still runs the way it did.
fn same_way(corners: [(f64, f64); 4], moved: [(f64, f64); 4]) -> bool {
    (0..4).all(|index| {
        let next = (index + 1) % 4;
        let was = (
            corners[next].0 - corners[index].0,
            corners[next].1 - corners[index].1,
        );
        let is = (
            moved[next].0 - moved[index].0,
            moved[next].1 - moved[index].1,
        );
        was.0 * is.0 + was.1 * is.1 > 0.0
    })
}

fn edge_fence(side: Side, inward_mm: f64) -> EdgeFence {
    let skewed = inward_mm * 1f64.hypot(side.edge.rise);
    let at = |x: f64| (x, side.sign * (side.edge.at(x) - skewed));
    EdgeFence {
        nut_mm: at(side.from_mm),
        end_mm: at(side.to_mm),
    }
}

fn slot_fences(instrument: &Instrument, base_mm: f64) -> Vec<SlotFence> {
    let frets = instrument.frets.iter().enumerate().skip(1);
    frets
        .map(|(fret, line)| {
            let along_mm = base_mm * 1f64.hypot(line.slope);
            let ends = instrument.outline.edges_of(*line);
            SlotFence {
                fret,
                along_mm,
                ends_mm: ends.map(|(_, y)| (line.x_at(y) - along_mm, y)),
            }
        })
        .collect()
}
