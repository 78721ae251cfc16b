//! The maker's choice: work down to the lowest spot, accept that spot, or change the radii.

use bench::stage::Arch;
use instrument::arc::{drop, drop_by_curvature};
use instrument::camber::straight_radius;
use instrument::{Instrument, Radius};

use crate::measured::Measured;
use crate::next::{Allowed, Map, Target, plane_at};
use crate::program::Programme;

/// A low spot that holds the surface down, and what leaving it low would save.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptSpot {
    /// The spot, by its place in the grid.
    pub spot: usize,
    /// How deep it would stay under the surface, at its deepest, mm; 0 when it holds the surface
    /// down only by its uncertainty.
    pub left_low_mm: f64,
    /// How deep perhaps, its uncertainty counted as the surface's safety counts it, mm.
    pub perhaps_low_mm: f64,
    /// The area that would perhaps stay low, mm².
    pub low_area_mm2: f64,
    /// The wood that need not come off, mm³.
    pub saved_mm3: f64,
    /// How much higher the surface would lie, on the average, mm.
    pub higher_mm: f64,
}

/// Radii changed within the tolerance, and what that would save.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeRadii {
    /// The radius at every knot of the camber, changed.
    pub radii: Vec<(f64, Radius)>,
    /// The wood that need not come off, mm³.
    pub saved_mm3: f64,
    /// How much higher the surface would lie, on the average, mm.
    pub higher_mm: f64,
    /// The surface's height over the planned one at every spot of the grid, mm.
    pub over_plan_mm: Vec<f64>,
}

/// What a low spot takes in around it: so many pieces of the net to each side.
const AROUND_ALONG: f64 = 1.5;
const AROUND_ACROSS: f64 = 1.0;

/// For every low spot that holds the surface down: what leaving it low would save, most first.
/// Neighbours that lie in one another's surroundings are one spot.
pub fn accept_spots(measured: &Measured<'_>, map: &Map, target: &Target) -> Vec<AcceptSpot> {
    let mut spots: Vec<usize> = Vec::new();
    for spot in &target.limiting {
        if !spots
            .iter()
            .any(|known| is_around(measured, map, *known, *spot))
        {
            spots.push(*spot);
        }
    }
    let mut choices: Vec<AcceptSpot> = spots
        .into_iter()
        .filter_map(|spot| accept(measured, map, target, spot))
        .collect();
    choices.sort_by(|a, b| b.saved_mm3.total_cmp(&a.saved_mm3));
    choices
}

fn is_around(measured: &Measured<'_>, map: &Map, spot: usize, other: usize) -> bool {
    let Some(net) = measured.wood().net else {
        return spot == other;
    };
    let (along, across) = net.place(map.grid.spots[spot]);
    let (other_along, other_across) = net.place(map.grid.spots[other]);
    let far = (along - other_along).abs() * net.along as f64 / AROUND_ALONG;
    let wide = (across - other_across).abs() * net.across as f64 / AROUND_ACROSS;
    // The rim belongs to it, whatever rounding says.
    far.hypot(wide) <= 1.0 + 1e-9
}

fn accept(measured: &Measured<'_>, map: &Map, target: &Target, spot: usize) -> Option<AcceptSpot> {
    let whole = &target.programme;
    let kept: Vec<usize> = (0..whole.rows.len())
        .filter(|other| !is_around(measured, map, spot, *other))
        .collect();
    let without = Programme {
        rows: kept.iter().map(|row| whole.rows[*row].clone()).collect(),
        limits: kept.iter().map(|row| whole.limits[*row]).collect(),
        ..whole.clone()
    };
    let found = without.solve().ok()?;
    let (mut left_low_mm, mut perhaps_low_mm, mut low_area_mm2) = (0.0f64, 0.0f64, 0.0);
    for row in 0..whole.rows.len() {
        // Over the wood less its uncertainty, and over the wood as it is found.
        let perhaps = whole.over_mm(&found, row);
        let over = perhaps - target.safety * map.over_plan[row].sigma;
        perhaps_low_mm = perhaps_low_mm.max(perhaps);
        left_low_mm = left_low_mm.max(over);
        if perhaps > 0.0 {
            low_area_mm2 += map.grid.area_mm2[row];
        }
    }
    let saved_mm3 = whole.value(&found) - whole.value(&target.plane);
    Some(AcceptSpot {
        spot,
        left_low_mm,
        perhaps_low_mm,
        low_area_mm2,
        saved_mm3,
        higher_mm: saved_mm3 / map.grid.whole_mm2(),
    })
}

/// Times that the programme is linearised anew, at the most, and the share of a curvature below
/// which another time would change nothing that counts.
const ROUNDS: usize = 5;
const SETTLED: f64 = 1e-6;

/// The surface that takes least wood when each radius may change by the allowed share; nothing
/// when the board is flat, while blocks still shape it, or when nothing is saved.
pub fn change_radii(
    measured: &Measured<'_>,
    map: &Map,
    target: &Target,
    allowed: &Allowed,
) -> Option<ChangeRadii> {
    let instrument = measured.wood().instrument;
    let planned: Vec<f64> = instrument
        .camber
        .knots()
        .iter()
        .map(|knot| knot.radius.curvature())
        .collect();
    let shapes = matches!(measured.wood().expected.arch, Arch::Camber);
    let share = allowed.radius_share;
    if !shapes || planned.contains(&0.0) || !(1e-6..0.5).contains(&share) {
        return None;
    }
    let plain = &target.programme;
    let mut curvatures = planned.clone();
    let mut plane = target.plane.to_vec();
    for _ in 0..ROUNDS {
        let bent = bend(instrument, map, plain, &planned, &curvatures, allowed);
        let found = bent.solve().ok()?;
        plane = found[..4].to_vec();
        let mut moved = 0.0f64;
        for (curvature, change) in curvatures.iter_mut().zip(&found[4..]) {
            *curvature += change * UNIT;
            moved = moved.max((change * UNIT / *curvature).abs());
        }
        if moved < SETTLED {
            break;
        }
    }
    let changed = changed(measured, map, target, &plane, &curvatures);
    (changed.saved_mm3 > 0.0).then_some(changed)
}

/// Curvatures are counted in these inside the programme, so that its figures are of one size: 1e-6
/// per mm.
const UNIT: f64 = 1e-6;

/// The programme with the curvatures at the knots as further unknowns, linearised where they are.
fn bend(
    instrument: &Instrument,
    map: &Map,
    plain: &Programme,
    planned: &[f64],
    now: &[f64],
    allowed: &Allowed,
) -> Programme {
    let mut bent = plain.clone();
    for (plan, now) in planned.iter().zip(now) {
        let least = plan / (1.0 + allowed.radius_share) - now;
        let most = plan / (1.0 - allowed.radius_share) - now;
        bent.bounds.push((least / UNIT, most / UNIT));
        bent.gain.push(0.0);
    }
    for (index, spot) in map.grid.spots.iter().enumerate() {
        let (curvature, by) = curvature_at(instrument, now, spot.x_mm);
        let radius = Radius::from_mm(1.0 / curvature);
        let lower = drop(radius, spot.y_mm) - drop(instrument.camber.radius(spot.x_mm), spot.y_mm);
        bent.limits[index] += lower;
        let slope = -drop_by_curvature(radius, spot.y_mm) * UNIT;
        let mut shares = vec![0.0; now.len()];
        for (knot, share) in by {
            shares[knot] += slope * share;
        }
        for (gain, share) in bent.gain[4..].iter_mut().zip(&shares) {
            *gain += map.grid.area_mm2[index] * share;
        }
        bent.rows[index].extend(shares);
    }
    bent
}

/// Curvature of a camber with these curvatures at its knots, the radius running straight between,
/// and its derivatives by the two knots around.
fn curvature_at(instrument: &Instrument, knots: &[f64], x: f64) -> (f64, [(usize, f64); 2]) {
    let Some(between) = instrument.camber.between(x) else {
        return (0.0, [(0, 0.0); 2]);
    };
    let (near, far) = (knots[between.from], knots[between.to]);
    let (curvature, [by_near, by_far]) = straight_radius(near, far, between.share);
    (curvature, [(between.from, by_near), (between.to, by_far)])
}

fn changed(
    measured: &Measured<'_>,
    map: &Map,
    target: &Target,
    plane: &[f64],
    curvatures: &[f64],
) -> ChangeRadii {
    let instrument = measured.wood().instrument;
    let mut over_plan_mm: Vec<f64> = map
        .grid
        .spots
        .iter()
        .map(|spot| {
            let (curvature, _) = curvature_at(instrument, curvatures, spot.x_mm);
            let lower = drop(Radius::from_mm(1.0 / curvature), spot.y_mm)
                - drop(instrument.camber.radius(spot.x_mm), spot.y_mm);
            let shares = plane_at(measured, *spot);
            let even: f64 = shares.iter().zip(plane).map(|(share, by)| share * by).sum();
            even - lower
        })
        .collect();
    // What linearising left over comes off the level, so that the surface is inside the wood.
    let over = over_plan_mm
        .iter()
        .zip(&target.programme.limits)
        .map(|(surface, limit)| surface - limit)
        .fold(0.0f64, f64::max);
    for surface in &mut over_plan_mm {
        *surface -= over;
    }
    let saved_mm3: f64 = over_plan_mm
        .iter()
        .zip(&target.over_plan_mm)
        .zip(&map.grid.area_mm2)
        .map(|((changed, planned), area)| area * (changed - planned))
        .sum();
    ChangeRadii {
        radii: instrument
            .camber
            .knots()
            .iter()
            .zip(curvatures)
            .map(|(knot, curvature)| (knot.x_mm, Radius::from_mm(1.0 / curvature)))
            .collect(),
        saved_mm3,
        higher_mm: saved_mm3 / map.grid.whole_mm2(),
        over_plan_mm,
    }
}
