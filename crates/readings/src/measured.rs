//! The measured wood: what everything read together says of it, with how surely.

use nalgebra::DVector;

use crate::bell::HALF_95;
use crate::fit::{FitError, Mode, Problem};
use crate::moments::{Known, known};
use crate::normal::{merged, times};
use crate::reading::Spot;
use crate::wood::{Row, Wood};

/// A figure with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// The figure.
    pub value: f64,
    /// Its standard uncertainty.
    pub sigma: f64,
}

impl Figure {
    /// The lower end of its 95 % interval.
    pub fn low(self) -> f64 {
        self.value - HALF_95 * self.sigma
    }

    /// The upper end of its 95 % interval.
    pub fn high(self) -> f64 {
        self.value + HALF_95 * self.sigma
    }
}

/// The wood of one visit, measured.
pub struct Measured<'a> {
    /// What was read of it.
    pub problem: Problem<'a>,
    /// The likeliest wood.
    pub mode: Mode,
    /// Mean and covariance.
    pub known: Known,
}

/// Readings that contradict all that is believed may leave a mean whose arch cannot be. It is
/// drawn back toward the likeliest wood, which can be, until it can be too.
fn draw_back(wood: &Wood<'_>, mode: &DVector<f64>, mean: &mut DVector<f64>) {
    for _ in 0..MOST_HALVINGS {
        if wood.can_be(mean.as_slice()) {
            return;
        }
        *mean = (&*mean + mode) * 0.5;
    }
    mean.copy_from(mode);
}

/// After so many halvings nothing but rounding is left of the way.
const MOST_HALVINGS: usize = 50;

/// A sum of heights at the mean, linearised there.
#[derive(Clone, Debug)]
pub struct Sum {
    /// The sum, mm.
    pub value: f64,
    /// Its derivatives by the unknowns, merged.
    pub row: Row,
}

impl<'a> Measured<'a> {
    /// Fits everything that was read.
    ///
    /// # Errors
    /// When the readings do not tell a surface.
    pub fn of(problem: Problem<'a>) -> Result<Self, FitError> {
        let mode = problem.mode()?;
        let mut known = known(&mode)?;
        draw_back(&problem.wood, &mode.unknowns, &mut known.mean);
        Ok(Self {
            problem,
            mode,
            known,
        })
    }

    /// The model.
    pub fn wood(&self) -> &Wood<'a> {
        &self.problem.wood
    }

    /// A sum of heights at a few spots, each with its factor.
    pub fn sum(&self, spots: &[(Spot, f64)]) -> Sum {
        let mut row = Row::with_capacity(24 * spots.len());
        let mut value = 0.0;
        for (spot, factor) in spots {
            value += factor * self.wood().add(self.mean(), *spot, *factor, &mut row);
        }
        Sum {
            value,
            row: merged(row),
        }
    }

    /// A sum of heights as a figure.
    pub fn figure(&self, spots: &[(Spot, f64)]) -> Figure {
        let sum = self.sum(spots);
        Figure {
            value: sum.value,
            sigma: self.variance(&sum.row).sqrt(),
        }
    }

    /// The wood's height over the finished crown at a spot, mm.
    pub fn height(&self, spot: Spot) -> Figure {
        self.figure(&[(spot, 1.0)])
    }

    /// The unknowns at their mean.
    pub fn mean(&self) -> &[f64] {
        self.known.mean.as_slice()
    }

    /// Variance of a figure with these derivatives: the law of propagation
    /// (JCGM 100:2008, eq. 13), the unknowns' covariances included.
    pub fn variance(&self, row: &Row) -> f64 {
        let mut variance = 0.0;
        for (i, a) in row {
            for (j, b) in row {
                variance += a * b * self.known.covariance[(*i, *j)];
            }
        }
        variance.max(0.0)
    }

    /// Covariance of every unknown with a figure.
    pub fn image(&self, row: &Row) -> DVector<f64> {
        times(&self.known.covariance, row)
    }
}
