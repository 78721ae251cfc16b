//! Safety: how often the surface to work to would cut below the true wood, and how often a board
//! is called done that is not, counted on boards whose truth is known.

use instrument::Instrument;
use nalgebra::{DVector, Matrix3, Vector3};
use readings::grid::Grid;
use readings::next::Allowed;
use readings::program::Programme;
use readings::reading::{Spot, Visit};
use readings::report::{Ask, Next, Report, report};
use readings::wood::Wood;

use crate::chance::Chance;
use crate::coverage::board;
use crate::visit::{Mixture, Shop, draw_truth, set_ups, wood};

/// What was counted.
#[derive(Clone, Copy, Debug, Default)]
pub struct Safety {
    /// Boards for which a surface was proposed.
    pub boards: u64,
    /// Among them, those whose surface lies above the true wood somewhere.
    pub above: u64,
    /// How far at the most, mm.
    pub deepest_mm: f64,
    /// Boards called done.
    pub done: u64,
    /// Among them, those whose true departure is over the tolerance.
    pub wrongly_done: u64,
    /// The largest true departure of a board called done, over its tolerance.
    pub worst_done: f64,
    /// Boards without a fit.
    pub no_fit: u64,
    /// Boards in which no surface lies within the limits: the maker is told so.
    pub no_way: u64,
}

impl Safety {
    /// The counts of two sets of boards as one.
    #[must_use]
    pub fn with(self, other: Safety) -> Safety {
        Safety {
            boards: self.boards + other.boards,
            above: self.above + other.above,
            deepest_mm: self.deepest_mm.max(other.deepest_mm),
            done: self.done + other.done,
            wrongly_done: self.wrongly_done + other.wrongly_done,
            worst_done: self.worst_done.max(other.worst_done),
            no_fit: self.no_fit + other.no_fit,
            no_way: self.no_way + other.no_way,
        }
    }

    /// Share of boards that would be cut too deep, percent.
    pub fn above_percent(&self) -> f64 {
        100.0 * self.above as f64 / self.boards.max(1) as f64
    }

    /// Share of the boards called done that are not, percent.
    pub fn wrongly_done_percent(&self) -> f64 {
        100.0 * self.wrongly_done as f64 / self.done.max(1) as f64
    }
}

/// A surface higher than the true wood by less than this is rounding, mm.
const ROUNDING_MM: f64 = 1e-9;

/// Places between two of the report's grid at which the truth is looked at besides, each way.
const FINER: usize = 3;

/// Which boards are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Boards {
    /// Woods drawn from the priors, read with a mixture.
    Drawn(Mixture),
    /// Woods drawn, then made nearly right, and read by many heights: some are done.
    NearlyRight,
}

/// Counts on so many boards.
pub fn safety(sort: Boards, boards: u64) -> Safety {
    let mut counted = Safety::default();
    let (mut seed, mut tried) = (0, 0);
    while tried < boards {
        seed += 1;
        let Some((instrument, kit)) = board(seed) else {
            continue;
        };
        let mut chance = Chance::new(seed ^ 0x5afe_0000_0000);
        let mixture = match sort {
            Boards::Drawn(mixture) => mixture,
            Boards::NearlyRight => Mixture::Heights,
        };
        tried += 1;
        let planned = Visit {
            set_ups: set_ups(mixture),
            ..Visit::default()
        };
        let model = wood(&instrument, &planned);
        let mut truth = draw_truth(&model, &mut chance);
        if sort == Boards::NearlyRight {
            truth *= chance.in_proportion(0.03, 0.2);
        }
        let shop = Shop {
            wood: &model,
            truth: &truth,
            kit: &kit,
        };
        let visit = match sort {
            Boards::Drawn(_) => shop.visit(mixture, &mut chance),
            Boards::NearlyRight => {
                let count = chance.whole(300, 1500);
                shop.probed(count, &mut chance)
            }
        };
        counted.board(&instrument, &model, &truth, &visit);
    }
    counted
}

impl Safety {
    fn board(
        &mut self,
        instrument: &Instrument,
        model: &Wood<'_>,
        truth: &DVector<f64>,
        visit: &Visit,
    ) {
        let allowed = Allowed::default();
        let ask = Ask {
            instrument,
            bench: None,
            visit,
            allowed,
            tolerance_mm: None,
        };
        let Ok(report) = report(&ask) else {
            self.no_fit += 1;
            return;
        };
        let Ok(next) = &report.next else {
            self.no_way += 1;
            return;
        };
        self.boards += 1;
        let depth = too_deep_mm(&report, next, model, truth);
        self.above += u64::from(depth > ROUNDING_MM);
        self.deepest_mm = self.deepest_mm.max(depth);
        if !next.is_done() {
            return;
        }
        self.done += 1;
        let Some(departure) = true_departure_mm(&report, model, truth, &allowed) else {
            self.wrongly_done += 1;
            return;
        };
        self.wrongly_done += u64::from(departure > report.tolerance_mm);
        self.worst_done = self.worst_done.max(departure / report.tolerance_mm);
    }
}

/// How far the proposed surface lies above the true wood where it does so most, both seen from
/// the wood's own mean plane; negative when it lies inside everywhere.
fn too_deep_mm(report: &Report<'_>, next: &Next, model: &Wood<'_>, truth: &DVector<f64>) -> f64 {
    let grid = &report.map.grid;
    let true_height = |spot: Spot| model.height(truth.as_slice(), spot);
    let found: Vec<f64> = report.map.sums.iter().map(|sum| sum.value).collect();
    let stands: Vec<f64> = grid.spots.iter().map(|spot| true_height(*spot)).collect();
    let from_found = mean_plane(model, grid, &found);
    let from_true = mean_plane(model, grid, &stands);
    finer(model.instrument, grid)
        .spots
        .into_iter()
        .map(|spot| {
            let [_, u, y, _] = shares(model, spot);
            let plane = Vector3::new(1.0, u, y);
            let surface = model.instrument.camber.height(spot.x_mm, spot.y_mm)
                + dot(&shares(model, spot), &next.target.plane)
                - plane.dot(&from_found);
            surface - (true_height(spot) - plane.dot(&from_true))
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

/// How far the true wood stands out of the highest camber inside it, on the finer grid. Nothing
/// when no camber lies inside it within the limits.
fn true_departure_mm(
    report: &Report<'_>,
    model: &Wood<'_>,
    truth: &DVector<f64>,
    allowed: &Allowed,
) -> Option<f64> {
    let grid = finer(model.instrument, &report.map.grid);
    let bounds = readings::next::programme(&report.measured, &report.map, allowed, 0.0).bounds;
    let mut programme = Programme {
        gain: vec![0.0; 4],
        bounds,
        ..Programme::default()
    };
    for (spot, area) in grid.spots.iter().zip(&grid.area_mm2) {
        let shares = shares(model, *spot);
        for (gain, share) in programme.gain.iter_mut().zip(shares) {
            *gain += area * share;
        }
        let over = model.height(truth.as_slice(), *spot)
            - model.instrument.camber.height(spot.x_mm, spot.y_mm);
        programme.rows.push(shares.to_vec());
        programme.limits.push(over);
    }
    let found = programme.solve().ok()?;
    let over = (0..programme.rows.len()).map(|row| -programme.over_mm(&found, row));
    Some(over.fold(0.0, f64::max))
}

/// A grid that holds the given one's spots and [`FINER`] - 1 more between any two.
fn finer(instrument: &Instrument, grid: &Grid) -> Grid {
    let more = |count: usize| FINER * (count - 1) + 1;
    Grid::over(instrument, more(grid.columns), more(grid.rows))
}

/// What a surface's four figures add at a spot: 1, u, y, u·y, u the share of the way to the last
/// fret.
fn shares(model: &Wood<'_>, spot: Spot) -> [f64; 4] {
    let instrument = model.instrument;
    let u = spot.x_mm / instrument.fret_x_mm(instrument.last_fret());
    [1.0, u, spot.y_mm, u * spot.y_mm]
}

/// The plane of least area-weighted squares through heights at a grid's spots.
fn mean_plane(model: &Wood<'_>, grid: &Grid, heights: &[f64]) -> Vector3<f64> {
    let mut squares = Matrix3::zeros();
    let mut moments = Vector3::zeros();
    for ((spot, area), height) in grid.spots.iter().zip(&grid.area_mm2).zip(heights) {
        let [one, u, y, _] = shares(model, *spot);
        let share = Vector3::new(one, u, y);
        squares += *area * share * share.transpose();
        moments += *area * *height * share;
    }
    squares
        .lu()
        .solve(&moments)
        .expect("a grid of two by two or more has a mean plane")
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
