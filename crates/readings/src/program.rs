//! The linear programme of the next step: the greatest sum of a few unknowns under many limits.
//!
//! There are hundreds of limits and a handful of unknowns, and at the end only a few limits bind.
//! So the programme is solved under a few of them, those it breaks worst are added, and so on
//! until none is broken: each round is tiny, and the last is the optimum under all
//! (cutting planes: Kelley, J. SIAM 8, 703, 1960, doi 10.1137/0108053).

use microlp::{ComparisonOp, OptimizationDirection, Problem};

/// A linear programme: make `gain · x` greatest while every `rows[i] · x <= limits[i]` and every
/// x stays within its bounds.
#[derive(Clone, Debug, Default)]
pub struct Programme {
    /// What one of each unknown brings.
    pub gain: Vec<f64>,
    /// Least and greatest of each unknown.
    pub bounds: Vec<(f64, f64)>,
    /// The limits' left sides.
    pub rows: Vec<Vec<f64>>,
    /// The limits, mm.
    pub limits: Vec<f64>,
}

/// No unknowns within their bounds keep all limits, or the solver could not tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoWay;

/// Limits are handed to the solver in µm, so that what it calls equal is equal to a ten-millionth
/// of that.
const PER_MM: f64 = 1000.0;

/// A limit broken by less than this is kept, mm.
const KEPT_MM: f64 = 1e-9;

/// Rounds at the most, and limits added in one.
const MOST_ROUNDS: usize = 200;
const ADDED: usize = 6;

impl Programme {
    /// The unknowns of the optimum.
    ///
    /// # Errors
    /// When the limits contradict one another.
    pub fn solve(&self) -> Result<Vec<f64>, NoWay> {
        let stride = (self.rows.len() / 12).max(1);
        let mut counted: Vec<usize> = (0..self.rows.len()).step_by(stride).collect();
        for _ in 0..MOST_ROUNDS {
            let found = self.under(&counted)?;
            let mut broken: Vec<(f64, usize)> = (0..self.rows.len())
                .map(|row| (self.over_mm(&found, row), row))
                .filter(|(over, row)| *over > KEPT_MM && !counted.contains(row))
                .collect();
            if broken.is_empty() {
                return Ok(found);
            }
            broken.sort_by(|a, b| b.0.total_cmp(&a.0));
            // The worst, and others far from it: neighbours say nearly the same.
            let step = (broken.len() / ADDED).max(1);
            counted.extend(broken.iter().step_by(step).map(|(_, row)| *row));
        }
        Err(NoWay)
    }

    /// How far a limit is broken, mm; negative when it is kept with room.
    pub fn over_mm(&self, unknowns: &[f64], row: usize) -> f64 {
        let side: f64 = self.rows[row]
            .iter()
            .zip(unknowns)
            .map(|(a, x)| a * x)
            .sum();
        side - self.limits[row]
    }

    /// What the unknowns bring.
    pub fn value(&self, unknowns: &[f64]) -> f64 {
        self.gain.iter().zip(unknowns).map(|(g, x)| g * x).sum()
    }

    fn under(&self, counted: &[usize]) -> Result<Vec<f64>, NoWay> {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let scale = self
            .gain
            .iter()
            .map(|gain| gain.abs())
            .fold(1e-300, f64::max);
        let variables: Vec<_> = self
            .gain
            .iter()
            .zip(&self.bounds)
            .map(|(gain, (least, most))| {
                problem.add_var(gain / scale, (least * PER_MM, most * PER_MM))
            })
            .collect();
        for &row in counted {
            let terms: Vec<_> = variables
                .iter()
                .copied()
                .zip(self.rows[row].iter().copied())
                .collect();
            problem.add_constraint(&terms, ComparisonOp::Le, self.limits[row] * PER_MM);
        }
        let solution = problem
            .solve()
            .map_err(|_| NoWay)?
            .into_solution()
            .map_err(|_| NoWay)?;
        Ok(variables
            .iter()
            .map(|variable| solution.var_value(*variable) / PER_MM)
            .collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_textbook_corner_is_found() {
        // Maximise 3x + 5y under x <= 4, 2y <= 12, 3x + 2y <= 18 (Hillier and Lieberman's
        // example, from memory): optimum 36 at (2, 6).
        let programme = Programme {
            gain: vec![3.0, 5.0],
            bounds: vec![(0.0, 100.0); 2],
            rows: vec![vec![1.0, 0.0], vec![0.0, 2.0], vec![3.0, 2.0]],
            limits: vec![4.0, 12.0, 18.0],
        };
        let found = programme.solve().expect("has an optimum");
        assert!((found[0] - 2.0).abs() < 1e-9 && (found[1] - 6.0).abs() < 1e-9);
        assert!((programme.value(&found) - 36.0).abs() < 1e-9);
    }

    #[test]
    fn a_line_under_a_thousand_points_touches_two() {
        // The highest line under a parabola's points on [-1, 1] with mean 0 is a chord or tangent
        // of its lower hull: under x² it is the tangent at 0, height 0 (closed form).
        let xs: Vec<f64> = (0..=1000).map(|i| -1.0 + 0.002 * f64::from(i)).collect();
        let programme = Programme {
            gain: vec![1.0, 0.0],
            bounds: vec![(-10.0, 10.0), (-1.0, 1.0)],
            rows: xs.iter().map(|x| vec![1.0, *x]).collect(),
            limits: xs.iter().map(|x| x * x).collect(),
        };
        let found = programme.solve().expect("has an optimum");
        assert!(found[0].abs() < 1e-6);
    }

    #[test]
    fn contradictions_are_said() {
        let programme = Programme {
            gain: vec![1.0],
            bounds: vec![(0.0, 1.0)],
            rows: vec![vec![1.0]],
            limits: vec![-1.0],
        };
        assert_eq!(programme.solve(), Err(NoWay));
    }
}
