//! A straight line in plan, and the heights at which a flat end follows the face along it.

use super::face::Face;
use super::moves::Point;

/// No piece of a followed way is cut shorter than this, mm.
const LEAST_PIECE_MM: f64 = 0.2;

/// How the face is followed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Follow {
    /// Of the flat end, mm.
    pub radius: f64,
    /// How far over the face it stays, mm; negative for a floor under it.
    pub over_mm: f64,
    /// Never lower than this over the bed, mm.
    pub least_mm: f64,
    /// How far a straight piece may lie below the height that it follows, mm.
    pub sag_mm: f64,
}

/// The way from one place to the other, in as many straight pieces as it takes. It is divided
/// first where the end's middle or rim meets a kink of the face.
pub(crate) fn followed(face: &Face, [from, to]: [[f64; 2]; 2], how: Follow) -> Vec<Point> {
    let place = |share: f64| {
        let [x, y] = std::array::from_fn(|axis| from[axis] + share * (to[axis] - from[axis]));
        let height = face.highest_under(x, y, how.radius) + how.over_mm;
        [x, y, height.max(how.least_mm)]
    };
    let mut shares = vec![0.0, 1.0];
    for kink in face.kinks() {
        for away in [-how.radius, 0.0, how.radius] {
            // A line square to the centreline gives no number, and meets no kink.
            let share = (kink + away - from[0]) / (to[0] - from[0]);
            if share > 0.0 && share < 1.0 {
                shares.push(share);
            }
        }
    }
    shares.sort_by(f64::total_cmp);
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    let mut way = vec![place(0.0)];
    for pair in shares.windows(2) {
        divide(&place, [pair[0], pair[1]], length, how.sag_mm, &mut way);
    }
    way
}

/// Adds the places after `from` up to `to`, as many as keep every piece from sagging below the
/// height that is followed.
fn divide(
    place: &impl Fn(f64) -> Point,
    [from, to]: [f64; 2],
    length: f64,
    sag_mm: f64,
    way: &mut Vec<Point>,
) {
    let (a, c) = (place(from), place(to));
    let sags = |share: f64| {
        let chord = a[2] + share * (c[2] - a[2]);
        place(from + share * (to - from))[2] - chord > sag_mm
    };
    // Three places: a height that rises and then falls by as much does not sag in the middle.
    if (to - from) * length > LEAST_PIECE_MM && [0.25, 0.5, 0.75].into_iter().any(sags) {
        let middle = 0.5 * (from + to);
        divide(place, [from, middle], length, sag_mm, way);
        divide(place, [middle, to], length, sag_mm, way);
    } else if to > from {
        way.push(c);
    }
}
