//! The plan of a body cut so finely that every cell's upper side is as good as flat.
//!
//! The strip of a cone or a cylinder between two of its rulings is nearest to one plane: that of
//! the two lines, which meet in the apex or are parallel. So the face is cut along rulings alone,
//! close enough that the arc between two of them rises no more than the tolerance over its
//! chord; between rulings a triangle may be as long as it likes.

use std::collections::BTreeMap;

use super::arch::Arch;
use super::plan::{Cell, Line, Plan};
use super::relief::{Disc, Ground, Relief};

/// Corners nearer than this are one, mm: far under every tolerance, and more than the step of
/// the single-precision numbers in an STL file.
const SNAP_MM: f64 = 1e-4;

/// The share of the tolerance that the arc between two rulings uses; the rest is for snapping.
const USED: f64 = 0.95;

/// Flat cells with their grounds. Neighbours share all their corners.
pub(crate) struct Facets {
    pub plan: Plan,
    pub cells: Vec<(Cell, Ground)>,
}

/// Cuts a body's plan for a chord tolerance.
pub(crate) fn facets(relief: &Relief, chord_mm: f64) -> Facets {
    let (mut plan, whole) = relief.cells(SNAP_MM);
    let mut by_face: Vec<Vec<(Cell, Ground)>> = vec![Vec::new(); relief.faces.len()];
    let mut cells = Vec::new();
    for cell in whole {
        let ground = relief.ground(plan.centre(&cell));
        match ground {
            Ground::Face(face) | Ground::Under(_, face) => by_face[face].push((cell, ground)),
            _ => cells.push((cell, ground)),
        }
    }
    for (face, of_face) in relief.faces.iter().zip(by_face) {
        cells.extend(cut_along_rulings(&mut plan, face, of_face, USED * chord_mm));
    }
    for (index, disc) in relief.discs.iter().enumerate() {
        cells = cut_out(&mut plan, disc, index, cells, chord_mm);
    }
    conform(&mut plan, &mut cells);
    Facets { plan, cells }
}

fn cut_along_rulings(
    plan: &mut Plan,
    face: &Arch,
    cells: Vec<(Cell, Ground)>,
    chord_mm: f64,
) -> Vec<(Cell, Ground)> {
    let corners = cells.iter().flat_map(|(cell, _)| &cell.corners);
    let corners: Vec<[f64; 2]> = corners.map(|&corner| plan.points[corner]).collect();
    let lines: Vec<usize> = ruling_sines(face, &corners, chord_mm)
        .into_iter()
        .map(|sine| {
            // y = R(x) sin θ with R straight in x.
            let slope = face.radius_slope() * sine;
            let at_zero = face.radius(face.x_mm[0]) * sine - slope * face.x_mm[0];
            plan.add_line(Line::new(-slope, 1.0, at_zero))
        })
        .collect();
    let mut done = Vec::with_capacity(cells.len() * (lines.len() + 1));
    for (cell, ground) in cells {
        let mut rest = Some(cell);
        // From the bass side to the treble side, so that what a line cuts off is done with.
        for &line in &lines {
            let Some(cell) = rest else { break };
            let (off, on) = plan.cut(cell, line);
            done.extend(off.map(|cell| (cell, ground)));
            rest = on;
        }
        done.extend(rest.map(|cell| (cell, ground)));
    }
    done
}

/// The sines of the angles of the rulings to cut along, rising.
///
/// A ruling further out leaves the board where the radius is still smaller, so that it may stand
/// further from the one before: `R Δθ²/8` is the arc's rise over its chord.
fn ruling_sines(face: &Arch, corners: &[[f64; 2]], chord_mm: f64) -> Vec<f64> {
    if face.is_flat() || corners.is_empty() {
        return Vec::new();
    }
    let most = |of: &dyn Fn(&[f64; 2]) -> f64| corners.iter().map(of).fold(0.0, f64::max);
    let greatest = most(&|corner| face.radius(corner[0]));
    let side = |sign: f64| -> Vec<f64> {
        let reach = most(&|corner| sign * corner[1]);
        let last = most(&|corner| sign * corner[1] / face.radius(corner[0])).asin();
        let mut angles = vec![0.0];
        let mut angle = 0.0f64;
        while angle < last {
            let radius = greatest.min(reach / angle.sin().max(1e-12));
            angle += (8.0 * chord_mm / radius).sqrt();
            angles.push(angle);
        }
        // Drawn together evenly, so that the last ruling meets the edge where it is furthest out.
        let share = last / angle.max(1e-12);
        angles
            .iter()
            .map(|angle| sign * (angle * share).sin())
            .collect()
    };
    let (bass, treble) = (side(-1.0), side(1.0));
    bass.into_iter()
        .rev()
        .chain(treble.into_iter().skip(1))
        .collect()
}

/// How many straight sides stand for a circle.
pub(crate) fn sides_of_circle(radius_mm: f64, chord_mm: f64) -> usize {
    let half = (1.0 - (USED * chord_mm / radius_mm).min(0.5)).acos();
    (std::f64::consts::PI / half).ceil().max(8.0) as usize
}

/// Cuts a pocket, as a regular polygon, out of the cells that it reaches into.
fn cut_out(
    plan: &mut Plan,
    disc: &Disc,
    index: usize,
    cells: Vec<(Cell, Ground)>,
    chord_mm: f64,
) -> Vec<(Cell, Ground)> {
    let count = sides_of_circle(disc.radius_mm, chord_mm);
    let corner = |i: usize| {
        let (sin, cos) = (std::f64::consts::TAU * i as f64 / count as f64).sin_cos();
        [
            disc.centre[0] + disc.radius_mm * cos,
            disc.centre[1] + disc.radius_mm * sin,
        ]
    };
    let sides: Vec<usize> = (0..count)
        .map(|i| plan.add_line(Line::through(corner(i), corner(i + 1))))
        .collect();
    let mut cut = Vec::with_capacity(cells.len() + 4 * count);
    for (cell, ground) in cells {
        if !matches!(ground, Ground::Face(_)) || !near(plan, &cell, disc) {
            cut.push((cell, ground));
            continue;
        }
        let (mut rest, mut around) = (Some(cell.clone()), Vec::new());
        for &side in &sides {
            let Some(inner) = rest else { break };
            let (inside, outside) = plan.cut(inner, side);
            around.extend(outside.map(|cell| (cell, ground)));
            rest = inside;
        }
        match rest {
            Some(pocket) => {
                cut.push((pocket, Ground::Pocket(index)));
                cut.extend(around);
            }
            // The pocket does not reach into this cell: it stays whole.
            None => cut.push((cell, ground)),
        }
    }
    cut
}

/// True when a cell's bounding box comes near a pocket.
fn near(plan: &Plan, cell: &Cell, disc: &Disc) -> bool {
    (0..2).all(|i| {
        let values = || cell.corners.iter().map(|&corner| plan.points[corner][i]);
        let least = values().fold(f64::INFINITY, f64::min);
        let most = values().fold(f64::NEG_INFINITY, f64::max);
        let air = disc.radius_mm + SNAP_MM;
        least <= disc.centre[i] + air && most >= disc.centre[i] - air
    })
}

/// Gives every cell the corners that its neighbours have on their common sides, and makes one
/// of corners that lie on one line within a hair.
fn conform(plan: &mut Plan, cells: &mut Vec<(Cell, Ground)>) {
    let same = welded(plan, &corners_on_lines(plan, cells));
    for (cell, _) in cells.iter_mut() {
        cell.replace(&same);
    }
    cells.retain(|(cell, _)| cell.corners.len() > 2);
    let on_lines = corners_on_lines(plan, cells);
    for (cell, _) in cells.iter_mut() {
        let mut full = Cell {
            corners: Vec::with_capacity(cell.corners.len() + 2),
            lines: Vec::with_capacity(cell.corners.len() + 2),
        };
        for (from, to, line) in cell.sides() {
            full.corners.push(from);
            full.lines.push(line);
            for corner in between(plan, &on_lines[&line], from, to, line) {
                full.corners.push(corner);
                full.lines.push(line);
            }
        }
        *cell = full;
    }
}

/// For every line the corners of sides on it, in order along it.
fn corners_on_lines(plan: &Plan, cells: &[(Cell, Ground)]) -> BTreeMap<usize, Vec<usize>> {
    let mut on_lines: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (cell, _) in cells {
        for (from, to, line) in cell.sides() {
            on_lines.entry(line).or_default().extend([from, to]);
        }
    }
    for (&line, corners) in &mut on_lines {
        let along = |corner: usize| plan.lines[line].along(plan.points[corner]);
        corners.sort_by(|&a, &b| along(a).total_cmp(&along(b)).then(a.cmp(&b)));
        corners.dedup();
    }
    on_lines
}

/// For every corner the one that stands for it.
fn welded(plan: &Plan, on_lines: &BTreeMap<usize, Vec<usize>>) -> Vec<usize> {
    let mut same: Vec<usize> = (0..plan.points.len()).collect();
    for (&line, corners) in on_lines {
        let along = |corner: usize| plan.lines[line].along(plan.points[corner]);
        for pair in corners.windows(2) {
            if along(pair[1]) - along(pair[0]) < SNAP_MM {
                let (one, other) = (first(&same, pair[0]), first(&same, pair[1]));
                same[one.max(other)] = one.min(other);
            }
        }
    }
    (0..same.len()).map(|corner| first(&same, corner)).collect()
}

fn first(same: &[usize], mut corner: usize) -> usize {
    while same[corner] != corner {
        corner = same[corner];
    }
    corner
}

/// The corners on a line between two of its own, in the order of the way.
fn between(plan: &Plan, corners: &[usize], from: usize, to: usize, line: usize) -> Vec<usize> {
    let along = |corner: usize| plan.lines[line].along(plan.points[corner]);
    let place = |corner: usize| {
        let at = along(corner);
        corners
            .partition_point(|&other| along(other).total_cmp(&at).then(other.cmp(&corner)).is_lt())
    };
    let (start, end) = (place(from), place(to));
    if start < end {
        corners[start + 1..end].to_vec()
    } else {
        corners[end + 1..start].iter().rev().copied().collect()
    }
}
