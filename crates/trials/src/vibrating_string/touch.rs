//! What a swinging string touches first.

use super::{VibratingString, period};

/// A point obstacle under the string: a fret's top as the string sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Obstacle {
    /// Where it stands, as a share of the sounding length from the stop: 0 to 1, anywhere
    /// between the points of the grid.
    pub share: f64,
    /// Its height in the frame of the string's heights: minus the clearance under the straight
    /// string.
    pub height: f64,
}

/// The obstacle that a string, released at rest from a shape, touches first, by its place in the
/// list; of several at one moment the first in the list. Nothing when it touches none, ever.
///
/// The shape is straight between its points, as [`super::plucked`] makes it. To reach an
/// obstacle's height is to touch it. Until then the string is free, so that the free motion
/// tells; after a period it repeats.
///
/// Accuracy: exact to rounding, wherever the obstacles stand.
pub fn first_touch(shape: &[f64], obstacles: &[Obstacle]) -> Option<usize> {
    let shape = halved(shape);
    let mut string = VibratingString::released(&shape);
    for moment in 0..period(&shape) {
        let from = string.heights().to_vec();
        string.step();
        let moments = obstacles
            .iter()
            .enumerate()
            .filter_map(|(index, obstacle)| {
                let path = path(&from, string.heights(), moment, obstacle.share);
                Some((touch_moment(path, obstacle.height)?, index))
            });
        // The least of equal moments is the first of them.
        if let Some((_, index)) = moments.min_by(|a, b| a.0.total_cmp(&b.0)) {
            return Some(index);
        }
    }
    None
}

/// The same shape with a point in the middle of every cell, so that it bends at even points only.
fn halved(shape: &[f64]) -> Vec<f64> {
    let mut points: Vec<f64> = shape
        .windows(2)
        .flat_map(|ends| [ends[0], (ends[0] + ends[1]) / 2.0])
        .collect();
    points.extend(shape.last());
    points
}

/// How the string moves at one place during one step, as three moments (0 to 1) with its heights;
/// between them it moves straight.
///
/// Bends start from even points and run one cell a step. So in the square of one cell and one
/// step just one diagonal can bear a bend, the one that starts where cell and moment add to an
/// even number or ends there; on either side of it the height is linear in place and time.
fn path(from: &[f64], to: &[f64], moment: usize, share: f64) -> [(f64, f64); 3] {
    let along = share * (from.len() - 1) as f64;
    let cell = (along.max(0.0) as usize).min(from.len() - 2);
    let part = along - cell as f64;
    let between = |left: f64, right: f64| left + (right - left) * part;
    let bend = if (cell + moment).is_multiple_of(2) {
        (part, between(from[cell], to[cell + 1]))
    } else {
        (1.0 - part, between(to[cell], from[cell + 1]))
    };
    let start = (0.0, between(from[cell], from[cell + 1]));
    [start, bend, (1.0, between(to[cell], to[cell + 1]))]
}

/// When a path first comes down to a height.
fn touch_moment(path: [(f64, f64); 3], height: f64) -> Option<f64> {
    if path[0].1 <= height {
        return Some(path[0].0);
    }
    let leg = path.windows(2).find(|leg| leg[1].1 <= height)?;
    let (start, end) = (leg[0], leg[1]);
    Some(start.0 + (end.0 - start.0) * (start.1 - height) / (start.1 - end.1))
}
