//! The finished surface as straight lines: the rulings on which a beam, a cutter and an exact
//! description of the surface all lie.
//!
//! Between two knots the radius and the fall run straight, so that for a fixed angle θ of the arc
//! `y = R(x) sin θ`, `z = -fall(x) - R(x) (1 - cos θ)` is a straight line in x. On a flat board the
//! lines are parallel to the centreline and are named by their y.

use instrument::Radius;
use instrument::camber::Camber;

/// The surface over a stretch of the board, cut at its kinks.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruled {
    /// The pieces, in order along the board; each begins where the one before ends.
    pub pieces: Vec<RuledPiece>,
}

/// A stretch on which radius and fall run straight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuledPiece {
    /// Its ends along the board, mm.
    pub x_mm: [f64; 2],
    /// The radius at its ends.
    pub radius: [Radius; 2],
    /// The fall at its ends, mm.
    pub fall_mm: [f64; 2],
}

/// The surface between two places along the board. Kinks nearer than this to one another or to
/// an end are rounding, and are none.
const LEAST_PIECE_MM: f64 = 1e-6;

/// The finished surface between two places along the board, cut at its kinks. `from` lies before
/// `to`.
pub fn ruled(camber: &Camber, from_mm: f64, to_mm: f64) -> Ruled {
    let mut ends = vec![from_mm];
    let mut kinks = camber.breaks();
    kinks.sort_by(f64::total_cmp);
    for kink in kinks {
        let last = ends[ends.len() - 1];
        if kink > last + LEAST_PIECE_MM && kink < to_mm - LEAST_PIECE_MM && is_kink(camber, kink) {
            ends.push(kink);
        }
    }
    ends.push(to_mm);
    let piece = |pair: &[f64]| RuledPiece {
        x_mm: [pair[0], pair[1]],
        radius: [camber.radius(pair[0]), camber.radius(pair[1])],
        fall_mm: [camber.fall(pair[0]), camber.fall(pair[1])],
    };
    Ruled {
        pieces: ends.windows(2).map(piece).collect(),
    }
}

/// A cone's knots at nut and last fret are no kinks: its radius runs on through them.
fn is_kink(camber: &Camber, x: f64) -> bool {
    /// Slopes that differ by less than this are the same but for rounding.
    const SAME_SLOPE: f64 = 1e-9;
    let slope = |of: &dyn Fn(f64) -> f64| {
        let step = 1e-3;
        let (before, here, after) = (of(x - step), of(x), of(x + step));
        ((here - before) / step, (after - here) / step)
    };
    let radius = slope(&|x| camber.radius(x).mm());
    let fall = slope(&|x| camber.fall(x));
    let differs = |(before, after): (f64, f64)| {
        // Infinite radii give no number: a flat board has no kink but its fall's.
        (before - after).abs() > SAME_SLOPE * 1e3 + 1e-9 * before.abs()
    };
    differs(radius) || differs(fall)
}

impl RuledPiece {
    /// The radius at a place of the piece, mm; infinite on a flat board.
    pub fn radius_mm(&self, x: f64) -> f64 {
        self.between(x, self.radius[0].mm(), self.radius[1].mm())
    }

    /// How far the crown lies below the straight centreline at a place of the piece, mm.
    pub fn fall(&self, x: f64) -> f64 {
        self.between(x, self.fall_mm[0], self.fall_mm[1])
    }

    /// How much the radius grows for each millimetre along the board; 0 on a flat board.
    pub fn radius_slope(&self) -> f64 {
        if self.radius[0].is_flat() {
            return 0.0;
        }
        (self.radius[1].mm() - self.radius[0].mm()) / (self.x_mm[1] - self.x_mm[0])
    }

    /// How much the crown falls for each millimetre along the board.
    pub fn fall_slope(&self) -> f64 {
        (self.fall_mm[1] - self.fall_mm[0]) / (self.x_mm[1] - self.x_mm[0])
    }

    /// The height of the surface over the straight centreline, mm.
    pub fn height(&self, x: f64, y: f64) -> f64 {
        -self.fall(x) - instrument::arc::drop(Radius::from_mm(self.radius_mm(x)), y)
    }

    fn between(&self, x: f64, first: f64, second: f64) -> f64 {
        if first == second {
            return first;
        }
        let share = (x - self.x_mm[0]) / (self.x_mm[1] - self.x_mm[0]);
        first + share * (second - first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use instrument::camber::{FallAway, Knot, Law, PastLastKnot};

    fn knot(x_mm: f64, radius: f64) -> Knot {
        Knot {
            x_mm,
            radius: Radius::from_mm(radius),
        }
    }

    #[test]
    fn a_cone_is_one_piece_and_stations_are_several() {
        let cone = Camber::new(
            Law::Cone,
            vec![knot(0.0, 240.0), knot(456.8, 400.0)],
            PastLastKnot::RunsOn,
            None,
        );
        assert_eq!(ruled(&cone, 0.0, 465.0).pieces.len(), 1);
        let fall = FallAway {
            from_fret: 12,
            from_x_mm: 317.5,
            end_x_mm: 465.0,
            depth_mm: 0.3,
        };
        let stations = Camber::new(
            Law::Stations,
            vec![knot(0.0, 150.0), knot(200.0, 210.0), knot(400.0, 380.0)],
            PastLastKnot::Held,
            Some(fall),
        );
        let pieces = ruled(&stations, 0.0, 465.0).pieces;
        let ends: Vec<f64> = pieces.iter().map(|piece| piece.x_mm[1]).collect();
        assert_eq!(ends, [200.0, 317.5, 400.0, 465.0]);
        for piece in &pieces {
            for (x, y) in [(0.3, 3.0), (0.5, -20.0), (0.9, 25.0)] {
                let x = piece.x_mm[0] + x * (piece.x_mm[1] - piece.x_mm[0]);
                assert!((piece.height(x, y) - stations.height(x, y)).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_flat_board_has_no_kink_but_its_fall() {
        let flat = Camber::new(
            Law::Single,
            vec![Knot {
                x_mm: 0.0,
                radius: Radius::FLAT,
            }],
            PastLastKnot::Held,
            None,
        );
        let pieces = ruled(&flat, -10.0, 400.0).pieces;
        assert_eq!(pieces.len(), 1);
        assert_eq!(pieces[0].height(100.0, 20.0), 0.0);
    }
}
