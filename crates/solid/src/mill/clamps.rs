//! Clamps: boxes on the bed that no cutter may come near.

use instrument::cutting::Clamp;

use super::moves::{Path, Point, straight_pieces};
use super::refusal::Cause;

/// Air that a cutter keeps beside a clamp, mm (common practice, no source).
const BESIDE_MM: f64 = 2.0;

/// A clamp as large as no cutter's axis may come near it: half sizes with air and radius.
struct Kept {
    low: [f64; 2],
    high: [f64; 2],
    top: f64,
    /// Radius and air by which the box is larger, its corners round.
    out: f64,
}

/// Every clamp that a way of a cutter of radius `r` meets. Moves high over a clamp pass it.
pub(crate) fn met(path: &Path, r: f64, clamps: &[Clamp], over_mm: f64) -> Vec<Cause> {
    let cause = |(index, clamp): (usize, &Clamp)| {
        let kept = Kept {
            low: [clamp.from.0.min(clamp.to.0), clamp.from.1.min(clamp.to.1)],
            high: [clamp.from.0.max(clamp.to.0), clamp.from.1.max(clamp.to.1)],
            top: clamp.height_mm + over_mm,
            out: r + BESIDE_MM,
        };
        let at = pieces(path).find_map(|piece| kept.meets(piece))?;
        let (by_mm, toward) = kept.shift(path);
        Some(Cause::Clamp {
            clamp: index + 1,
            at,
            by_mm,
            toward,
        })
    };
    clamps.iter().enumerate().filter_map(cause).collect()
}

fn pieces(path: &Path) -> impl Iterator<Item = [Point; 2]> {
    path.legs()
        .flat_map(|(from, leg)| straight_pieces(from, leg))
}

impl Kept {
    /// Where a straight piece first comes too near, the cutter below the clamp's top with its air.
    fn meets(&self, [from, to]: [Point; 2]) -> Option<Point> {
        if from[2].min(to[2]) >= self.top {
            return None;
        }
        let at = |share: f64| -> Point {
            std::array::from_fn(|axis| from[axis] + share * (to[axis] - from[axis]))
        };
        // The distance to a box is convex along a straight line: the nearest place by halving.
        let away = |share: f64| self.away(at(share));
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let (one, other) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            if away(one) <= away(other) {
                high = other;
            } else {
                low = one;
            }
        }
        let nearest = at(0.5 * (low + high));
        (self.away(nearest) < self.out).then_some(nearest)
    }

    fn away(&self, at: Point) -> f64 {
        let out = |axis: usize| {
            (self.low[axis] - at[axis])
                .max(at[axis] - self.high[axis])
                .max(0.0)
        };
        out(0).hypot(out(1))
    }

    /// The shortest way along one axis that clears every low piece, and whereto. Each piece
    /// counts as the box around it, so that the way is never told too short.
    fn shift(&self, path: &Path) -> (f64, &'static str) {
        let mut ways = [(0.0f64, "+x"), (0.0, "-x"), (0.0, "+y"), (0.0, "-y")];
        for [from, to] in pieces(path) {
            if from[2].min(to[2]) >= self.top {
                continue;
            }
            let near = |axis: usize| from[axis].min(to[axis]) - self.out;
            let far = |axis: usize| from[axis].max(to[axis]) + self.out;
            for axis in [0, 1] {
                let other = 1 - axis;
                if far(other) > self.low[other] && near(other) < self.high[other] {
                    let up = &mut ways[2 * axis].0;
                    *up = up.max(far(axis) - self.low[axis]);
                    let down = &mut ways[2 * axis + 1].0;
                    *down = down.max(self.high[axis] - near(axis));
                }
            }
        }
        let shortest = ways.into_iter().min_by(|a, b| a.0.total_cmp(&b.0));
        shortest.unwrap_or((0.0, "+x"))
    }
}
