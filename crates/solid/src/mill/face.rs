//! The finished face over the bed: heights, slopes, rulings, and how high it stands under a disc.

use instrument::Instrument;
use instrument::arc::drop_of_curvature;

use super::moves::Point;
use crate::ruled::{RuledPiece, ruled};

/// The finished face. Heights are over the bed. Past its ends the first and the last piece go on
/// straight along their rulings.
#[derive(Clone, Debug)]
pub(crate) struct Face {
    pub pieces: Vec<RuledPiece>,
    /// Height of the crown at the nut, mm.
    pub crown_mm: f64,
}

/// The plane that touches the face at a place: height, and rise for each mm along x and y.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tangent {
    pub z: f64,
    pub by_x: f64,
    pub by_y: f64,
}

impl Face {
    pub(crate) fn new(instrument: &Instrument) -> Self {
        let (from, to) = instrument.outline.reach();
        Self {
            pieces: ruled(&instrument.camber, from, to).pieces,
            crown_mm: instrument.wood.crown_thickness_mm,
        }
    }

    /// True when the rulings are named by their y, and not by their angle.
    pub(crate) fn is_flat(&self) -> bool {
        self.pieces.iter().all(|piece| piece.radius[0].is_flat())
    }

    fn piece(&self, x: f64) -> &RuledPiece {
        let last = self.pieces.len() - 1;
        let after = self.pieces.iter().position(|piece| x <= piece.x_mm[1]);
        &self.pieces[after.unwrap_or(last)]
    }

    /// Places along the board where the face has a kink, mm.
    pub(crate) fn kinks(&self) -> impl Iterator<Item = f64> {
        self.pieces.iter().skip(1).map(|piece| piece.x_mm[0])
    }

    /// Height over the bed, mm.
    pub(crate) fn height(&self, x: f64, y: f64) -> f64 {
        let piece = self.piece(x);
        self.crown_mm - piece.fall(x) - drop_of_curvature(1.0 / piece.radius_mm(x), y)
    }

    /// Curvature of the section across, 1/mm; 0 on a flat board.
    pub(crate) fn curvature(&self, x: f64) -> f64 {
        1.0 / self.piece(x).radius_mm(x)
    }

    /// The plane that touches a piece, itself or what goes on straight past its ends.
    fn tangent(&self, piece: &RuledPiece, x: f64, y: f64) -> Tangent {
        let radius = piece.radius_mm(x);
        let z = self.crown_mm - piece.fall(x) - drop_of_curvature(1.0 / radius, y);
        if radius.is_infinite() {
            let (by_x, by_y) = (-piece.fall_slope(), 0.0);
            return Tangent { z, by_x, by_y };
        }
        // With y = R sin θ: ∂z/∂y = -tan θ and ∂z/∂R = 1/cos θ - 1.
        let root = (radius * radius - y * y).sqrt();
        Tangent {
            z,
            by_x: piece.radius_slope() * (radius / root - 1.0) - piece.fall_slope(),
            by_y: -y / root,
        }
    }

    /// The name of the ruling of a piece through a place: its angle, radians, or its y on a flat
    /// board. Places past the radius belong to the steepest ruling that is named.
    pub(crate) fn ruling_at(&self, piece: &RuledPiece, x: f64, y: f64) -> f64 {
        if piece.radius[0].is_flat() {
            return y;
        }
        (y / piece.radius_mm(x)).clamp(-STEEPEST, STEEPEST).asin()
    }

    /// The place on a piece where a ruling has a given x.
    pub(crate) fn on_ruling(&self, piece: &RuledPiece, ruling: f64, x: f64) -> Point {
        let crown = self.crown_mm - piece.fall(x);
        if piece.radius[0].is_flat() {
            return [x, ruling, crown];
        }
        let radius = piece.radius_mm(x);
        let drop = 2.0 * radius * (0.5 * ruling).sin().powi(2);
        [x, radius * ruling.sin(), crown - drop]
    }

    /// A ruling's direction, for one mm along the board.
    pub(crate) fn along_ruling(&self, piece: &RuledPiece, ruling: f64) -> Point {
        if piece.radius[0].is_flat() {
            return [1.0, 0.0, -piece.fall_slope()];
        }
        let slope = piece.radius_slope();
        let drop = 2.0 * (0.5 * ruling).sin().powi(2);
        [
            1.0,
            slope * ruling.sin(),
            -piece.fall_slope() - slope * drop,
        ]
    }

    /// The normal of a piece, the same all along a ruling, of length 1.
    pub(crate) fn normal(&self, piece: &RuledPiece, ruling: f64) -> Point {
        let (by_x, by_y) = if piece.radius[0].is_flat() {
            (-piece.fall_slope(), 0.0)
        } else {
            let grows = piece.radius_slope() * (1.0 / ruling.cos() - 1.0);
            (grows - piece.fall_slope(), -ruling.tan())
        };
        let length = (1.0 + by_x * by_x + by_y * by_y).sqrt();
        [-by_x / length, -by_y / length, 1.0 / length]
    }

    /// A height that the face nowhere passes under a disc, mm: the least that a flat end may
    /// have there.
    ///
    /// Each piece is concave (a cone's section `sqrt(R² - y²)` is, and the fall is straight), so
    /// that every plane that touches it lies above it; the plane that touches near the highest
    /// place gives the least bound. A piece counts only on its own stretch of the board.
    pub(crate) fn highest_under(&self, x: f64, y: f64, r: f64) -> f64 {
        let last = self.pieces.len() - 1;
        let bound = |(index, piece): (usize, &RuledPiece)| {
            let [mut from, mut to] = piece.x_mm;
            // The outermost pieces go on past the board's ends.
            if index == 0 {
                from = f64::NEG_INFINITY;
            }
            if index == last {
                to = f64::INFINITY;
            }
            let part = Part { x, y, r, from, to };
            part.is_there().then(|| self.piece_bound(piece, part))
        };
        let pieces = self.pieces.iter().enumerate();
        pieces.filter_map(bound).fold(f64::NEG_INFINITY, f64::max)
    }

    fn piece_bound(&self, piece: &RuledPiece, part: Part) -> f64 {
        // The crown line is the highest of every section.
        let crown = |x: f64| self.crown_mm - piece.fall(x);
        let [near, far] = part.ends();
        let mut bound = crown(near).max(crown(far));
        if part.y.abs() <= part.r || piece.radius[0].is_flat() {
            return bound;
        }
        let mut touch = part.toward(0.0, -part.y);
        for _ in 0..4 {
            let plane = self.tangent(piece, touch[0], touch[1]);
            if !plane.by_x.hypot(plane.by_y).is_normal() {
                break;
            }
            let highest = part.toward(plane.by_x, plane.by_y);
            let there = plane.z
                + plane.by_x * (highest[0] - touch[0])
                + plane.by_y * (highest[1] - touch[1]);
            // `min` passes over what is no number, past a radius.
            bound = bound.min(there);
            touch = highest;
        }
        bound
    }
}

/// The part of a disc that lies on a stretch of the board, mm.
#[derive(Clone, Copy, Debug)]
struct Part {
    x: f64,
    y: f64,
    r: f64,
    from: f64,
    to: f64,
}

impl Part {
    fn is_there(self) -> bool {
        self.x + self.r >= self.from && self.x - self.r <= self.to
    }

    /// Where it begins and ends along the board.
    fn ends(self) -> [f64; 2] {
        [self.x - self.r, self.x + self.r].map(|end| end.clamp(self.from, self.to))
    }

    /// Its place that lies farthest in a direction.
    fn toward(self, by_x: f64, by_y: f64) -> [f64; 2] {
        let length = by_x.hypot(by_y);
        let free = self.x + self.r * by_x / length;
        let x = free.clamp(self.from, self.to);
        if x == free {
            return [x, self.y + self.r * by_y / length];
        }
        // The stretch cuts the disc short: the end of the cut that lies farther.
        let half = (self.r * self.r - (x - self.x).powi(2)).max(0.0).sqrt();
        [x, self.y + half.copysign(by_y)]
    }
}

/// The sine of the steepest ruling that is named: past it a board has no edge.
const STEEPEST: f64 = 0.995;

#[cfg(test)]
mod tests {
    use super::*;

    fn demo(text: &str) -> Face {
        let none = |_: &str| Err("no files".to_owned());
        Face::new(&instrument::read_commission(text, &none).expect("the demo is sound"))
    }

    /// Judged by sampling the disc densely.
    #[test]
    fn the_bound_under_a_disc_is_above_the_face_and_near_it() {
        for (text, near) in [
            (include_str!("../../../../demo/heron.toml"), 1e-4),
            (include_str!("../../../../demo/avocet.toml"), 1e-4),
            (include_str!("../../../../demo/sandpiper.toml"), 1e-4),
        ] {
            let face = demo(text);
            for (x, y) in [
                (3.0, 12.0),
                (150.0, -14.0),
                (271.0, 0.0),
                (300.0, 2.0),
                (400.0, -16.0),
            ] {
                for r in [0.25, 3.0] {
                    let mut highest = f64::NEG_INFINITY;
                    for turn in 0..720 {
                        let (s, c) = (f64::from(turn).to_radians() * 0.5).sin_cos();
                        for out in [0.0, 0.5, 0.9, 1.0] {
                            highest = highest.max(face.height(x + out * r * c, y + out * r * s));
                        }
                    }
                    let over = face.highest_under(x, y, r) - highest;
                    assert!((-1e-12..near).contains(&over), "{over} at {x}, {y}, {r}");
                }
            }
        }
    }
}
