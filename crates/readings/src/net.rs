//! The net: smooth local departure of the wood from its camber, as a bicubic B-spline whose
//! knots lie evenly along the board and across it, following the outline.

use instrument::Instrument;
use instrument::outline::Outline;

use crate::reading::Spot;

/// The places of a net's knots on one board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Net {
    outline: Outline,
    /// Even pieces along the board.
    pub along: usize,
    /// Even pieces across it.
    pub across: usize,
}

/// What one spot has of the net: sixteen coefficients and their weights, which sum to 1.
pub type Share = [(usize, f64); 16];

impl Net {
    /// A net of `along` by `across` pieces, each at least 1.
    pub fn new(instrument: &Instrument, along: usize, across: usize) -> Self {
        Self {
            outline: instrument.outline,
            along: along.max(1),
            across: across.max(1),
        }
    }

    /// How many coefficients it has.
    pub fn count(&self) -> usize {
        (self.along + 3) * (self.across + 3)
    }

    /// The share of the length and the share of the width at a spot: 0 to 1 each, from the
    /// nut's line and from the bass edge. Spots past the outline count as on it.
    pub fn place(&self, spot: Spot) -> (f64, f64) {
        let Outline {
            treble,
            bass,
            nut,
            end,
        } = self.outline;
        let from_nut = spot.x_mm - nut.x_at(spot.y_mm);
        let whole = end.x_at(spot.y_mm) - nut.x_at(spot.y_mm);
        let low = -bass.at(spot.x_mm);
        let width = treble.at(spot.x_mm) - low;
        (
            (from_nut / whole).clamp(0.0, 1.0),
            ((spot.y_mm - low) / width).clamp(0.0, 1.0),
        )
    }

    /// Which coefficients a spot has, and how much of each.
    pub fn share(&self, spot: Spot) -> Share {
        let (along, across) = self.place(spot);
        let (first, wide) = weights(along * self.along as f64, self.along);
        let (row, high) = weights(across * self.across as f64, self.across);
        let mut share = [(0, 0.0); 16];
        for (i, w) in wide.iter().enumerate() {
            for (j, h) in high.iter().enumerate() {
                share[4 * i + j] = ((first + i) * (self.across + 3) + row + j, w * h);
            }
        }
        share
    }
}

/// The piece in which `t` lies, and the four uniform cubic B-splines that are not zero there
/// (de Boor, A Practical Guide to Splines, 1978; the closed forms follow from his recurrence).
pub fn weights(t: f64, pieces: usize) -> (usize, [f64; 4]) {
    let piece = (t.floor().max(0.0) as usize).min(pieces - 1);
    let u = t - piece as f64;
    let v = 1.0 - u;
    let sixth = 1.0 / 6.0;
    (
        piece,
        [
            sixth * v * v * v,
            sixth * (4.0 - 6.0 * u * u + 3.0 * u * u * u),
            sixth * (4.0 - 6.0 * v * v + 3.0 * v * v * v),
            sixth * u * u * u,
        ],
    )
}

/// Root mean square, over the board, of the length of a spot's weights: a net whose coefficients
/// are drawn apart from one another with deviation s departs by s times this at a typical spot.
///
/// The square of a uniform cubic B-spline's weights has the mean 151/315 along one direction
/// (the septic B-spline at its middle); two directions multiply.
pub const SPOT_PER_COEFFICIENT: f64 = 151.0 / 315.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_sum_to_one_and_join_smoothly() {
        for step in 0..=100 {
            let (_, w) = weights(0.05 * f64::from(step), 5);
            assert!((w.iter().sum::<f64>() - 1.0).abs() < 1e-15);
        }
        // de Boor's values at a knot: 1/6, 4/6, 1/6, 0.
        let (piece, w) = weights(2.0, 5);
        assert_eq!(piece, 2);
        assert!((w[0] - 1.0 / 6.0).abs() < 1e-15 && (w[1] - 4.0 / 6.0).abs() < 1e-15);
        assert!(w[3].abs() < 1e-15);
        assert_eq!(
            weights(5.0, 5).0,
            4,
            "the last knot belongs to the last piece"
        );
    }

    #[test]
    fn the_mean_square_of_the_weights_is_as_said() {
        let count = 20_000;
        let mean = (0..count)
            .map(|i| weights((f64::from(i) + 0.5) / f64::from(count), 1).1)
            .map(|w| w.iter().map(|w| w * w).sum::<f64>())
            .sum::<f64>()
            / f64::from(count);
        assert!((mean - SPOT_PER_COEFFICIENT).abs() < 1e-8);
    }
}
