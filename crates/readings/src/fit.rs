//! The fit: the likeliest wood for everything that was read, by Gauss and Newton with analytic
//! derivatives, robust against wild readings, with windows honoured.
//!
//! What is made least is half the sum of squares of the unknowns in prior deviations, plus for
//! every reading Huber's cost of its residual: `(sum - value)/sigma` for a value,
//! `sqrt(-2 ln P)` for a window, P the share of the reading's bell that lies in it.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use crate::bell::Window;
use crate::heights::{Every, Laid};
use crate::normal::{Normal, huber, merged};
use crate::observe::{Found, Statement, statement, statement_without_chalk};
use crate::reading::{Cloud, Reading, What};
use crate::wood::{Row, Wood};

/// Why no surface can be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitError {
    /// The readings leave some unknown free, and nothing is assumed of it.
    NotTold,
    /// The steps did not come to rest.
    NoRest,
}

impl std::fmt::Display for FitError {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(match self {
            FitError::NotTold => {
                "these readings leave part of the surface free; read at more places along and across the board"
            }
            FitError::NoRest => {
                "no surface comes near these readings; look for a wrong unit or a wrong set-up and set it aside"
            }
        })
    }
}

impl std::error::Error for FitError {}

/// All that was read of one wood.
pub struct Problem<'a> {
    /// The model.
    pub wood: Wood<'a>,
    /// The readings one by one.
    pub readings: &'a [Reading],
    /// Heights in bulk.
    pub clouds: &'a [Cloud],
}

/// A reading that only tells a window, linearised at the likeliest wood.
#[derive(Clone, Debug)]
pub struct Site {
    /// Which reading, by its place in [`Problem::readings`].
    pub reading: usize,
    /// Derivatives of its sum of heights.
    pub row: Row,
    /// The sum at the likeliest wood, mm.
    pub sum: f64,
    /// The window, mm.
    pub window: Window,
    /// Its standard uncertainty, mm.
    pub sigma: f64,
    /// Its weight by Huber's rule, 0 to 1.
    pub weight: f64,
}

/// The likeliest wood.
pub struct Mode {
    /// The unknowns, in prior deviations.
    pub unknowns: DVector<f64>,
    /// What every reading states, chalk as it lies on that wood.
    pub statements: Vec<Statement>,
    /// Prior and values at that wood, windows left out.
    pub values: Normal,
    /// The windows.
    pub sites: Vec<Site>,
    /// The cost there.
    pub cost: f64,
}

/// Which curvature a wild reading is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Bend {
    /// As if its weight stood still and the wood followed the unknowns straight: steps never fail.
    Weighed,
    /// Its own, none far out, and the bend of the wood by its knots besides: soon at rest.
    Own,
}

/// Steps made with weights before each reading's own curvature is taken.
const FIRST_STEPS: usize = 6;

/// Most steps that are made.
const MOST_STEPS: usize = 60;

/// Below this fall of the cost to come the steps rest: with half the square of what is left to
/// go, 1e-16 is a hundred-millionth of a standard uncertainty. Heights in bulk rest sooner.
const REST: f64 = 1e-16;
const REST_IN_BULK: f64 = 1e-7;

/// Below this fall a whole step is safe, and rounding of the cost would hide what it gains.
const NEAR: f64 = 1e-7;

/// Heights from which the first steps of a fit in bulk are made.
const FEW_HEIGHTS: usize = 4000;

impl Problem<'_> {
    /// The likeliest wood.
    ///
    /// # Errors
    /// When the readings do not tell it, or no steps lead to it.
    pub fn mode(&self) -> Result<Mode, FitError> {
        let laid: Vec<Laid<'_>> = self
            .clouds
            .iter()
            .map(|cloud| Laid::of(&self.wood, cloud))
            .collect();
        Descent {
            problem: self,
            laid,
        }
        .mode()
    }

    fn statements(&self, unknowns: &DVector<f64>) -> Vec<Statement> {
        let say = |reading| statement(reading, &self.wood, unknowns.as_slice());
        self.readings.iter().map(say).collect()
    }
}

/// A place of the descent at which the normal equations are known.
struct Here {
    unknowns: DVector<f64>,
    normal: Normal,
    bend: Bend,
}

/// The way down to the least cost, with the heights in bulk laid together once for all of it.
struct Descent<'p, 'a> {
    problem: &'p Problem<'a>,
    laid: Vec<Laid<'p>>,
}

impl Descent<'_, '_> {
    fn mode(&self) -> Result<Mode, FitError> {
        let mut unknowns = DVector::zeros(self.problem.wood.unknowns());
        let heights: usize = self
            .problem
            .clouds
            .iter()
            .map(|cloud| cloud.x_mm.len())
            .sum();
        let readings = self.problem.readings;
        let is_chalk = |reading: &Reading| matches!(reading.what, What::Chalk { .. });
        if readings.iter().any(is_chalk) {
            // Which spots a tool rested on depends on the wood: chalk is laid on the wood that all
            // other readings tell.
            let wood = &self.problem.wood;
            let without: Vec<Statement> = readings
                .iter()
                .map(|reading| statement_without_chalk(reading, wood, unknowns.as_slice()))
                .collect();
            unknowns = self.settle(unknowns, &without, heights)?.unknowns;
        }
        let statements = self.problem.statements(&unknowns);
        let here = self.settle(unknowns, &statements, heights)?;
        Ok(self.at(here, statements))
    }

    /// The least cost of these statements: with many heights from a few of them first.
    fn settle(
        &self,
        mut unknowns: DVector<f64>,
        statements: &[Statement],
        heights: usize,
    ) -> Result<Here, FitError> {
        if heights <= 4 * FEW_HEIGHTS {
            return self.descend(unknowns, statements, Every(1), REST);
        }
        let thin = Every(heights / FEW_HEIGHTS);
        unknowns = self
            .descend(unknowns, statements, thin, REST_IN_BULK)?
            .unknowns;
        self.descend(unknowns, statements, Every(1), REST_IN_BULK)
    }

    /// Steps from `unknowns` down to the least cost.
    fn descend(
        &self,
        mut unknowns: DVector<f64>,
        statements: &[Statement],
        every: Every,
        rest: f64,
    ) -> Result<Here, FitError> {
        let mut here = self.normal(&unknowns, statements, every, Bend::Weighed);
        let mut last_fall = f64::INFINITY;
        let mut bend_here = Bend::Weighed;
        for steps in 0..MOST_STEPS {
            let bend = if steps < FIRST_STEPS {
                Bend::Weighed
            } else {
                Bend::Own
            };
            let triangle = match cholesky(&here.matrix) {
                Ok(triangle) => triangle,
                // Far from the least the surface may bend the wrong way.
                Err(_) if bend == Bend::Own => bent_back(&here.matrix)?,
                Err(error) => return Err(error),
            };
            let step = triangle.solve(&here.slope);
            let fall = 0.5 * step.dot(&here.slope);
            last_fall = fall;
            if fall <= rest {
                // The last step is made without looking again: what it leaves is of its own
                // square, and the slope there is nothing.
                here.slope.fill(0.0);
                here.cost -= fall;
                return Ok(Here {
                    unknowns: unknowns - step,
                    normal: here,
                    bend: bend_here,
                });
            }
            bend_here = bend;
            if fall < NEAR {
                unknowns -= step;
                here = self.normal(&unknowns, statements, every, bend);
                continue;
            }
            let ask = (statements, every, bend);
            let Some((next, normal)) = self.shorter(&unknowns, &step, here.cost, ask) else {
                return Err(FitError::NoRest);
            };
            (unknowns, here) = (next, normal);
        }
        // Two readings that change sides at Huber's limit may send the steps to and fro.
        if last_fall < NEAR {
            return Ok(Here {
                unknowns,
                normal: here,
                bend: bend_here,
            });
        }
        Err(FitError::NoRest)
    }

    /// The step, halved until the cost falls and the arch can be.
    fn shorter(
        &self,
        unknowns: &DVector<f64>,
        step: &DVector<f64>,
        cost: f64,
        (statements, every, bend): (&[Statement], Every, Bend),
    ) -> Option<(DVector<f64>, Normal)> {
        let mut share = 1.0;
        for _ in 0..40 {
            let next = unknowns - step * share;
            if self.problem.wood.can_be(next.as_slice()) {
                let normal = self.normal(&next, statements, every, bend);
                if normal.cost <= cost {
                    return Some((next, normal));
                }
            }
            share *= 0.5;
        }
        None
    }

    /// Normal equations of everything at `unknowns`.
    fn normal(
        &self,
        unknowns: &DVector<f64>,
        statements: &[Statement],
        every: Every,
        bend: Bend,
    ) -> Normal {
        let mut normal = self.values(unknowns, statements, every, bend);
        for site in self.sites(unknowns, statements) {
            let surprise = site.window.surprise(site.sum, site.sigma);
            normal.cost += huber((2.0 * surprise.value).max(0.0).sqrt()).0;
            let own = match bend {
                // d²/df² of Huber's straight part, k sqrt(2S): (k/r)(S'' - S'²/(2S)).
                Bend::Own if site.weight < 1.0 => {
                    surprise.curvature - surprise.slope * surprise.slope / (2.0 * surprise.value)
                }
                Bend::Own | Bend::Weighed => surprise.curvature,
            };
            let slope = site.weight * surprise.slope;
            normal.add(&site.row, slope, site.weight * own.max(0.0));
            if bend == Bend::Own {
                let statement = &statements[site.reading];
                normal.add_bend(
                    slope,
                    &statement.bend(&self.problem.wood, unknowns.as_slice()),
                );
            }
        }
        normal
    }

    /// Prior, values and heights in bulk.
    fn values(
        &self,
        unknowns: &DVector<f64>,
        statements: &[Statement],
        every: Every,
        bend: Bend,
    ) -> Normal {
        let mut normal = Normal::prior(unknowns, self.problem.wood.prior_weight());
        for statement in statements {
            let Found::Value(value) = statement.found else {
                continue;
            };
            let (sum, row) = statement.sum(&self.problem.wood, unknowns.as_slice());
            let residual = (sum - value) / statement.sigma_mm;
            let (cost, weight) = huber(residual);
            let per_sigma = 1.0 / statement.sigma_mm;
            let own = match bend {
                Bend::Own if weight < 1.0 => 0.0,
                Bend::Own | Bend::Weighed => weight,
            };
            normal.cost += cost;
            normal.add(
                &merged(row),
                weight * per_sigma * residual,
                own * per_sigma * per_sigma,
            );
            if bend == Bend::Own {
                let slope = weight * per_sigma * residual;
                normal.add_bend(
                    slope,
                    &statement.bend(&self.problem.wood, unknowns.as_slice()),
                );
            }
        }
        for laid in &self.laid {
            laid.add(&mut normal, &self.problem.wood, unknowns, every);
        }
        normal
    }

    fn sites(&self, unknowns: &DVector<f64>, statements: &[Statement]) -> Vec<Site> {
        let mut sites = Vec::new();
        for (reading, statement) in statements.iter().enumerate() {
            let Found::Within(window) = statement.found else {
                continue;
            };
            let (sum, row) = statement.sum(&self.problem.wood, unknowns.as_slice());
            let surprise = window.surprise(sum, statement.sigma_mm);
            let (_, weight) = huber((2.0 * surprise.value).max(0.0).sqrt());
            sites.push(Site {
                reading,
                row: merged(row),
                sum,
                window,
                sigma: statement.sigma_mm,
                weight,
            });
        }
        sites
    }

    fn at(&self, here: Here, statements: Vec<Statement>) -> Mode {
        let unknowns = here.unknowns;
        let sites = self.sites(&unknowns, &statements);
        // Without windows the last step's own equations are the values', weighed.
        let values = if sites.is_empty() && here.bend == Bend::Weighed {
            here.normal
        } else {
            self.values(&unknowns, &statements, Every(1), Bend::Weighed)
        };
        let windows: f64 = sites
            .iter()
            .map(|site| site.window.surprise(site.sum, site.sigma).value)
            .map(|surprise| huber((2.0 * surprise).max(0.0).sqrt()).0)
            .sum();
        let cost = values.cost + windows;
        Mode {
            unknowns,
            statements,
            values,
            sites,
            cost,
        }
    }
}

/// The triangle of curvatures of which some are negative, with the least stiffness of a few tried
/// added to every unknown that makes all positive. Steps with it lead away from a saddle, which
/// steps with weights leave so slowly that they seem to rest.
///
/// # Errors
/// When no stiffness makes all positive: a curvature is no number.
fn bent_back(matrix: &DMatrix<f64>) -> Result<Cholesky<f64, Dyn>, FitError> {
    let mut stiffness = LEAST_STIFFNESS;
    for _ in 0..MOST_STIFFENINGS {
        let mut stiff = matrix.clone();
        for index in 0..stiff.nrows() {
            stiff[(index, index)] += stiffness;
        }
        if let Ok(triangle) = cholesky(&stiff) {
            return Ok(triangle);
        }
        stiffness *= 4.0;
    }
    Err(FitError::NotTold)
}

/// Stiffness in units of the prior's own, which is 1: the first tried, and how often it is raised
/// fourfold.
const LEAST_STIFFNESS: f64 = 0.01;
const MOST_STIFFENINGS: usize = 30;

/// The triangle of a matrix of curvatures.
///
/// # Errors
/// When some unknown is left free.
pub fn cholesky(matrix: &DMatrix<f64>) -> Result<Cholesky<f64, Dyn>, FitError> {
    Cholesky::new(matrix.clone()).ok_or(FitError::NotTold)
}
