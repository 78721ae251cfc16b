//! Finishing passes of a ball along the rulings.
//!
//! The plane that touches the face is the same all along a ruling, so that the ball's centre runs
//! on a straight line beside it, its own radius off along the normal. Passes stand at equal steps
//! of the ruling's angle, the same on every piece, and so meet at the kinks; there both lines are
//! drawn to the one place that is a radius off both planes.

use instrument::outline::Outline;

use super::face::Face;
use super::moves::{Path, Point};
use crate::ruled::RuledPiece;

/// Scallop that is kept back for the rounding of the moves and of the proof, mm.
const KEPT_BACK_MM: f64 = 3e-4;
/// Finished face past both edges, at the least, mm: fine cutters come out of the slots there.
const PAST_EDGE_MM: f64 = 1.0;
/// Air that the ball has past the ends when it turns, mm.
const PAST_END_MM: f64 = 1.0;
/// How much of a piece's first radius is left where it is taken on past the board's end.
const LEAST_RADIUS_SHARE: f64 = 0.25;
/// No pass is taken on further past the board's ends than this, mm.
const FURTHEST_MM: f64 = 60.0;

/// How a ball finishes the face.
#[derive(Clone, Debug)]
pub(crate) struct Passes {
    /// The rulings that it follows, from the bass side to the treble side.
    pub rulings: Vec<f64>,
    /// From one to the next: an angle, or mm on a flat board.
    pub step: f64,
}

/// The passes that leave no more than the asked scallop; nothing when there would be more than
/// `most`.
pub(crate) fn passes(
    face: &Face,
    outline: &Outline,
    r: f64,
    scallop_mm: f64,
    most: usize,
) -> Result<Passes, f64> {
    let step = step(face, outline, r, scallop_mm);
    let (low, high) = range(face, outline, r);
    let count = ((high - low) / step).ceil().max(1.0);
    if count + 1.0 > most as f64 {
        return Err(count + 1.0);
    }
    let step = (high - low) / count;
    let rulings = (0..=count as usize).map(|index| low + step * index as f64);
    Ok(Passes {
        rulings: rulings.collect(),
        step,
    })
}

/// The feed moves of the passes, to and fro, each link beyond the board's ends.
pub(crate) fn way(face: &Face, outline: &Outline, r: f64, passes: &Passes) -> Vec<Vec<Point>> {
    let spans: Vec<(f64, f64)> = passes
        .rulings
        .iter()
        .map(|ruling| span(face, outline, r, *ruling))
        .collect();
    let mut ways = Vec::new();
    for (index, ruling) in passes.rulings.iter().enumerate() {
        let (mut from, mut to) = spans[index];
        let outward = index % 2 == 0;
        // A link runs straight across: the shorter of two passes is taken on to the longer's end.
        let joined = |other: Option<&(f64, f64)>, far: bool, own: f64| match (other, far) {
            (Some(other), true) => own.max(other.1),
            (Some(other), false) => own.min(other.0),
            (None, _) => own,
        };
        let (before, after) = (
            index.checked_sub(1).and_then(|i| spans.get(i)),
            spans.get(index + 1),
        );
        if outward {
            (from, to) = (joined(before, false, from), joined(after, true, to));
        } else {
            (from, to) = (joined(after, false, from), joined(before, true, to));
        }
        let mut way = pass(face, r, *ruling, from, to);
        if !outward {
            way.reverse();
        }
        ways.push(way);
    }
    ways
}

/// One pass from x to x, as the places of the ball's lowest point.
fn pass(face: &Face, r: f64, ruling: f64, from: f64, to: f64) -> Vec<Point> {
    let last = face.pieces.len() - 1;
    let mut way = Vec::new();
    let lowest =
        |[x, y, z]: Point, by: Point| [x + r * by[0], y + r * by[1], z + r * (by[2] - 1.0)];
    for (index, piece) in face.pieces.iter().enumerate() {
        let near = if index == 0 {
            from
        } else {
            from.max(piece.x_mm[0])
        };
        let far = if index == last {
            to
        } else {
            to.min(piece.x_mm[1])
        };
        if near >= far {
            continue;
        }
        let normal = face.normal(piece, ruling);
        if way.is_empty() {
            way.push(lowest(face.on_ruling(piece, ruling, near), normal));
        }
        let at_far = face.on_ruling(piece, ruling, far);
        let next = face.pieces.get(index + 1).filter(|_| far < to);
        let by = next.map_or(normal, |next| mitre(normal, face.normal(next, ruling)));
        way.push(lowest(at_far, by));
    }
    way
}

/// The way from a place where two planes meet to the nearest place that is 1 off both.
fn mitre(one: Point, other: Point) -> Point {
    let dot: f64 = one.iter().zip(&other).map(|(a, b)| a * b).sum();
    std::array::from_fn(|axis| (one[axis] + other[axis]) / (1.0 + dot))
}

/// The four sides within which passes serve the board, each positive inside and linear in plan:
/// `[at the origin, by x, by y]`.
fn sides(outline: &Outline, past_edge: f64, past_end: f64) -> [[f64; 3]; 4] {
    let edge = |edge: instrument::outline::Edge, sign: f64| {
        let length = (1.0 + edge.rise * edge.rise).sqrt();
        [edge.at_nut_mm + past_edge * length, edge.rise, -sign]
    };
    let end = |line: instrument::scale::CrossLine, sign: f64| {
        let length = (1.0 + line.slope * line.slope).sqrt();
        [
            past_end * length - sign * line.x_mm,
            sign,
            -sign * line.slope,
        ]
    };
    [
        edge(outline.treble, 1.0),
        edge(outline.bass, -1.0),
        end(outline.nut, 1.0),
        end(outline.end, -1.0),
    ]
}

fn past_end(r: f64) -> f64 {
    r + PAST_END_MM
}

/// How far a piece is followed along the board, past the board's ends too.
fn reach(face: &Face, index: usize, outline: &Outline) -> (f64, f64) {
    let piece = &face.pieces[index];
    let (mut from, mut to) = (piece.x_mm[0], piece.x_mm[1]);
    let slope = piece.radius_slope();
    let shrink = |radius: f64| (1.0 - LEAST_RADIUS_SHARE) * radius / slope.abs();
    if index == 0 {
        from = outline.reach().0 - FURTHEST_MM;
        if slope > 0.0 {
            from = from.max(piece.x_mm[0] - shrink(piece.radius[0].mm()));
        }
    }
    if index + 1 == face.pieces.len() {
        to = outline.reach().1 + FURTHEST_MM;
        if slope < 0.0 {
            to = to.min(piece.x_mm[1] + shrink(piece.radius[1].mm()));
        }
    }
    (from, to)
}

/// Where along the board a ruling serves it: within the outline and what the scallop and the
/// turning need past it. A ruling that nowhere does serves a single place.
fn span(face: &Face, outline: &Outline, r: f64, ruling: f64) -> (f64, f64) {
    let sides = sides(outline, PAST_EDGE_MM, past_end(r));
    let mut found: Option<(f64, f64)> = None;
    for (index, piece) in face.pieces.iter().enumerate() {
        let (mut from, mut to) = reach(face, index, outline);
        let base = face.on_ruling(piece, ruling, piece.x_mm[0]);
        let rise = face.along_ruling(piece, ruling)[1];
        for [origin, by_x, by_y] in sides {
            // Along the ruling y = base + rise (x - x0) the side is c + m x.
            let m = by_x + by_y * rise;
            let c = origin + by_y * (base[1] - rise * base[0]);
            if m > 0.0 {
                from = from.max(-c / m);
            } else if m < 0.0 {
                to = to.min(-c / m);
            } else if c < 0.0 {
                to = f64::NEG_INFINITY;
            }
        }
        if from < to {
            let (low, high) = found.unwrap_or((from, to));
            found = Some((low.min(from), high.max(to)));
        }
    }
    let middle = 0.5 * (outline.nut.x_mm + outline.end.x_mm);
    found.unwrap_or((middle - r, middle + r))
}

/// The outermost rulings that serve the board.
fn range(face: &Face, outline: &Outline, r: f64) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let ends = outline.reach();
    for (index, piece) in face.pieces.iter().enumerate() {
        let (from, to) = reach(face, index, outline);
        let beyond = past_end(r);
        for x in [from.max(ends.0 - beyond), to.min(ends.1 + beyond)] {
            high = high.max(face.ruling_at(piece, x, outline.treble.at(x) + PAST_EDGE_MM));
            low = low.min(face.ruling_at(piece, x, -outline.bass.at(x) - PAST_EDGE_MM));
        }
    }
    (low, high)
}

/// The greatest step that leaves no more than the asked scallop anywhere on the board.
fn step(face: &Face, outline: &Outline, r: f64, scallop_mm: f64) -> f64 {
    let asked = (scallop_mm - KEPT_BACK_MM).max(0.2 * scallop_mm);
    let edges = board_range(face, outline);
    let worst = |step: f64| {
        let left = |(piece, x): (&RuledPiece, f64)| {
            [edges.0, 0.0, edges.1 - step]
                .map(|ruling| left_between(face, piece, x, [ruling, ruling + step], r))
        };
        let places = face
            .pieces
            .iter()
            .flat_map(|piece| piece.x_mm.map(|x| (piece, x)));
        places.flat_map(left).fold(0.0, f64::max)
    };
    let widest = face.pieces.iter().flat_map(|piece| piece.radius);
    let widest = widest.map(|radius| radius.mm()).fold(0.0, f64::max);
    let unit = if face.is_flat() { 1.0 } else { widest };
    // A flat's step is longer than a convex face allows at the widest place.
    let (mut low, mut high) = (0.0, super::scallop::flat_step_mm(r, asked) * 1.02 / unit);
    for _ in 0..45 {
        let middle = 0.5 * (low + high);
        if worst(middle) <= asked {
            low = middle;
        } else {
            high = middle;
        }
    }
    low.max(1e-9)
}

/// The rulings at the board's edges.
fn board_range(face: &Face, outline: &Outline) -> (f64, f64) {
    let (mut low, mut high) = (0.0f64, 0.0f64);
    for piece in &face.pieces {
        for x in piece.x_mm {
            high = high.max(face.ruling_at(piece, x, outline.treble.at(x)));
            low = low.min(face.ruling_at(piece, x, -outline.bass.at(x)));
        }
    }
    (low, high)
}

/// What a ball leaves over the face between the passes along two rulings of a piece, in the
/// section at x, mm upright: where the two ways of the ball meet.
fn left_between(face: &Face, piece: &RuledPiece, x: f64, rulings: [f64; 2], r: f64) -> f64 {
    let lines = rulings.map(|ruling| Line::new(face, piece, ruling, x, r));
    let [mut low, mut high] = rulings.map(|ruling| face.on_ruling(piece, ruling, x)[1]);
    for _ in 0..30 {
        let y = 0.5 * (low + high);
        if lines[0].lowest(x, y, r) < lines[1].lowest(x, y, r) {
            low = y;
        } else {
            high = y;
        }
    }
    let y = 0.5 * (low + high);
    let curvature = 1.0 / piece.radius_mm(x);
    let finished = face.crown_mm - piece.fall(x) - instrument::arc::drop_of_curvature(curvature, y);
    lines[0].lowest(x, y, r) - finished
}

/// The straight line of a ball's centre, without ends.
struct Line {
    centre: Point,
    /// Its direction in plan, and its rise for each mm of it.
    plan: [f64; 2],
    rise: f64,
}

impl Line {
    fn new(face: &Face, piece: &RuledPiece, ruling: f64, x: f64, r: f64) -> Self {
        let (at, normal) = (face.on_ruling(piece, ruling, x), face.normal(piece, ruling));
        let [along, across, up] = face.along_ruling(piece, ruling);
        let length = along.hypot(across);
        Self {
            centre: std::array::from_fn(|axis| at[axis] + r * normal[axis]),
            plan: [along / length, across / length],
            rise: up / length,
        }
    }

    /// The lowest that the ball comes at a place in plan; infinite where it does not come.
    fn lowest(&self, x: f64, y: f64, r: f64) -> f64 {
        let (dx, dy) = (x - self.centre[0], y - self.centre[1]);
        let along = dx * self.plan[0] + dy * self.plan[1];
        let aside = dy * self.plan[0] - dx * self.plan[1];
        let half_squared = r * r - aside * aside;
        if half_squared < 0.0 {
            return f64::INFINITY;
        }
        let steep = (1.0 + self.rise * self.rise).sqrt();
        self.centre[2] + self.rise * along - half_squared.sqrt() * steep
    }
}

/// The whole way of the finishing program.
pub(crate) fn path(ways: &[Vec<Point>], feed: [f64; 2], heights: [f64; 2]) -> Option<Path> {
    let [along, plunge] = feed;
    let [safe, near] = heights;
    let first = *ways.first()?.first()?;
    let mut path = Path::from([first[0], first[1], safe]);
    path.rapid([first[0], first[1], near]);
    path.feed(first, plunge);
    for place in ways.iter().flatten().skip(1) {
        path.feed(*place, along);
    }
    let [x, y, _] = path.end();
    path.rapid([x, y, safe]);
    Some(path)
}
