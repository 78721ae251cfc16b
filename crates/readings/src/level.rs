//! The wood's own mean plane, and how surely the wood is known as seen from it.
//!
//! A maker takes wood off from the face that lies before him. How high that face stands over the
//! board's back, and whether it is tilted to it, changes nothing on the depth to take off: so the
//! depth's uncertainty is that of the wood less its mean plane.

use nalgebra::{DVector, Matrix3, SMatrix, Vector3};

use crate::grid::Grid;
use crate::measured::{Measured, Sum};
use crate::normal::along;
use crate::reading::Spot;

/// The mean plane `a + b·u + c·y` over a grid, as figures of the unknowns.
pub struct MeanPlane {
    /// Covariance of each of its three figures with all unknowns.
    images: [DVector<f64>; 3],
    /// Their covariance with one another.
    covariance: Matrix3<f64>,
}

/// What the plane has at a spot: 1, u, y.
fn shares(measured: &Measured<'_>, spot: Spot) -> Vector3<f64> {
    Vector3::new(1.0, measured.wood().along(spot.x_mm), spot.y_mm)
}

impl MeanPlane {
    /// The plane of least area-weighted squares through the wood; `sums` are the heights at the
    /// grid's spots.
    pub fn of(measured: &Measured<'_>, grid: &Grid, sums: &[Sum]) -> Self {
        let unknowns = measured.known.mean.len();
        let mut squares = Matrix3::zeros();
        let mut moments = [(); 3].map(|()| DVector::<f64>::zeros(unknowns));
        for ((spot, area), sum) in grid.spots.iter().zip(&grid.area_mm2).zip(sums) {
            let shares = shares(measured, *spot);
            squares += *area * shares * shares.transpose();
            for (moment, share) in moments.iter_mut().zip(shares.iter()) {
                for (index, by) in &sum.row {
                    moment[*index] += area * share * by;
                }
            }
        }
        // The grid has more than one column and one row, so that its squares are of full rank.
        let inverse: SMatrix<f64, 3, 3> = squares.try_inverse().unwrap_or_else(Matrix3::zeros);
        let rows: [DVector<f64>; 3] = std::array::from_fn(|k| {
            (0..3).fold(DVector::zeros(unknowns), |sum, l| {
                sum + &moments[l] * inverse[(k, l)]
            })
        });
        let images = [0, 1, 2].map(|k: usize| &measured.known.covariance * &rows[k]);
        let covariance = Matrix3::from_fn(|k, l| rows[k].dot(&images[l]));
        Self { images, covariance }
    }

    /// Variance of the wood's height at a spot over its own mean plane, mm².
    pub fn variance_over(&self, measured: &Measured<'_>, spot: Spot, sum: &Sum) -> f64 {
        let shares = shares(measured, spot);
        let with_plane: f64 = self
            .images
            .iter()
            .zip(shares.iter())
            .map(|(image, share)| share * along(&sum.row, image))
            .sum();
        let of_plane = self.variance_at(measured, spot);
        (measured.variance(&sum.row) - 2.0 * with_plane + of_plane).max(0.0)
    }

    /// Variance of the mean plane's own height at a spot, mm².
    pub fn variance_at(&self, measured: &Measured<'_>, spot: Spot) -> f64 {
        let shares = shares(measured, spot);
        (shares.transpose() * self.covariance * shares)[(0, 0)].max(0.0)
    }
}
