//! The largest departure: how far the wood stands out of the planned camber, and how surely.
//!
//! It is measured from the highest surface of the camber that lies inside the wood as it is found
//! to be. That surface rests on three or four low spots, so that the departure at any other spot
//! is a sum of the wood's heights at it and at them, with an uncertainty of its own.

use nalgebra::{DMatrix, DVector};

use crate::measured::{Figure, Measured};
use crate::next::{Allowed, Map, limiting, plane_at, programme, safety};
use crate::normal::along;
use crate::program::NoWay;

/// How far the wood stands out of the planned camber.
#[derive(Clone, Debug, PartialEq)]
pub struct Departure {
    /// At every spot of the grid, over the highest camber inside the wood, mm.
    pub at: Vec<Figure>,
    /// Where it is largest, by its place in the grid.
    pub largest: usize,
    /// Where its upper end is largest: the spot that stands in the way of "done".
    pub in_the_way: usize,
    /// The largest upper end at the asked confidence, mm.
    pub at_most_mm: f64,
    /// The low spots that the highest camber rests on.
    pub rests_on: Vec<usize>,
    /// Weights of the heights of those spots in the departure at `in_the_way`.
    pub weights: Vec<f64>,
}

impl Departure {
    /// How far the wood stands out at most as it is found to be, mm.
    pub fn found_mm(&self) -> f64 {
        self.at.get(self.largest).map_or(0.0, |at| at.value)
    }
}

/// The departure of the wood on a map.
///
/// # Errors
/// When no surface of the planned camber lies inside the wood within the limits.
pub fn departure(
    measured: &Measured<'_>,
    map: &Map,
    allowed: &Allowed,
) -> Result<Departure, NoWay> {
    let programme = programme(measured, map, allowed, 0.0);
    let found = programme.solve()?;
    let free: Vec<usize> = (0..4)
        .filter(|index| {
            let (least, most) = programme.bounds[*index];
            let slack = 1e-7 * (most - least);
            found[*index] > least + slack && found[*index] < most - slack
        })
        .collect();
    let rests_on = feet(measured, map, &limiting(&programme, &found), &free);
    let rest = Rest::new(measured, map, &rests_on, &free);
    let factor = safety(measured, allowed.confidence);
    let at: Vec<Figure> = (0..map.grid.spots.len())
        .map(|spot| Figure {
            value: -programme.over_mm(&found, spot),
            sigma: rest.variance(measured, map, spot).sqrt(),
        })
        .collect();
    let largest = greatest(&at, |figure| figure.value);
    let upper = |figure: &Figure| figure.value + factor * figure.sigma;
    let in_the_way = greatest(&at, upper);
    Ok(Departure {
        largest,
        in_the_way,
        at_most_mm: at.get(in_the_way).map_or(0.0, upper),
        weights: rest.weights(measured, map, in_the_way),
        rests_on: rest.spots,
        at,
    })
}

/// Of the spots that the surface touches, those that hold it: no more than it has free figures, as
/// far apart as they lie. A wood that is found to be just as planned touches everywhere, and yet
/// every other spot of it may stand out.
fn feet(measured: &Measured<'_>, map: &Map, touched: &[usize], free: &[usize]) -> Vec<usize> {
    let row = |spot: &usize| {
        let shares = plane_at(measured, map.grid.spots[*spot]);
        let half = 0.5 * measured.wood().instrument.outline.width(0.0);
        let even = [1.0, 1.0, half, half];
        DVector::from_iterator(free.len(), free.iter().map(|i| shares[*i] / even[*i]))
    };
    // The longest row is taken, and its direction out of all others, as in a pivoted QR.
    let mut rows: Vec<DVector<f64>> = touched.iter().map(row).collect();
    let mut feet = Vec::new();
    for _ in 0..free.len() {
        let lengths = rows.iter().map(|row| row.norm());
        let longest = lengths.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((at, length)) = longest.filter(|(_, length)| *length > SAME_DIRECTION) else {
            break;
        };
        let direction = &rows[at] / length;
        for row in &mut rows {
            let along = row.dot(&direction);
            row.axpy(-along, &direction, 1.0);
        }
        feet.push(touched[at]);
    }
    feet.sort_unstable();
    feet
}

/// A foot whose row adds less than this to those before adds nothing but rounding.
const SAME_DIRECTION: f64 = 1e-9;

fn greatest(figures: &[Figure], by: impl Fn(&Figure) -> f64) -> usize {
    (0..figures.len())
        .max_by(|a, b| by(&figures[*a]).total_cmp(&by(&figures[*b])))
        .unwrap_or(0)
}

/// The low spots as the feet that the surface stands on.
struct Rest {
    spots: Vec<usize>,
    free: Vec<usize>,
    /// Surface figures that are free, from the feet's heights.
    plane_from_feet: DMatrix<f64>,
    images: Vec<DVector<f64>>,
    covariance: DMatrix<f64>,
}

impl Rest {
    fn new(measured: &Measured<'_>, map: &Map, spots: &[usize], free: &[usize]) -> Self {
        let feet = DMatrix::from_fn(spots.len(), free.len(), |foot, index| {
            plane_at(measured, map.grid.spots[spots[foot]])[free[index]]
        });
        // No more feet than free figures; with fewer, the least of all solutions is taken.
        let plane_from_feet = feet
            .pseudo_inverse(1e-12)
            .unwrap_or_else(|_| DMatrix::zeros(free.len(), spots.len()));
        let images: Vec<DVector<f64>> = spots
            .iter()
            .map(|spot| measured.image(&map.sums[*spot].row))
            .collect();
        let covariance = DMatrix::from_fn(spots.len(), spots.len(), |i, j| {
            along(&map.sums[spots[i]].row, &images[j])
        });
        Self {
            spots: spots.to_vec(),
            free: free.to_vec(),
            plane_from_feet,
            images,
            covariance,
        }
    }

    /// How much each foot's height lifts the surface at a spot.
    fn weights(&self, measured: &Measured<'_>, map: &Map, spot: usize) -> Vec<f64> {
        let shares = plane_at(measured, map.grid.spots[spot]);
        (0..self.spots.len())
            .map(|foot| {
                self.free
                    .iter()
                    .enumerate()
                    .map(|(row, index)| shares[*index] * self.plane_from_feet[(row, foot)])
                    .sum()
            })
            .collect()
    }

    /// Variance of the departure at a spot, mm².
    fn variance(&self, measured: &Measured<'_>, map: &Map, spot: usize) -> f64 {
        if self.spots.contains(&spot) {
            return 0.0;
        }
        let weights = DVector::from_vec(self.weights(measured, map, spot));
        let row = &map.sums[spot].row;
        let with_feet: f64 = self
            .images
            .iter()
            .zip(weights.iter())
            .map(|(image, weight)| weight * along(row, image))
            .sum();
        let of_feet = (weights.transpose() * &self.covariance * &weights)[(0, 0)];
        (measured.variance(row) - 2.0 * with_feet + of_feet).max(0.0)
    }
}
