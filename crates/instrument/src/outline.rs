//! The board's plan: two straight edges, the nut's line and the board's end.

use crate::lanes::Lane;
use crate::scale::CrossLine;

/// A straight edge: its distance from the centreline is `at_nut_mm + rise · x`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Distance from the centreline at x = 0, mm.
    pub at_nut_mm: f64,
    /// How much wider for each millimetre along the board.
    pub rise: f64,
}

impl Edge {
    /// Distance from the centreline at `x`, mm.
    pub fn at(self, x: f64) -> f64 {
        self.at_nut_mm + self.rise * x
    }
}

/// One edge from its corner at the nut to its corner at the board's end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// The edge.
    pub edge: Edge,
    /// 1 on the treble side, -1 on the bass side: y is `sign` times the edge's distance.
    pub sign: f64,
    /// x of its corner at the nut, mm.
    pub from_mm: f64,
    /// x of its corner at the board's end, mm.
    pub to_mm: f64,
}

/// The outline of the board in plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outline {
    /// The edge on the treble side (positive y).
    pub treble: Edge,
    /// The edge on the bass side (negative y).
    pub bass: Edge,
    /// The nut end.
    pub nut: CrossLine,
    /// The board's end past the last fret, parallel to that fret.
    pub end: CrossLine,
}

impl Outline {
    /// The width square to the centreline at `x`, mm.
    pub fn width(&self, x: f64) -> f64 {
        self.treble.at(x) + self.bass.at(x)
    }

    /// Half the width at `x`: how far the board reaches from its centreline, mm. Where the two
    /// edges differ (a margin outside fanned lanes) it is the further one.
    pub fn half_width(&self, x: f64) -> f64 {
        self.treble.at(x).max(self.bass.at(x))
    }

    /// Where a line across the board meets the treble edge and the bass edge: two points `(x, y)`.
    pub fn edges_of(&self, line: CrossLine) -> [(f64, f64); 2] {
        [
            line.meet(self.treble.at_nut_mm, self.treble.rise),
            line.meet(-self.bass.at_nut_mm, -self.bass.rise),
        ]
    }

    /// How far a gauge that lies square across on the centreline reaches before it leaves the
    /// board at the nearer edge, mm.
    pub fn gauge_reach(&self, x: f64) -> f64 {
        self.treble.at(x).min(self.bass.at(x))
    }

    /// Where along the board a section square to the centreline is whole: slanted ends cut off
    /// the rest, mm.
    pub fn square_span(&self) -> (f64, f64) {
        let c = self.corners();
        (
            self.nut.x_mm.max(c[0].0).max(c[3].0),
            self.end.x_mm.min(c[1].0).min(c[2].0),
        )
    }

    /// The corners: nut treble, end treble, end bass, nut bass.
    pub fn corners(&self) -> [(f64, f64); 4] {
        let [nut_treble, nut_bass] = self.edges_of(self.nut);
        let [end_treble, end_bass] = self.edges_of(self.end);
        [nut_treble, end_treble, end_bass, nut_bass]
    }

    /// Both edges with their side (1 treble, -1 bass) and their reach along the board.
    pub fn sides(&self) -> [Side; 2] {
        let [nut_treble, end_treble, end_bass, nut_bass] = self.corners();
        let side = |edge, sign, from: (f64, f64), to: (f64, f64)| Side {
            edge,
            sign,
            from_mm: from.0,
            to_mm: to.0,
        };
        [
            side(self.treble, 1.0, nut_treble, end_treble),
            side(self.bass, -1.0, nut_bass, end_bass),
        ]
    }

    /// The line across the board at a share of its length: 0 is the nut's line, 1 the end's.
    pub fn line_at(&self, along: f64) -> CrossLine {
        let between = |from: f64, to: f64| from + along * (to - from);
        CrossLine {
            x_mm: between(self.nut.x_mm, self.end.x_mm),
            slope: between(self.nut.slope, self.end.slope),
        }
    }

    /// The place `(x, y)` at a share of the length and a share across, 0 at the bass edge and 1
    /// at the treble edge: what a picture or a map samples the board by.
    pub fn place(&self, along: f64, across: f64) -> (f64, f64) {
        let [treble, bass] = self.edges_of(self.line_at(along));
        let between = |from: f64, to: f64| from + across * (to - from);
        (between(bass.0, treble.0), between(bass.1, treble.1))
    }

    /// From both outer strings' centres to their edges at a line, square to the centreline, mm:
    /// treble, bass.
    pub fn margins(&self, treble: &Lane, bass: &Lane, line: CrossLine) -> [f64; 2] {
        let (t, b) = (treble.cross(line), bass.cross(line));
        [self.treble.at(t.0) - t.1, self.bass.at(b.0) + b.1]
    }

    /// The least and the greatest x of the board, mm.
    pub fn reach(&self) -> (f64, f64) {
        let xs = self.corners().map(|corner| corner.0);
        let centre = [self.nut.x_mm, self.end.x_mm];
        let all = || xs.iter().chain(&centre).copied();
        (
            all().fold(f64::INFINITY, f64::min),
            all().fold(f64::NEG_INFINITY, f64::max),
        )
    }

    /// The wood's span across at `x`: least and greatest y, cut by skewed ends; nothing where
    /// there is no board.
    pub fn span(&self, x: f64) -> Option<(f64, f64)> {
        let (mut low, mut high) = (-self.bass.at(x), self.treble.at(x));
        for (line, side) in [(self.nut, 1.0), (self.end, -1.0)] {
            // Wood lies where side · (x - line.x_at(y)) >= 0.
            let ahead = side * (x - line.x_mm);
            let slope = side * line.slope;
            if slope == 0.0 {
                if ahead < 0.0 {
                    return None;
                }
            } else if slope > 0.0 {
                high = high.min(ahead / slope);
            } else {
                low = low.max(ahead / slope);
            }
        }
        (low < high).then_some((low, high))
    }

    /// Where the span changes its law: x of the corners, and of the ends on the centreline.
    pub fn breaks(&self) -> [f64; 6] {
        let c = self.corners();
        [c[0].0, c[1].0, c[2].0, c[3].0, self.nut.x_mm, self.end.x_mm]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::integrate::integrate;

    #[test]
    fn spans_add_up_to_the_area_of_the_four_corners() {
        let outline = Outline {
            treble: Edge {
                at_nut_mm: 21.0,
                rise: 0.02,
            },
            bass: Edge {
                at_nut_mm: 24.0,
                rise: 0.01,
            },
            nut: CrossLine {
                x_mm: 0.0,
                slope: 0.12,
            },
            end: CrossLine {
                x_mm: 500.0,
                slope: -0.2,
            },
        };
        let corners = outline.corners();
        let shoelace: f64 = (0..4)
            .map(|i| {
                let (a, b) = (corners[i], corners[(i + 1) % 4]);
                0.5 * (a.0 * b.1 - b.0 * a.1)
            })
            .sum();
        let (from, to) = outline.reach();
        let area = integrate(from, to, &outline.breaks(), |x| {
            outline.span(x).map_or(0.0, |(low, high)| high - low)
        });
        assert!((area / shoelace.abs() - 1.0).abs() < 1e-12);
    }
}
