//! Pockets of round inlays: drilled where a cutter has their diameter, else wound down in rings.

use super::moves::{Path, Point, Turn};
use super::slots::Going;

/// A cutter whose diameter differs from the dot's by no more than this drills it, mm.
pub(crate) const SAME_DIAMETER_MM: f64 = 0.02;
/// A smaller cutter is smaller by this at the least, mm: it must have room to go round.
pub(crate) const ROOM_MM: f64 = 0.1;
/// Air over the floor of the last peck when the cutter comes back, mm.
const PECK_AIR_MM: f64 = 0.2;
/// The greatest step from ring to ring, as a share of the cutter's radius.
const RING_SHARE: f64 = 1.6;
/// The innermost ring, as a share of the cutter's radius: less than one leaves no core.
const INNER_SHARE: f64 = 0.9;

/// A pocket to be cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pocket {
    pub centre: [f64; 2],
    pub radius: f64,
    /// The wood over it at its highest, and its floor, mm over the bed.
    pub top_mm: f64,
    pub floor_mm: f64,
}

/// The whole way through all pockets.
pub(crate) fn path(pockets: &[Pocket], going: Going) -> Option<Path> {
    let [safe, near] = going.heights;
    let mut path: Option<Path> = None;
    for pocket in pockets {
        let [x, y] = pocket.centre;
        let path = path.get_or_insert_with(|| Path::from([x, y, safe]));
        if pocket.radius - going.radius <= 0.5 * SAME_DIAMETER_MM {
            path.hop([x, y, near], safe);
            drill(path, pocket, going);
        } else {
            rings(path, pocket, going);
        }
        let [x, y, _] = path.end();
        path.rapid([x, y, safe]);
    }
    path
}

/// The heights down to the floor, no further apart than one pass.
fn levels(pocket: &Pocket, pass_mm: f64) -> impl Iterator<Item = f64> {
    let depth = pocket.top_mm - pocket.floor_mm;
    let count = (depth / pass_mm - 1e-9).ceil().max(1.0);
    let (floor, down) = (pocket.floor_mm, depth / count);
    (1..=count as usize).map(move |index| floor + (count - index as f64) * down)
}

/// Straight down, out of the hole after every peck to clear it.
fn drill(path: &mut Path, pocket: &Pocket, going: Going) {
    let ([x, y], plunge) = (pocket.centre, going.feed[1]);
    let mut before: Option<f64> = None;
    for z in levels(pocket, going.pass_mm) {
        if let Some(before) = before {
            path.rapid([x, y, going.heights[1]]);
            path.rapid([x, y, before + PECK_AIR_MM]);
        }
        path.feed([x, y, z], plunge);
        before = Some(z);
    }
}

/// Ring outside ring, each wound down to the floor and once round on it.
fn rings(path: &mut Path, pocket: &Pocket, going: Going) {
    let out = pocket.radius - going.radius;
    let inner = (INNER_SHARE * going.radius).min(out);
    let more = ((out - inner) / (RING_SHARE * going.radius)).ceil();
    let [cx, cy] = pocket.centre;
    for index in 0..=more as usize {
        let share = if more > 0.0 { index as f64 / more } else { 1.0 };
        let ring = inner + share * (out - inner);
        let at = |side: f64, z: f64| -> Point { [cx + side * ring, cy, z] };
        path.hop(at(1.0, going.heights[1]), going.heights[0]);
        path.feed(at(1.0, pocket.top_mm), going.feed[1]);
        let mut height = pocket.top_mm;
        let round = |path: &mut Path, to: f64, from: f64| {
            path.arc(
                at(-1.0, 0.5 * (from + to)),
                pocket.centre,
                Turn::Against,
                going.feed[1],
            );
            path.arc(at(1.0, to), pocket.centre, Turn::Against, going.feed[1]);
        };
        for z in levels(pocket, going.pass_mm) {
            round(path, z, height);
            height = z;
        }
        round(path, height, height);
    }
}
