//! An ideal string stepped through time, to hold closed formulas for its motion against.
//!
//! A string is a row of heights at evenly spaced points, from the stop (fret or nut) to the
//! saddle; its ends are held and it is released at rest. A step of time is what a wave needs from
//! one point to the next: then the leapfrog scheme is d'Alembert's solution itself, without any
//! error but rounding, for every shape that is straight between the points.
//!
//! Heights are in any one unit, up is away from the board, and a straight string is at zero when
//! its ends are. A period is two steps for every cell between two points.

mod touch;

pub use touch::{Obstacle, first_touch};

/// The string at one moment, with the floor under it.
#[derive(Clone, Debug)]
pub struct VibratingString {
    /// Heights one step ago.
    before: Vec<f64>,
    /// Heights at this moment.
    now: Vec<f64>,
    /// Height of a rigid obstacle under each point, minus infinity where there is none.
    floor: Vec<f64>,
    /// How far the obstacle pushed each point up during the last step alone, never negative.
    pushed: Vec<f64>,
}

impl VibratingString {
    /// A string released at rest from a shape, with nothing under it.
    pub fn released(shape: &[f64]) -> Self {
        Self::released_over(shape, &vec![f64::NEG_INFINITY; shape.len()])
    }

    /// A string released at rest from a shape, with a rigid floor under some of its points: one
    /// height for every point, minus infinity where there is none, nowhere above the shape.
    ///
    /// A point without weight cannot bounce: it stays on its obstacle as long as it is pressed,
    /// and the string as a whole loses nothing. No coefficient of restitution is left to choose.
    ///
    /// Accuracy: exact to rounding when every contact begins at a whole step, else its error
    /// falls in proportion to the length of a step.
    ///
    /// # Panics
    /// When the floor has fewer points than the shape.
    pub fn released_over(shape: &[f64], floor: &[f64]) -> Self {
        // At rest the motion is the same forward and backward in time, so that one step ago is
        // one step ahead: half of what came from either side.
        let mut before = shape.to_vec();
        for (height, around) in before.iter_mut().skip(1).zip(shape.windows(3)) {
            *height = (around[0] + around[2]) / 2.0;
        }
        Self {
            before,
            now: shape.to_vec(),
            floor: floor.to_vec(),
            pushed: vec![0.0; shape.len()],
        }
    }

    /// Heights at this moment.
    pub fn heights(&self) -> &[f64] {
        &self.now
    }

    /// One step on.
    ///
    /// Two waves meet at a point, `f` from one side and `g` from the other. An obstacle at height
    /// `h` adds one push `p` to both as they leave, and so to the height: `u = f + g + p`. It can
    /// only push, never pull, and only as far as needed: `p` is the greatest value that
    /// `h - f - g` ever had, and 0 at the start. Without the waves named, with `±` for the two
    /// neighbours and `n` for the moment, this reads
    /// `u[n+1] = u±[n] summed - u[n-1] + (p[n+1] - p[n-1])`; derived here.
    pub fn step(&mut self) {
        for (i, around) in self.now.windows(3).enumerate().map(|(i, w)| (i + 1, w)) {
            let free = around[0] + around[2] - self.before[i];
            // What was pushed during the last step is still due: of the two steps that a
            // leapfrog spans it belongs to the first.
            let push = (self.floor[i] - free).max(self.pushed[i]);
            self.before[i] = free + push;
            self.pushed[i] = push - self.pushed[i];
        }
        std::mem::swap(&mut self.before, &mut self.now);
    }
}

/// The lowest height that every point of a free string ever reaches, over one whole period.
///
/// Accuracy: exact to rounding; between two moments of the grid a point moves straight.
pub fn envelope(shape: &[f64]) -> Vec<f64> {
    let mut string = VibratingString::released(shape);
    let mut lowest = shape.to_vec();
    for _ in 0..period(shape) {
        string.step();
        for (low, height) in lowest.iter_mut().zip(string.heights()) {
            *low = low.min(*height);
        }
    }
    lowest
}

/// The steps after which a free string of this many points is where it was.
pub fn period(shape: &[f64]) -> usize {
    2 * shape.len().saturating_sub(1)
}

/// A plucked string: straight from the stop to the peak, so many cells away, and straight on to
/// the saddle. The peak lies between the ends: from 1 to `cells - 1`.
pub fn plucked(cells: usize, peak: usize, height: f64) -> Vec<f64> {
    let share = |i: usize| {
        if i <= peak {
            i as f64 / peak as f64
        } else {
            (cells - i) as f64 / (cells - peak) as f64
        }
    };
    (0..=cells).map(|i| height * share(i)).collect()
}

/// The grid whose points come nearest to a place on the string, given as its share of the length
/// from the stop, between 0 and 1: `(cells, point)`, with `2 <= cells <= most`. The first of
/// equally good ones is taken, which is the coarsest.
///
/// Accuracy: mostly about `1 / most²` of the length, never worse than `1 / most`.
pub fn nearest_grid(share: f64, most: usize) -> (usize, usize) {
    let point = |cells: usize| ((share * cells as f64).round() as usize).clamp(1, cells - 1);
    let miss = |cells: usize| (point(cells) as f64 / cells as f64 - share).abs();
    let better = |best, cells| {
        if miss(cells) < miss(best) {
            cells
        } else {
            best
        }
    };
    let cells = (2..=most).fold(2, better);
    (cells, point(cells))
}
