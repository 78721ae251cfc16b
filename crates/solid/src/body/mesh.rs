//! A body as triangles: one closed skin, wound outward, with a measured distance from the body.

use std::collections::BTreeMap;

use super::facets::{Facets, facets, sides_of_circle};
use super::plan::Cell;
use super::relief::{Ground, Relief};
use super::{Body, BodyError, triangles, within};

/// Chord tolerances that are made, mm.
const CHORDS_MM: [f64; 2] = [0.0005, 1.0];

/// Heights over one corner nearer than this are one, mm.
const SAME_HEIGHT_MM: f64 = 1e-5;

/// A body as triangles.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// The corners, mm.
    pub points: Vec<[f64; 3]>,
    /// Triangles, counterclockwise seen from outside, as places in the list of corners.
    pub triangles: Vec<[u32; 3]>,
    /// The chord tolerance that was asked for, mm.
    pub chord_mm: f64,
    /// How far the triangles lie off the exact body at most, mm: measured on a grid of places on
    /// every triangle of an arched face, and in the middle of every side of a pocket.
    pub off_mm: f64,
}

/// The body as triangles that lie off it by no more than a chord tolerance, mm; 0.0005 to 1.
///
/// Every edge belongs to two triangles that run along it in opposite directions.
///
/// Errors: a tolerance out of range; [`BodyError::NotClosed`] when an edge were left open, which
/// is a fault of this program.
pub fn mesh(body: &Body, chord_mm: f64) -> Result<Mesh, BodyError> {
    let chord_mm = within("the chord tolerance", chord_mm, "mm", CHORDS_MM)?;
    let relief = &body.relief;
    let facets = facets(relief, chord_mm);
    let mut skin = Skin::new(relief, &facets);
    skin.floors();
    skin.walls();
    let skin = skin;
    let off_mm = skin.off_mm.max(pockets_off_mm(relief, chord_mm));
    if !is_closed(&skin.triangles) {
        return Err(BodyError::NotClosed);
    }
    Ok(Mesh {
        triangles: skin
            .triangles
            .iter()
            .map(|t| t.map(|at| at as u32))
            .collect(),
        points: skin.points,
        chord_mm,
        off_mm,
    })
}

struct Skin<'a> {
    relief: &'a Relief,
    facets: &'a Facets,
    /// The points over every corner, rising.
    columns: Vec<Vec<usize>>,
    points: Vec<[f64; 3]>,
    triangles: Vec<[usize; 3]>,
    off_mm: f64,
}

impl<'a> Skin<'a> {
    fn new(relief: &'a Relief, facets: &'a Facets) -> Self {
        let mut heights = vec![Vec::new(); facets.plan.points.len()];
        for (cell, ground) in &facets.cells {
            let surface = relief.surface(*ground);
            for (from, to, line) in cell.sides() {
                heights[from].push(surface.height(facets.plan.points[from]));
                if line < relief.corners.len() {
                    heights[from].push(relief.base_mm);
                    heights[to].push(relief.base_mm);
                }
            }
        }
        let mut points = Vec::new();
        let mut column = |(corner, mut heights): (usize, Vec<f64>)| {
            heights.sort_by(f64::total_cmp);
            heights.dedup_by(|next, kept| *next - *kept < SAME_HEIGHT_MM);
            let [x, y] = facets.plan.points[corner];
            let first = points.len();
            points.extend(heights.into_iter().map(|z| [x, y, z]));
            (first..points.len()).collect()
        };
        let columns = heights.into_iter().enumerate().map(&mut column).collect();
        Self {
            relief,
            facets,
            columns,
            points,
            triangles: Vec::new(),
            off_mm: 0.0,
        }
    }

    /// A ground's level in a corner's column; the underside without one.
    fn level(&self, corner: usize, ground: Option<Ground>) -> usize {
        let Some(ground) = ground else { return 0 };
        let height = self
            .relief
            .surface(ground)
            .height(self.facets.plan.points[corner]);
        let column = &self.columns[corner];
        let above = column.partition_point(|&point| self.points[point][2] <= height);
        above.saturating_sub(1)
    }

    /// The upper sides of all cells.
    fn floors(&mut self) {
        let facets = self.facets;
        for (cell, ground) in &facets.cells {
            let corners = self.corners(cell);
            let surface = self.relief.surface(*ground);
            let points: Vec<usize> = cell
                .corners
                .iter()
                .map(|&corner| self.columns[corner][self.level(corner, Some(*ground))])
                .collect();
            for triangle in triangles::of_polygon(&corners) {
                let triangle = triangle.map(|at| points[at]);
                self.triangles.push(triangle);
                if !surface.is_flat() {
                    let corners = triangle.map(|point| self.points[point]);
                    let off = grid(corners).map(|place| surface.off_mm(place));
                    self.off_mm = off.fold(self.off_mm, f64::max);
                }
            }
        }
    }

    fn corners(&self, cell: &Cell) -> Vec<[f64; 2]> {
        let corners = cell.corners.iter();
        corners
            .map(|&corner| self.facets.plan.points[corner])
            .collect()
    }

    /// The walls between cells, the walls around the body, and its underside.
    fn walls(&mut self) {
        let mut sides: BTreeMap<(usize, usize), Ground> = BTreeMap::new();
        for (cell, ground) in &self.facets.cells {
            sides.extend(cell.sides().map(|(from, to, _)| ((from, to), *ground)));
        }
        let mut round: BTreeMap<usize, usize> = BTreeMap::new();
        for (&(from, to), &ground) in &sides {
            let beyond = sides.get(&(to, from)).copied();
            if beyond.is_none() {
                round.insert(from, to);
            }
            // A side between two cells is met from both.
            if beyond.is_none() || from < to {
                self.wall([from, to], ground, beyond);
            }
        }
        self.underside(&round);
    }

    fn wall(&mut self, ends: [usize; 2], left: Ground, right: Option<Ground>) {
        let chain = |corner: usize| -> Vec<usize> {
            let column = &self.columns[corner];
            let (from, to) = (self.level(corner, right), self.level(corner, Some(left)));
            if from <= to {
                column[from..=to].to_vec()
            } else {
                column[to..=from].iter().rev().copied().collect()
            }
        };
        let (near, far) = (chain(ends[0]), chain(ends[1]));
        let height = |point: usize| self.points[point][2];
        let found = triangles::between_chains(&near, &far, height);
        self.triangles.extend(found);
    }

    fn underside(&mut self, round: &BTreeMap<usize, usize>) {
        let Some((&first, _)) = round.first_key_value() else {
            return;
        };
        let mut corners = vec![first];
        let mut at = first;
        while let Some(&next) = round.get(&at).filter(|&&next| next != first) {
            corners.push(next);
            at = next;
        }
        let plan: Vec<[f64; 2]> = corners
            .iter()
            .map(|&at| self.facets.plan.points[at])
            .collect();
        for [a, b, c] in triangles::of_polygon(&plan) {
            let point = |at: usize| self.columns[corners[at]][0];
            self.triangles.push([point(a), point(c), point(b)]);
        }
    }
}

/// Places spread evenly over a triangle, its corners among them.
fn grid([a, b, c]: [[f64; 3]; 3]) -> impl Iterator<Item = [f64; 3]> {
    const STEPS: u32 = 6;
    let place = move |i: u32, j: u32| {
        let [u, v] = [i, j].map(|step| f64::from(step) / f64::from(STEPS));
        [0, 1, 2].map(|k| a[k] + u * (b[k] - a[k]) + v * (c[k] - a[k]))
    };
    (0..=STEPS).flat_map(move |i| (0..=STEPS - i).map(move |j| place(i, j)))
}

/// How far the straight sides of pockets lie inside their circles.
fn pockets_off_mm(relief: &Relief, chord_mm: f64) -> f64 {
    let off = |radius_mm: f64| {
        let sides = sides_of_circle(radius_mm, chord_mm) as f64;
        radius_mm * (1.0 - (std::f64::consts::PI / sides).cos())
    };
    relief
        .discs
        .iter()
        .map(|disc| off(disc.radius_mm))
        .fold(0.0, f64::max)
}

/// True when every side of a triangle has exactly one partner that runs the other way.
fn is_closed(triangles: &[[usize; 3]]) -> bool {
    let ways = triangles
        .iter()
        .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)]);
    let mut ways: Vec<(usize, usize, bool)> = ways
        .map(|(from, to)| (from.min(to), from.max(to), from < to))
        .collect();
    ways.sort_unstable();
    ways.chunks(2).all(|pair| match pair {
        [one, other] => (one.0, one.1) == (other.0, other.1) && one.2 != other.2 && one.0 != one.1,
        _ => false,
    }) && ways
        .chunks(2)
        .zip(ways.chunks(2).skip(1))
        .all(|(one, next)| {
            // No edge has more than two triangles.
            (one[0].0, one[0].1) != (next[0].0, next[0].1)
        })
}
