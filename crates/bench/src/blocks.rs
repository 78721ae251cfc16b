//! Safe zones: where a block may work without cutting below the finished surface, and in what order.
//!
//! A block cuts nothing that must stay where the board is at least as arched as the block:
//! where `R(x) <= R_b`. On a board that flattens away from the nut that is the part from the nut
//! to the place where the radius is the block's.

use instrument::camber::Camber;
use instrument::integrate::pieces;
use instrument::{Instrument, Radius};

use crate::kit::{Block, Kit};

/// Radii closer than this, relatively, are taken as equal: 16 in and 406.4 mm are one radius.
const SAME_RADIUS: f64 = 1e-9;

/// A zone shorter than this is no place to put a block, mm.
const LEAST_ZONE_MM: f64 = 1.0;

/// A stretch along the board, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Its nut end.
    pub from_mm: f64,
    /// Its far end.
    pub to_mm: f64,
}

impl Span {
    /// Its length, mm.
    pub fn length_mm(self) -> f64 {
        self.to_mm - self.from_mm
    }

    /// True when `x` lies in it, its ends included.
    pub fn holds(self, x: f64) -> bool {
        (self.from_mm..=self.to_mm).contains(&x)
    }
}

/// A block that the plan uses, with the stretches where it may work.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockZone {
    /// The block.
    pub block: Block,
    /// Where it may work, in order along the board.
    pub spans: Vec<Span>,
}

impl BlockZone {
    /// True when the block may work at `x`.
    pub fn holds(&self, x: f64) -> bool {
        self.spans.iter().any(|span| span.holds(x))
    }
}

/// A block of the kit that the plan leaves in the drawer, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct UnusedBlock {
    /// The block.
    pub block: Block,
    /// The reason, for the maker.
    pub why: String,
}

/// Where a radius may work: every stretch of the board on which `R(x) <= radius`.
pub fn safe_spans(camber: &Camber, from_mm: f64, to_mm: f64, radius: Radius) -> Vec<Span> {
    let limit = radius.mm();
    let mut spans: Vec<Span> = Vec::new();
    for (start, end) in pieces(from_mm, to_mm, &camber.breaks()) {
        let Some(span) = safe_part(camber, start, end, limit) else {
            continue;
        };
        match spans.last_mut() {
            Some(last) if last.to_mm >= span.from_mm => last.to_mm = span.to_mm,
            _ => spans.push(span),
        }
    }
    spans
}

/// The part of a piece, on which the radius runs straight, where it is at most `limit`. At the
/// ends a radius that equals the block's but for rounding counts as safe; the crossing itself is
/// taken where the radii are equal.
fn safe_part(camber: &Camber, start: f64, end: f64, limit: f64) -> Option<Span> {
    let (near, far) = (camber.radius(start).mm(), camber.radius(end).mm());
    let is_safe = |radius: f64| radius <= limit * (1.0 + SAME_RADIUS);
    match (is_safe(near), is_safe(far)) {
        (true, true) => Some(Span {
            from_mm: start,
            to_mm: end,
        }),
        (false, false) => None,
        (safe_first, _) => {
            let crossing = start + (limit - near) / (far - near) * (end - start);
            let crossing = crossing.clamp(start, end);
            Some(if safe_first {
                Span {
                    from_mm: start,
                    to_mm: crossing,
                }
            } else {
                Span {
                    from_mm: crossing,
                    to_mm: end,
                }
            })
        }
    }
}

/// The blocks that help, flattest first, each with its zone; and those that do not, with why.
pub fn order_blocks(instrument: &Instrument, kit: &Kit) -> (Vec<BlockZone>, Vec<UnusedBlock>) {
    let mut blocks = kit.blocks.clone();
    // Flattest first; of two alike the longer one, which bridges more.
    blocks.sort_by(|a, b| {
        b.radius
            .mm()
            .total_cmp(&a.radius.mm())
            .then(b.length_mm.total_cmp(&a.length_mm))
    });
    let (mut used, mut unused) = (Vec::<BlockZone>::new(), Vec::new());
    for block in blocks {
        let spans = match zone_of(instrument, &block) {
            Ok(spans) => spans,
            Err(why) => {
                unused.push(unused_block(block, &why));
                continue;
            }
        };
        let twin = used.last().is_some_and(|last: &BlockZone| {
            same_radius(last.block.radius, block.radius) && covers(&last.spans, &spans)
        });
        if twin {
            unused.push(unused_block(
                block,
                "another block of this radius is longer",
            ));
            continue;
        }
        // A tighter block that may work everywhere a flatter one may makes that one idle.
        let (idle, kept) = used
            .into_iter()
            .partition(|flatter| covers(&spans, &flatter.spans));
        used = kept;
        let why = "a tighter block of yours may work over the same zone and leaves less";
        let idle: Vec<BlockZone> = idle;
        unused.extend(
            idle.into_iter()
                .map(|flatter| unused_block(flatter.block, why)),
        );
        used.push(BlockZone { block, spans });
    }
    (used, unused)
}

fn unused_block(block: Block, why: &str) -> UnusedBlock {
    UnusedBlock {
        block,
        why: why.to_owned(),
    }
}

fn same_radius(a: Radius, b: Radius) -> bool {
    a.mm() == b.mm() || (a.mm() - b.mm()).abs() <= SAME_RADIUS * a.mm()
}

/// Zones are compared exactly: where a tighter block stops even a hair short, the flatter one
/// has wood of its own to cut.
fn covers(spans: &[Span], others: &[Span]) -> bool {
    others.iter().all(|other| {
        spans
            .iter()
            .any(|span| span.from_mm <= other.from_mm && span.to_mm >= other.to_mm)
    })
}

fn zone_of(instrument: &Instrument, block: &Block) -> Result<Vec<Span>, String> {
    if block.radius.is_flat() {
        return Err("a flat face takes no camber; the beam does such work".into());
    }
    let (from, to) = instrument.outline.reach();
    let mut spans = safe_spans(&instrument.camber, from, to, block.radius);
    if spans.is_empty() {
        return Err(
            "tighter than the board is anywhere: its flanks would cut below the finished edges"
                .into(),
        );
    }
    // On a fan the outline reaches past its ends on the centreline; a zone in such a corner alone
    // is no place for a block either.
    let end = instrument.end_x_mm();
    spans.retain(|span| span.to_mm.min(end) - span.from_mm.max(0.0) >= LEAST_ZONE_MM);
    if spans.is_empty() {
        return Err(format!(
            "its zone is shorter than {LEAST_ZONE_MM} mm: the beam takes that in its stride"
        ));
    }
    // Inside the board a block cannot hang over an end: it must fit between the zone's ends.
    spans.retain(|span| {
        span.from_mm <= from || span.to_mm >= to || span.length_mm() >= block.length_mm
    });
    if spans.is_empty() {
        return Err("its zone lies inside the board and is shorter than the block".into());
    }
    Ok(spans)
}

/// The radius of the tightest block that may work at `x`; nothing where none may.
pub fn tightest_at(zones: &[BlockZone], x: f64) -> Option<Radius> {
    // Zones are flattest first, so that the last that holds is the tightest.
    zones
        .iter()
        .rev()
        .find(|zone| zone.holds(x))
        .map(|zone| zone.block.radius)
}

/// Every end of every zone, mm: where what the blocks leave has its steps.
pub fn zone_ends(zones: &[BlockZone]) -> Vec<f64> {
    zones
        .iter()
        .flat_map(|zone| &zone.spans)
        .flat_map(|span| [span.from_mm, span.to_mm])
        .collect()
}
