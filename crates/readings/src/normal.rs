//! Normal equations: what all readings together say of the unknowns, as one matrix, one vector
//! and one cost.

use nalgebra::{DMatrix, DVector};

use crate::wood::Row;

/// Readings further off than this many standard uncertainties pull no harder for it
/// (Huber, Annals of Mathematical Statistics 35, 73, 1964, doi 10.1214/aoms/1177703732). At 2 a
/// set of good readings loses next to nothing, and a wild one pulls like one that is 2 off.
pub const PULL_LIMIT: f64 = 2.0;

/// Half the second derivatives, the gradient and the value of what is made least.
#[derive(Clone, Debug)]
pub struct Normal {
    /// Curvature by the unknowns; the lower triangle counts.
    pub matrix: DMatrix<f64>,
    /// Slope by the unknowns.
    pub slope: DVector<f64>,
    /// The cost: half the sum of squares, in units of standard uncertainty, wild ones counted
    /// by Huber's rule.
    pub cost: f64,
}

impl Normal {
    /// The prior alone, at `unknowns`: one reading of zero on each of them.
    pub fn prior(unknowns: &DVector<f64>, weight: f64) -> Self {
        let count = unknowns.len();
        Self {
            matrix: DMatrix::identity(count, count) * weight,
            slope: unknowns * weight,
            cost: 0.5 * weight * unknowns.norm_squared(),
        }
    }

    /// Adds a figure with its row, its slope and its curvature.
    pub fn add(&mut self, row: &Row, slope: f64, curvature: f64) {
        for (position, &(i, a)) in row.iter().enumerate() {
            self.slope[i] += slope * a;
            let weighed = curvature * a;
            for &(j, b) in &row[..=position] {
                // Rows are merged and in order, so that j <= i.
                self.matrix[(i, j)] += weighed * b;
            }
        }
    }
}

impl Normal {
    /// Adds how a figure itself bends by the unknowns, times the slope by which it counts.
    pub fn add_bend(&mut self, slope: f64, bend: &[(usize, usize, f64)]) {
        for (i, j, second) in bend {
            // Only the lower triangle counts.
            if j <= i {
                self.matrix[(*i, *j)] += slope * second;
            }
        }
    }
}

/// Cost and weight of a residual by Huber's rule: a square near zero, straight further out.
pub fn huber(residual: f64) -> (f64, f64) {
    let size = residual.abs();
    if size <= PULL_LIMIT {
        (0.5 * size * size, 1.0)
    } else {
        (PULL_LIMIT * (size - 0.5 * PULL_LIMIT), PULL_LIMIT / size)
    }
}

/// A row in order of the unknowns, each standing once.
pub fn merged(mut row: Row) -> Row {
    row.sort_unstable_by_key(|(index, _)| *index);
    let mut merged: Row = Vec::with_capacity(row.len());
    for (index, value) in row {
        match merged.last_mut() {
            Some((last, sum)) if *last == index => *sum += value,
            _ => merged.push((index, value)),
        }
    }
    merged
}

/// The scalar product of a sparse row with a vector.
pub fn along(row: &Row, vector: &DVector<f64>) -> f64 {
    row.iter()
        .map(|(index, value)| value * vector[*index])
        .sum()
}

/// A symmetric matrix times a sparse row.
pub fn times(matrix: &DMatrix<f64>, row: &Row) -> DVector<f64> {
    let mut product = DVector::zeros(matrix.nrows());
    for (index, value) in row {
        product.axpy(*value, &matrix.column(*index), 1.0);
    }
    product
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_merged_in_order() {
        let row = merged(vec![(3, 1.0), (0, 2.0), (3, 0.5)]);
        assert_eq!(row, [(0, 2.0), (3, 1.5)]);
    }

    #[test]
    fn wild_residuals_pull_no_harder() {
        let (near, weight) = huber(1.0);
        assert_eq!((near, weight), (0.5, 1.0));
        let pull = |r: f64| huber(r).1 * r;
        assert_eq!(pull(50.0), pull(5.0));
        let join = huber(PULL_LIMIT + 1e-9).0 - huber(PULL_LIMIT - 1e-9).0;
        assert!(join < 1e-8);
    }
}
