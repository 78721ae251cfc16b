//! One smooth stretch of a face: a circular arc square to the centreline whose radius and crown
//! run straight along it; and the exact curves in which upright planes cut it.
//!
//! At a fixed angle θ of the arc the surface is a straight line in x, and all these lines meet
//! where the radius would be zero: it is a cone, or a cylinder. It is not a right circular cone,
//! though. With its crown on a straight line, `y² + z² + 2 m x z = 0` counted from the apex, it
//! differs from the right one by about `z² m² / (2 R)`, 0.3 µm on an ordinary board. So it leaves
//! as a rational B-spline, which is exact, and never as a `CONICAL_SURFACE`, which would be wrong.

use instrument::Radius;
use instrument::arc::{area_above, drop};

use super::shell::Curve;
use crate::ruled::RuledPiece;

/// A smooth stretch of a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Arch {
    /// Its ends along the board, mm.
    pub x_mm: [f64; 2],
    /// The radius at its ends, mm; infinite at both where it is flat.
    pub radius_mm: [f64; 2],
    /// Height on the centreline at its ends, mm.
    pub crown_mm: [f64; 2],
    /// 1 where it falls from the centreline to the edges, -1 where it is a hollow.
    pub falls: f64,
}

impl Arch {
    /// A level floor.
    pub fn level(height_mm: f64) -> Self {
        Self {
            x_mm: [0.0, 1.0],
            radius_mm: [f64::INFINITY; 2],
            crown_mm: [height_mm; 2],
            falls: 1.0,
        }
    }

    /// A piece of the finished surface.
    pub fn finished(piece: &RuledPiece) -> Self {
        Self {
            x_mm: piece.x_mm,
            radius_mm: piece.radius.map(Radius::mm),
            crown_mm: piece.fall_mm.map(|fall| -fall),
            falls: 1.0,
        }
    }

    /// The same surface moved straight down.
    pub fn lowered(&self, depth_mm: f64) -> Self {
        Self {
            crown_mm: self.crown_mm.map(|crown| crown - depth_mm),
            ..*self
        }
    }

    pub fn is_flat(&self) -> bool {
        self.radius_mm[0].is_infinite()
    }

    pub fn radius(&self, x: f64) -> f64 {
        self.between(x, self.radius_mm)
    }

    pub fn crown(&self, x: f64) -> f64 {
        self.between(x, self.crown_mm)
    }

    /// How much the radius grows for each millimetre along; 0 where it is flat.
    pub fn radius_slope(&self) -> f64 {
        if self.radius_mm[0] == self.radius_mm[1] {
            return 0.0;
        }
        (self.radius_mm[1] - self.radius_mm[0]) / (self.x_mm[1] - self.x_mm[0])
    }

    pub fn crown_slope(&self) -> f64 {
        (self.crown_mm[1] - self.crown_mm[0]) / (self.x_mm[1] - self.x_mm[0])
    }

    pub fn height(&self, [x, y]: [f64; 2]) -> f64 {
        self.crown(x) - self.falls * drop(Radius::from_mm(self.radius(x)), y)
    }

    /// The slopes of the height along and across.
    pub fn slopes(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let curvature = 1.0 / self.radius(x);
        let reach = curvature * y;
        // With s = sqrt(1 - κ²y²): ∂drop/∂R = 1 - 1/s = -κ²y²/(s(1+s)), ∂drop/∂y = κy/s.
        let root = (1.0 - reach * reach).sqrt();
        let by_radius = -reach * reach / (root * (1.0 + root));
        [
            self.crown_slope() - self.falls * self.radius_slope() * by_radius,
            -self.falls * reach / root,
        ]
    }

    /// `∫ z dy` from the centreline to y, mm².
    pub fn area(&self, [x, y]: [f64; 2]) -> f64 {
        self.crown(x) * y - self.falls * area_above(Radius::from_mm(self.radius(x)), y)
    }

    /// How far a point lies off the arc, mm: in the section square to the centreline, and so no
    /// less than it lies off the surface.
    pub fn off_mm(&self, [x, y, z]: [f64; 3]) -> f64 {
        let fallen = self.falls * (self.crown(x) - z);
        if self.is_flat() {
            return fallen.abs();
        }
        // |sqrt(y² + (R-u)²) - R| without taking one large number from another.
        let radius = self.radius(x);
        let outside = y * y + fallen * fallen - 2.0 * radius * fallen;
        (outside / (y.hypot(radius - fallen) + radius)).abs()
    }

    /// The curve in which the upright plane through both points cuts the surface. Both lie on it.
    ///
    /// The surface is a quadric, so that the curve is a conic: a rational parabola whose three
    /// poles and one weight are exact. Square to the centreline it is a circle.
    pub fn curve(&self, from: [f64; 3], to: [f64; 3]) -> Curve {
        /// A curve that bends less than this is a straight line, mm.
        const STRAIGHT_MM: f64 = 1e-9;
        let middle = halfway(from, to);
        let rise = self.height([middle[0], middle[1]]) - middle[2];
        if self.is_flat() || rise.abs() < STRAIGHT_MM {
            return Curve::Line;
        }
        if from[0] == to[0] {
            return self.circle(from, to);
        }
        self.conic(from, to)
    }

    fn circle(&self, from: [f64; 3], to: [f64; 3]) -> Curve {
        let (x, radius) = (from[0], self.radius(from[0]));
        // About +x the turn runs from y to z: over a crown, rising y is a turn backward.
        let forward = (to[1] < from[1]) == (self.falls > 0.0);
        Curve::Circle {
            centre: [x, 0.0, self.crown(x) - self.falls * radius],
            axis: [if forward { 1.0 } else { -1.0 }, 0.0, 0.0],
            zero: [0.0, 0.0, self.falls],
            radius_mm: radius,
        }
    }

    fn conic(&self, from: [f64; 3], to: [f64; 3]) -> Curve {
        let run = [to[0] - from[0], to[1] - from[1]];
        let slope = |at: [f64; 3]| {
            let [along, across] = self.slopes([at[0], at[1]]);
            along * run[0] + across * run[1]
        };
        let (first, last) = (slope(from), slope(to));
        // Where the tangents at both ends meet, as a share of the way.
        let share = (to[2] - last - from[2]) / (first - last);
        let pole = [
            from[0] + share * run[0],
            from[1] + share * run[1],
            from[2] + share * first,
        ];
        let middle = halfway(from, to);
        // The curve's shoulder lies between the chord's middle and that pole: with u the depth
        // under the crown, R u - (y² + u²)/2 = 0 is quadratic in the share λ of that way.
        let fallen = |at: [f64; 3]| self.falls * (self.crown(at[0]) - at[2]);
        let (u, y, r) = (fallen(middle), middle[1], self.radius(middle[0]));
        let (du, dy, dr) = (
            fallen(pole) - u,
            pole[1] - y,
            self.radius_slope() * (pole[0] - middle[0]),
        );
        let a = dr * du - 0.5 * (dy * dy + du * du);
        let b = r * du + dr * u - y * dy - u * du;
        let c = r * u - 0.5 * (y * y + u * u);
        let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
        let shoulder = -2.0 * c / (b + root.copysign(b));
        Curve::Conic {
            pole,
            weight: shoulder / (1.0 - shoulder),
        }
    }

    fn between(&self, x: f64, [first, second]: [f64; 2]) -> f64 {
        if first == second {
            return first;
        }
        let share = (x - self.x_mm[0]) / (self.x_mm[1] - self.x_mm[0]);
        first + share * (second - first)
    }
}

pub(crate) fn halfway(from: [f64; 3], to: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|i| 0.5 * (from[i] + to[i]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cone(falls: f64) -> Arch {
        Arch {
            x_mm: [-3.0, 460.0],
            radius_mm: [239.0, 401.0],
            crown_mm: [0.0, -0.4],
            falls,
        }
    }

    fn on(arch: &Arch, [x, y]: [f64; 2]) -> [f64; 3] {
        [x, y, arch.height([x, y])]
    }

    /// A point of a curve at a share of its own parameter.
    fn at(curve: &Curve, from: [f64; 3], to: [f64; 3], t: f64) -> [f64; 3] {
        let Curve::Conic { pole, weight } = curve else {
            panic!("no conic: {curve:?}");
        };
        let shares = [(1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t) * weight, t * t];
        let sum: f64 = shares.iter().sum();
        [0, 1, 2].map(|i| (shares[0] * from[i] + shares[1] * pole[i] + shares[2] * to[i]) / sum)
    }

    #[test]
    fn every_upright_cut_is_exactly_a_conic() {
        // Along an edge, along a fan's fret, along a slot's short end, across nearly square.
        let ways = [
            ([0.0, 21.0], [460.0, 28.0]),
            ([12.0, -22.0], [30.0, 22.0]),
            ([100.0, -24.0], [100.6, -24.01]),
            ([200.0, -25.0], [200.000_1, 25.0]),
            ([50.0, -25.0], [450.0, 25.0]),
        ];
        for falls in [1.0, -1.0] {
            let arch = cone(falls);
            for (from, to) in ways.map(|(from, to)| (on(&arch, from), on(&arch, to))) {
                let curve = arch.curve(from, to);
                if curve == Curve::Line {
                    // So short a stretch does not bend by a millionth of a micrometre.
                    assert!(arch.off_mm(halfway(from, to)) < 1e-9);
                    continue;
                }
                for step in 1..20 {
                    let point = at(&curve, from, to, 0.05 * f64::from(step));
                    assert!(
                        arch.off_mm(point) < 1e-11,
                        "{from:?} {to:?} {}",
                        arch.off_mm(point)
                    );
                    // It stays in the upright plane through both ends.
                    let cross = (point[0] - from[0]) * (to[1] - from[1])
                        - (point[1] - from[1]) * (to[0] - from[0]);
                    assert!(cross.abs() < 1e-9);
                }
            }
        }
    }

    #[test]
    fn square_cuts_are_circles_and_rulings_are_lines() {
        let arch = cone(1.0);
        let (from, to) = (on(&arch, [100.0, -20.0]), on(&arch, [100.0, 22.0]));
        let Curve::Circle {
            centre, radius_mm, ..
        } = arch.curve(from, to)
        else {
            panic!("no circle");
        };
        for end in [from, to] {
            let out = (end[1] - centre[1]).hypot(end[2] - centre[2]);
            assert!((out - radius_mm).abs() < 1e-11);
        }
        let along = |x: f64| on(&arch, [x, 0.08 * arch.radius(x)]);
        assert_eq!(arch.curve(along(0.0), along(450.0)), Curve::Line);
    }

    #[test]
    fn slopes_agree_with_differences() {
        for falls in [1.0, -1.0] {
            let (arch, [x, y], step) = (cone(falls), [180.0, 23.0], 1e-4);
            let slope = |dx: f64, dy: f64| {
                let ahead = arch.height([x + dx, y + dy]);
                (ahead - arch.height([x - dx, y - dy])) / (2.0 * step)
            };
            let [along, across] = arch.slopes([x, y]);
            assert!((along - slope(step, 0.0)).abs() < 1e-9);
            assert!((across - slope(0.0, step)).abs() < 1e-9);
        }
    }

    #[test]
    fn a_right_circular_cone_would_miss_the_camber() {
        let arch = Arch {
            crown_mm: [0.0; 2],
            ..cone(1.0)
        };
        let [x, y] = [100.0, 24.0];
        let (z, slope) = (arch.height([x, y]), arch.radius_slope());
        // The right cone with the same crown and the same opening there, counted from the apex:
        // its axis leans by α = atan m, so that y² + z² + 2 m x z - m² z² = 0.
        let (half, square) = (arch.radius(x), 1.0 - slope * slope);
        let right = -y * y / (half + (half * half - square * y * y).sqrt());
        let misses = right - z;
        let expected = z * z * slope * slope / (2.0 * half);
        assert!(
            (misses / expected - 1.0).abs() < 0.02,
            "{misses} {expected}"
        );
        assert!(misses.abs() > 1e-4);
    }
}
