//! Mean and covariance of the wood given everything read.
//!
//! Values leave a bell around the likeliest wood. A window does not: the wood is anywhere in
//! it. Each window is therefore stood for by the bell that has the same mean and variance as
//! what the window leaves of everything else, found in turn until nothing moves (expectation
//! propagation: T. Minka, Uncertainty in Artificial Intelligence 2001, p. 362).

use nalgebra::{DMatrix, DVector};

use crate::fit::{FitError, Mode, Site, cholesky};
use crate::normal::{along, times};

/// What is known of the unknowns.
pub struct Known {
    /// Their mean, in prior deviations.
    pub mean: DVector<f64>,
    /// Their covariance.
    pub covariance: DMatrix<f64>,
    /// The bell that stands for each window.
    pub bells: Vec<Bell>,
}

/// A bell in place of a window: its precision, and its precision times its centre, the centre
/// counted from the sum at the likeliest wood.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bell {
    /// One over its variance.
    pub precision: f64,
    /// Precision times centre.
    pub shift: f64,
}

/// Most rounds over the windows.
const MOST_ROUNDS: usize = 30;

/// The rounds rest when no sum moves by more than this many of its deviations.
const REST: f64 = 1e-5;

/// Mean and covariance.
///
/// # Errors
/// When some unknown is left free.
pub fn known(mode: &Mode) -> Result<Known, FitError> {
    let mut bells: Vec<Bell> = mode.sites.iter().map(first_bell).collect();
    let (mut mean, mut covariance) = combine(mode, &bells)?;
    for _ in 0..MOST_ROUNDS {
        let mut moved = 0.0f64;
        for (site, bell) in mode.sites.iter().zip(&mut bells) {
            // A window that all else contradicts keeps its weak first bell.
            if site.weight < 1.0 {
                continue;
            }
            let image = times(&covariance, &site.row);
            let (centre, variance) = (along(&site.row, &mean), along(&site.row, &image));
            let Some(next) = next_bell(site, *bell, centre, variance) else {
                continue;
            };
            // One window's bell changes: the covariance follows by one outer product.
            let more = next.precision - bell.precision;
            let gain = 1.0 / (1.0 + more * variance);
            let mean_moves = gain * (next.shift - bell.shift - more * centre);
            mean.axpy(mean_moves, &image, 1.0);
            covariance.ger(-more * gain, &image, &image, 1.0);
            moved = moved.max((mean_moves * variance.sqrt()).abs());
            moved = moved.max((gain - 1.0).abs());
            *bell = next;
        }
        if moved < REST {
            break;
        }
    }
    if !bells.is_empty() {
        // Once more from scratch, so that the many small changes leave no rounding behind.
        (mean, covariance) = combine(mode, &bells)?;
    }
    Ok(Known {
        mean: &mode.unknowns + mean,
        covariance,
        bells,
    })
}

/// The bell that touches the window's own curve at the likeliest wood.
fn first_bell(site: &Site) -> Bell {
    let surprise = site.window.surprise(site.sum, site.sigma);
    Bell {
        precision: site.weight * surprise.curvature,
        shift: -site.weight * surprise.slope,
    }
}

/// Everything with the bells in the windows' place: the mean, counted from the likeliest wood,
/// and the covariance.
fn combine(mode: &Mode, bells: &[Bell]) -> Result<(DVector<f64>, DMatrix<f64>), FitError> {
    let mut normal = mode.values.clone();
    for (site, bell) in mode.sites.iter().zip(bells) {
        normal.add(&site.row, -bell.shift, bell.precision);
    }
    let triangle = cholesky(&normal.matrix)?;
    let mean = -triangle.solve(&normal.slope);
    Ok((mean, triangle.inverse()))
}

/// The bell whose product with all else has the mean and the variance that the window leaves.
fn next_bell(site: &Site, bell: Bell, centre: f64, variance: f64) -> Option<Bell> {
    let precision_without = 1.0 / variance - bell.precision;
    if precision_without <= 1e-9 / variance {
        return None;
    }
    let variance_without = 1.0 / precision_without;
    let centre_without = variance_without * (centre / variance - bell.shift);
    let (kept, kept_variance) =
        site.window
            .kept(site.sum + centre_without, variance_without, site.sigma);
    let precision = (1.0 / kept_variance - precision_without).max(0.0);
    let shift = (kept - site.sum) / kept_variance - centre_without / variance_without;
    (precision.is_finite() && shift.is_finite()).then_some(Bell { precision, shift })
}
