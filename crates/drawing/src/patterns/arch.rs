//! A circle seen from its end, laid over a nut, a saddle or a board: its height, and its line.

use instrument::board::Circle;

use crate::{Path, Point};

/// A circle flatter than this is drawn as a straight line, 1/mm: over the 100 mm of the widest nut
/// the two differ by about a nanometre.
const FLAT: f64 = 1e-9;
/// The share of its radius that a circle may be drawn to, to either side.
const MOST_REACH: f64 = 0.9;

/// An arched line across the board, `t` toward the treble side and `z` up, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arch(pub(super) Circle);

impl Arch {
    /// The arch of a radius with its crest on the centreline at a height, mm.
    pub(super) fn level(curvature: f64, level_mm: f64) -> Self {
        Self(Circle {
            curvature,
            angle: 0.0,
            level_mm,
        })
    }

    /// The best circle through points `(t, z)` that reaches `half` mm to both sides; through fewer
    /// than three, or where their own does not reach, an arch of the given curvature in the mean.
    pub(super) fn through(points: &[(f64, f64)], half_mm: f64, curvature: f64) -> Self {
        let best = Circle::through(points).map(Self);
        if let Some(best) = best.filter(|arch| arch.reaches(half_mm)) {
            return best;
        }
        let plain = Self::level(curvature, 0.0);
        let over: f64 = points.iter().map(|(t, z)| z - plain.height(*t)).sum();
        Self::level(curvature, over / points.len().max(1) as f64)
    }

    fn reaches(self, half_mm: f64) -> bool {
        [-half_mm, half_mm]
            .iter()
            .all(|t| self.sine(*t).abs() <= MOST_REACH)
    }

    /// The sine of the line's angle at a place.
    fn sine(self, t: f64) -> f64 {
        self.0.angle.sin() - self.0.curvature * t
    }

    /// Height at a place, mm. The circle goes through (0, level) at its angle there, so that with
    /// ψ the angle at t: `sin ψ = sin φ − κ t` and `z = level + t (sin φ + sin ψ)/(cos φ + cos ψ)`,
    /// in which κ may be zero.
    pub(super) fn height(self, t: f64) -> f64 {
        let (start, cosine) = self.0.angle.sin_cos();
        let sine = self.sine(t).clamp(-1.0, 1.0);
        let there = (1.0 - sine * sine).sqrt();
        self.0.level_mm + t * (start + sine) / (cosine + there)
    }

    /// How far a point lies outside the circle, mm.
    pub(super) fn distance_mm(self, point: (f64, f64)) -> f64 {
        self.0.distance_mm(point)
    }

    /// The radius, mm; infinite for a straight line.
    pub(super) fn radius_mm(self) -> f64 {
        self.0.radius_mm()
    }

    /// The line from one place to another, seen with the treble side at the left.
    pub(super) fn path(self, from: f64, to: f64) -> Path {
        let curvature = self.0.curvature;
        if curvature.abs() < FLAT {
            return Path::line(self.point(from), self.point(to));
        }
        let (sine, cosine) = self.0.angle.sin_cos();
        let centre = seen(sine / curvature, self.0.level_mm - cosine / curvature);
        // Above its centre an arch is drawn about the upward direction, a hollow about the other.
        let upright = if curvature > 0.0 { -90.0 } else { 90.0 };
        let degrees = |t: f64| upright + self.sine(t).clamp(-1.0, 1.0).asin().to_degrees();
        Path::arc(centre, 1.0 / curvature.abs(), degrees(from), degrees(to))
    }

    /// The point of the line at a place.
    pub(super) fn point(self, t: f64) -> Point {
        seen(t, self.height(t))
    }
}

/// A place across and a height as a point of the pattern: treble side at the left, as seen from the
/// nut's front face toward the saddle when the board lies face up.
pub(super) fn seen(t: f64, z: f64) -> Point {
    Point::new(-t, -z)
}

/// A smooth curve `t -> z` as cubic pieces that meet it in place and slope at every joint.
///
/// Accuracy: `h⁴/384` of the fourth derivative, for pieces `h` wide (Hermite interpolation, from
/// memory): a nanometre for 2 mm on a radius of 250 mm.
pub(super) fn curve(height: impl Fn(f64) -> f64, from: f64, to: f64) -> Path {
    // An even number, so that a kink on the centreline falls on a joint.
    let pieces = 2 * ((to - from).abs() / 4.0).ceil().clamp(1.0, 500.0) as usize;
    let step = (to - from) / pieces as f64;
    let reach = 1e-4 * step;
    let slope = |t: f64| (height(t + reach) - height(t - reach)) / (2.0 * reach);
    let mut path = Path::new().move_to(seen(from, height(from)));
    for piece in 0..pieces {
        let (a, b) = (from + step * piece as f64, from + step * (piece + 1) as f64);
        let third = step / 3.0;
        path = path.cubic_to(
            seen(a + third, height(a) + third * slope(a)),
            seen(b - third, height(b) - third * slope(b)),
            seen(b, height(b)),
        );
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_are_those_of_the_circle_flat_or_tight_up_or_down() {
        for curvature in [1.0 / 60.0, 1.0 / 400.0, -1.0 / 90.0, 1e-13, 0.0] {
            for angle in [-0.05, 0.0, 0.03] {
                let arch = Arch(Circle {
                    curvature,
                    angle,
                    level_mm: 2.0,
                });
                for t in [-26.0, -3.0, 0.0, 11.0, 26.0] {
                    let off = arch.distance_mm((t, arch.height(t)));
                    assert!(off.abs() < 1e-12, "κ {curvature}, φ {angle}, t {t}: {off}");
                }
            }
        }
    }

    #[test]
    fn the_drawn_line_passes_through_its_own_heights() {
        for curvature in [1.0 / 60.0, -1.0 / 90.0, 0.0] {
            let arch = Arch(Circle {
                curvature,
                angle: 0.02,
                level_mm: 1.0,
            });
            let path = arch.path(20.0, -22.0);
            let (first, last) = (path.points().next(), path.points().last());
            for (drawn, t) in [(first, 20.0), (last, -22.0)] {
                let (drawn, wanted) = (drawn.unwrap(), arch.point(t));
                assert!((drawn.x - wanted.x).hypot(drawn.y - wanted.y) < 1e-10);
            }
        }
    }

    #[test]
    fn a_curve_in_pieces_keeps_to_a_circle_within_a_nanometre() {
        let radius: f64 = 250.0;
        let height = |t: f64| -t * t / (radius + (radius * radius - t * t).sqrt());
        let path = curve(height, 30.0, -30.0);
        let mut pen = Point::default();
        for segment in &path.segments {
            if let crate::Segment::Cubic(a, b, end) = *segment {
                let at = pen.toward(a, 0.5).toward(a.toward(b, 0.5), 0.5);
                let next = a.toward(b, 0.5).toward(b.toward(end, 0.5), 0.5);
                let middle = at.toward(next, 0.5);
                assert!((middle.x.hypot(radius - middle.y) - radius).abs() < 1e-6 * 0.01);
                pen = end;
            } else if let crate::Segment::Move(at) = *segment {
                pen = at;
            }
        }
    }
}
