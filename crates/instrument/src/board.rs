//! The finished surface measured: lane humps, each fret's own arc, the wood above the camber.

use crate::arc::{arc_length, area_above, drop};
use crate::camber::Camber;
use crate::instrument::Instrument;
use crate::integrate::{greatest, integrate, nodes, pieces};
use crate::lanes::Lane;
use crate::outline::Outline;
use crate::scale::CrossLine;

/// The curve of a fret across the board, in the upright plane through its line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FretArc {
    /// Length of the curve from edge to edge, mm.
    pub length_mm: f64,
    /// Radius of the circle that fits it best, mm; infinite on a flat board.
    pub radius_mm: f64,
    /// Length of the fret's line in plan, mm.
    pub chord_mm: f64,
}

/// The fret's own arc. Square to the centreline it is the camber's; a skewed fret sees a
/// flatter one, about `R / cos²θ`.
pub fn fret_arc(instrument: &Instrument, line: CrossLine) -> FretArc {
    let [treble, bass] = instrument.outline.edges_of(line);
    let chord_mm = (treble.0 - bass.0).hypot(treble.1 - bass.1);
    if line.slope == 0.0 {
        let radius = instrument.camber.radius(line.x_mm);
        let side = |y: f64| 0.5 * arc_length(radius, y.abs());
        let length_mm = side(treble.1) + side(bass.1);
        return FretArc {
            length_mm,
            radius_mm: radius.mm(),
            chord_mm,
        };
    }
    skewed_arc(&instrument.camber, treble, bass, chord_mm)
}

/// Length and best circle of a skewed fret's section. The section has a kink where a knot of the
/// camber or the fall-away's beginning lies under the fret: it is cut there.
fn skewed_arc(camber: &Camber, treble: (f64, f64), bass: (f64, f64), chord_mm: f64) -> FretArc {
    let at = |share: f64| {
        let between = |from: f64, to: f64| from + share * (to - from);
        (between(bass.0, treble.0), between(bass.1, treble.1))
    };
    let height = |share: f64| {
        let (x, y) = at(share);
        camber.height(x, y)
    };
    let kinks: Vec<f64> = camber
        .breaks()
        .iter()
        .map(|x| (x - bass.0) / (treble.0 - bass.0))
        .collect();
    let mut length_mm = 0.0;
    let mut points = Vec::new();
    for (start, end) in pieces(0.0, 1.0, &kinks) {
        // A kink that meets the edge but for rounding cuts off nothing.
        if end - start < 1e-9 {
            continue;
        }
        // One-sided at the piece's ends, where the slope may jump.
        let step = 1e-5 * (end - start);
        let slope = |share: f64| {
            let (low, high) = ((share - step).max(start), (share + step).min(end));
            (height(high) - height(low)) / ((high - low) * chord_mm)
        };
        let middle = 0.5 * (start + end);
        length_mm += chord_mm
            * integrate(start, end, &[middle], |share| {
                (1.0 + slope(share).powi(2)).sqrt()
            });
        for (share, weight) in nodes(start, end) {
            points.push(Weighed {
                t: chord_mm * (share - 0.5),
                z: height(share),
                weight,
            });
        }
    }
    FretArc {
        length_mm,
        radius_mm: best_circle(&points).map_or(f64::INFINITY, Circle::radius_mm),
        chord_mm,
    }
}

/// A point of a section with its share of the section's length.
struct Weighed {
    t: f64,
    z: f64,
    weight: f64,
}

/// The circle that fits a section best.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its curvature where t = 0, 1/mm; positive when it arches upward.
    pub curvature: f64,
    /// The slope angle of its tangent there, radians.
    pub angle: f64,
    /// Its height there, mm.
    pub level_mm: f64,
}

impl Circle {
    /// The circle with the least mean square of radial distances from points `(t, z)`; nothing for
    /// fewer than three, or when they stand one over the other.
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        let weighed = |(t, z): &(f64, f64)| Weighed {
            t: *t,
            z: *z,
            weight: 1.0,
        };
        let points: Vec<Weighed> = points.iter().map(weighed).collect();
        (points.len() > 2).then(|| best_circle(&points))?
    }

    /// Its radius, mm; infinite for a straight line.
    pub fn radius_mm(self) -> f64 {
        if self.curvature.abs() < 1e-12 || !self.curvature.is_finite() {
            f64::INFINITY
        } else {
            1.0 / self.curvature.abs()
        }
    }

    /// How far a point lies outside the circle, mm.
    pub fn distance_mm(self, (t, z): (f64, f64)) -> f64 {
        let point = Weighed { t, z, weight: 1.0 };
        radial_distance(self, &point).1
    }
}

/// The circle that fits a section best, by Gauss-Newton from the parabola that does.
///
/// The circle is written by its curvature κ and by its slope angle φ and level at t = 0, so that
/// a nearly flat one is as well told as a tight one.
fn best_circle(points: &[Weighed]) -> Option<Circle> {
    let [bend, tilt, level] = parabola(points)?;
    let mut circle = Circle {
        curvature: -2.0 * bend,
        angle: tilt.atan(),
        level_mm: level,
    };
    for _ in 0..30 {
        let mut sums = Normal3::default();
        for point in points {
            let (row, distance) = radial_distance(circle, point);
            sums.add(row, distance, point.weight);
        }
        let Some(change) = sums.solve() else { break };
        circle.curvature -= change[0];
        circle.angle -= change[1];
        circle.level_mm -= change[2];
        if change[0].abs() <= 1e-13 * circle.curvature.abs() {
            break;
        }
    }
    Some(circle)
}

/// The radial distance of a point from a circle, and its derivatives by curvature, angle and level.
///
/// With u along the tangent and v along the normal at t = 0, the distance `|p - c| - R` is
/// `g / (1 + S)` for `g = κ(u² + v²) + 2v` and `S = sqrt(1 + κ g)`: no large number is taken from
/// another, and κ may be zero.
fn radial_distance(circle: Circle, point: &Weighed) -> ([f64; 3], f64) {
    let Circle {
        curvature,
        angle,
        level_mm: level,
    } = circle;
    let (sin, cos) = angle.sin_cos();
    let above = point.z - level;
    let (u, v) = (point.t * cos + above * sin, above * cos - point.t * sin);
    let squares = u * u + v * v;
    let g = curvature * squares + 2.0 * v;
    let root = (1.0 + curvature * g).max(0.0).sqrt();
    let distance = g / (1.0 + root);
    // d = g/(1+S): d' = g'/(1+S) - g S'/(1+S)², with S' = (κ g)'/(2S).
    let by = |g_by: f64, kappa_by: f64| {
        let root_by = (curvature * g_by + kappa_by * g) / (2.0 * root);
        g_by / (1.0 + root) - g * root_by / ((1.0 + root) * (1.0 + root))
    };
    let by_level = -2.0 * (curvature * (u * sin + v * cos) + cos);
    (
        [by(squares, 1.0), by(-2.0 * u, 0.0), by(by_level, 0.0)],
        distance,
    )
}

/// Least-squares parabola `[bend, tilt, level]` through points.
fn parabola(points: &[Weighed]) -> Option<[f64; 3]> {
    let mut sums = Normal3::default();
    for point in points {
        sums.add([point.t * point.t, point.t, 1.0], point.z, point.weight);
    }
    sums.solve()
}

/// Normal equations of a least-squares problem in three unknowns.
#[derive(Default)]
struct Normal3 {
    matrix: [[f64; 3]; 3],
    right: [f64; 3],
}

impl Normal3 {
    fn add(&mut self, row: [f64; 3], value: f64, weight: f64) {
        for i in 0..3 {
            for j in 0..3 {
                self.matrix[i][j] += weight * row[i] * row[j];
            }
            self.right[i] += weight * row[i] * value;
        }
    }

    /// Cramer's rule; nothing when the columns depend on one another.
    fn solve(&self) -> Option<[f64; 3]> {
        let whole = determinant(&self.matrix);
        if whole == 0.0 || !whole.is_finite() {
            return None;
        }
        let with_column = |column: usize| {
            let mut matrix = self.matrix;
            for (row, value) in matrix.iter_mut().zip(self.right) {
                row[column] = value;
            }
            determinant(&matrix) / whole
        };
        Some([with_column(0), with_column(1), with_column(2)])
    }
}

fn determinant(m: &[[f64; 3]; 3]) -> f64 {
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
        - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
}

/// The greatest height of the surface over (positive) or under (negative) the straight chord
/// from nut to last fret under a lane, mm.
pub fn lane_hump_mm(camber: &Camber, lane: &Lane, nut: CrossLine, last_fret: CrossLine) -> f64 {
    let (from, to) = (lane.cross(nut).0, lane.cross(last_fret).0);
    let over = |x: f64| over_chord(camber, lane, from, to, x);
    let mut hump = 0.0f64;
    for (start, end) in pieces(from, to, &camber.breaks()) {
        for sign in [1.0, -1.0] {
            let (_, height) = greatest(start, end, 24, |x| sign * over(x));
            if height > hump.abs() {
                hump = sign * height;
            }
        }
    }
    hump
}

/// Height of the surface over the chord between `from` and `to` under a lane, at `x`, mm.
pub fn over_chord(camber: &Camber, lane: &Lane, from: f64, to: f64, x: f64) -> f64 {
    let z = |x: f64| camber.height(x, lane.y_at(x));
    let share = (x - from) / (to - from);
    z(x) - (z(from) + share * (z(to) - z(from)))
}

/// The wood above the finished surface in a flat blank whose face touches the crown, mm³: the
/// camber's share, and the fall-away's.
pub fn removed_mm3(camber: &Camber, outline: &Outline) -> (f64, f64) {
    let mut breaks = camber.breaks();
    breaks.extend(outline.breaks());
    let (from, to) = outline.reach();
    let over_span = |f: &dyn Fn(f64, f64, f64) -> f64| {
        integrate(from, to, &breaks, |x| {
            outline.span(x).map_or(0.0, |(low, high)| f(x, low, high))
        })
    };
    let arch = over_span(&|x, low, high| {
        let radius = camber.radius(x);
        area_above(radius, high) - area_above(radius, low)
    });
    let fall = over_span(&|x, low, high| camber.fall(x) * (high - low));
    (arch, fall)
}

/// How far the finished surface lies under the crown's height at the further edge, at `x`, mm.
pub fn edge_drop_mm(camber: &Camber, outline: &Outline, x: f64) -> f64 {
    drop(camber.radius(x), outline.half_width(x))
}
