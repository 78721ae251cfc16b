//! The next step: the highest surface of the planned camber that lies inside the wood, and what
//! must come off to reach it.
//!
//! Wood only comes off. Among the surfaces `camber + level + pitch·u + roll·y + twist·u·y`, within
//! limits, the one is found that takes the least wood and lies nowhere above the wood less its
//! uncertainty: a linear programme.

use instrument::Instrument;

use crate::bell::quantile;
use crate::grid::Grid;
use crate::level::MeanPlane;
use crate::measured::{Figure, Measured, Sum};
use crate::program::{NoWay, Programme};
use crate::reading::Spot;

/// What the finished surface may depart by from the plan, mm: pitch over nut to last fret, roll
/// and twist edge to edge, either way. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Allowed {
    /// Rise of the crown from nut to last fret.
    pub pitch_mm: f64,
    /// Treble edge over bass edge at the nut.
    pub roll_mm: f64,
    /// What that may grow by, to the last fret.
    pub twist_mm: f64,
    /// Share by which a radius may be changed, when that is asked.
    pub radius_share: f64,
    /// How surely the surface must lie inside the wood, between 0.5 and 1.
    pub confidence: f64,
}

impl Default for Allowed {
    fn default() -> Self {
        Self {
            pitch_mm: 0.5,
            roll_mm: 0.3,
            twist_mm: 0.1,
            radius_share: 0.05,
            confidence: 0.95,
        }
    }
}

/// The wood over the board as a grid, over the surface aimed at.
pub struct Map {
    /// Where.
    pub grid: Grid,
    /// Height of the wood over the surface aimed at ([`aimed_at`]) with its standard uncertainty as
    /// seen from the wood's own mean plane, mm.
    pub over_plan: Vec<Figure>,
    /// The heights as figures of the unknowns.
    pub sums: Vec<Sum>,
    /// The wood's own mean plane.
    pub plane: MeanPlane,
}

/// The surface to work to.
#[derive(Clone, Debug)]
pub struct Target {
    /// Its level, pitch, roll and twist over the surface aimed at: mm, mm over the neck,
    /// mm for each mm across, the same over the neck.
    pub plane: [f64; 4],
    /// Its height over the surface aimed at at every spot of the grid, mm.
    pub over_plan_mm: Vec<f64>,
    /// The spots that hold it down, by their place in the grid, in order along the board.
    pub limiting: Vec<usize>,
    /// How many standard uncertainties it stays inside the wood.
    pub safety: f64,
    /// The programme of which it is the optimum.
    pub programme: Programme,
}

/// A spot holds the surface down when it lies nearer to it than this, mm.
const TOUCHES_MM: f64 = 1e-6;

impl Map {
    /// Looks at the measured wood on a grid.
    pub fn of(measured: &Measured<'_>, columns: usize, rows: usize) -> Self {
        let grid = Grid::over(measured.wood().instrument, columns, rows);
        let sums: Vec<Sum> = grid
            .spots
            .iter()
            .map(|spot| measured.sum(&[(*spot, 1.0)]))
            .collect();
        let plane = MeanPlane::of(measured, &grid, &sums);
        let over_plan = grid
            .spots
            .iter()
            .zip(&sums)
            .map(|(spot, sum)| Figure {
                value: sum.value - aimed_at(measured, *spot),
                sigma: plane.variance_over(measured, *spot, sum).sqrt(),
            })
            .collect();
        Self {
            grid,
            over_plan,
            sums,
            plane,
        }
    }

    /// Volume between the wood and a surface, mm³.
    pub fn volume_over_mm3(&self, surface_mm: &[f64]) -> f64 {
        self.over_plan
            .iter()
            .zip(surface_mm)
            .zip(&self.grid.area_mm2)
            .map(|((wood, surface), area)| area * (wood.value - surface))
            .sum()
    }
}

/// The surface that is aimed at, its crown at the finished height, mm over the finished crown: the
/// finished camber, with the arch that blocks leave and a fall-away that is yet to make where the
/// visit's stage leaves them.
pub fn aimed_at(measured: &Measured<'_>, spot: Spot) -> f64 {
    let wood = measured.wood();
    let left = wood
        .expected
        .height_mm(wood.instrument, spot.x_mm, spot.y_mm)
        - wood.expected.offset_mm;
    wood.instrument.camber.height(spot.x_mm, spot.y_mm) + left
}

/// What the surface's four figures add at a spot: 1, u, y, u·y.
pub fn plane_at(measured: &Measured<'_>, spot: Spot) -> [f64; 4] {
    let u = measured.wood().along(spot.x_mm);
    [1.0, u, spot.y_mm, u * spot.y_mm]
}

/// How many standard uncertainties a surface stays inside the wood so that it lies nowhere above
/// it with this confidence: the board has as many places apart from one another as the net
/// has pieces, and any of them may be the one (Bonferroni).
pub fn safety(measured: &Measured<'_>, confidence: f64) -> f64 {
    let places = measured
        .wood()
        .net
        .map_or(1, |net| net.along * net.across)
        .max(1);
    quantile(1.0 - (1.0 - confidence.clamp(0.5, 1.0 - 1e-9)) / places as f64)
}

/// The programme: highest surface under these limits.
pub fn programme(measured: &Measured<'_>, map: &Map, allowed: &Allowed, safety: f64) -> Programme {
    let mut programme = Programme {
        gain: vec![0.0; 4],
        bounds: bounds(measured.wood().instrument, allowed),
        ..Programme::default()
    };
    for ((spot, wood), area) in map
        .grid
        .spots
        .iter()
        .zip(&map.over_plan)
        .zip(&map.grid.area_mm2)
    {
        let shares = plane_at(measured, *spot);
        for (gain, share) in programme.gain.iter_mut().zip(shares) {
            *gain += area * share;
        }
        programme.rows.push(shares.to_vec());
        programme.limits.push(wood.value - safety * wood.sigma);
    }
    programme
}

fn bounds(instrument: &Instrument, allowed: &Allowed) -> Vec<(f64, f64)> {
    let far = instrument.fret_x_mm(instrument.last_fret());
    let (near_width, far_width) = (instrument.outline.width(0.0), instrument.outline.width(far));
    let both = |limit: f64| (-limit.abs(), limit.abs());
    vec![
        both(200.0),
        both(allowed.pitch_mm),
        both(allowed.roll_mm / near_width),
        both(allowed.twist_mm / far_width),
    ]
}

/// The surface to work to.
///
/// # Errors
/// When no surface of the planned camber lies inside the wood within the limits.
pub fn target(measured: &Measured<'_>, map: &Map, allowed: &Allowed) -> Result<Target, NoWay> {
    let safety = safety(measured, allowed.confidence);
    let programme = programme(measured, map, allowed, safety);
    let found = programme.solve()?;
    Ok(Target {
        plane: std::array::from_fn(|index| found[index]),
        over_plan_mm: surface(measured, map, &found),
        limiting: limiting(&programme, &found),
        safety,
        programme,
    })
}

fn surface(measured: &Measured<'_>, map: &Map, plane: &[f64]) -> Vec<f64> {
    map.grid
        .spots
        .iter()
        .map(|spot| {
            let shares = plane_at(measured, *spot);
            shares.iter().zip(plane).map(|(share, by)| share * by).sum()
        })
        .collect()
}

/// The limits that bind.
pub fn limiting(programme: &Programme, found: &[f64]) -> Vec<usize> {
    (0..programme.rows.len())
        .filter(|row| programme.over_mm(found, *row) > -TOUCHES_MM)
        .collect()
}
