//! From a plan with heights to a closed shell: a face on every region, upright walls between.
//!
//! Over every corner of the plan stand the heights of the regions that meet there; between two of
//! them that follow one another runs an upright edge. Walls in one plane that stand side by side
//! become one face: the upright edges that they share cancel.

use std::collections::BTreeMap;

use super::BodyError;
use super::arch::Arch;
use super::loops::{Side, closed_loops};
use super::patch::face_surface;
use super::plan::Plan;
use super::pockets;
use super::regions::{Border, Regions};
use super::relief::Relief;
use super::shell::{Curve, Edge, Face, Shell, Surface, Way};

/// Heights nearer than this are one, mm.
const SAME_HEIGHT_MM: f64 = 1e-7;

/// The closed shell of a body.
pub(crate) fn shell(relief: &Relief, plan: &Plan, regions: &Regions) -> Result<Shell, BodyError> {
    let mut builder = Builder::new(relief, plan, regions);
    builder.floors()?;
    builder.walls()?;
    builder.underside();
    Ok(builder.shell)
}

pub(crate) struct Builder<'a> {
    pub relief: &'a Relief,
    plan: &'a Plan,
    regions: &'a Regions,
    /// The surface of every region.
    surfaces: Vec<Arch>,
    /// Over every corner of the plan the heights that meet there, rising, with their points.
    columns: Vec<Vec<(f64, Option<usize>)>>,
    edges: BTreeMap<(usize, usize), usize>,
    pub shell: Shell,
}

/// A place in a column: the plan's corner and the height's number, from the lowest.
type Level = (usize, usize);

impl<'a> Builder<'a> {
    fn new(relief: &'a Relief, plan: &'a Plan, regions: &'a Regions) -> Self {
        let surfaces: Vec<Arch> = regions
            .grounds
            .iter()
            .map(|&ground| relief.surface(ground))
            .collect();
        let mut columns = vec![Vec::new(); plan.points.len()];
        for border in &regions.borders {
            for (end, side) in border
                .ends
                .into_iter()
                .zip([[border.left, border.right]; 2])
            {
                for region in side {
                    let height =
                        region.map_or(relief.base_mm, |r| surfaces[r].height(plan.points[end]));
                    columns[end].push((height, None));
                }
            }
        }
        for column in &mut columns {
            column.sort_by(|a: &(f64, Option<usize>), b| a.0.total_cmp(&b.0));
            column.dedup_by(|next, kept| next.0 - kept.0 < SAME_HEIGHT_MM);
        }
        Self {
            relief,
            plan,
            regions,
            surfaces,
            columns,
            edges: BTreeMap::new(),
            shell: Shell::default(),
        }
    }

    /// The level at which a region, or the underside outside, meets a corner.
    fn level(&self, corner: usize, region: Option<usize>) -> Level {
        let Some(region) = region else {
            return (corner, 0);
        };
        let height = self.surfaces[region].height(self.plan.points[corner]);
        let above = self.columns[corner].partition_point(|level| level.0 <= height);
        (corner, above.saturating_sub(1))
    }

    fn point(&mut self, (corner, level): Level) -> usize {
        let entry = &mut self.columns[corner][level];
        let [x, y] = self.plan.points[corner];
        *entry.1.get_or_insert_with(|| {
            self.shell.points.push([x, y, entry.0]);
            self.shell.points.len() - 1
        })
    }

    pub fn place(&mut self, point: [f64; 3]) -> usize {
        self.shell.points.push(point);
        self.shell.points.len() - 1
    }

    pub fn add_edge(&mut self, ends: [usize; 2], curve: Curve) -> usize {
        self.shell.edges.push(Edge { ends, curve });
        self.shell.edges.len() - 1
    }

    /// The way between two points; its curve is made when the first face comes along it.
    fn way(&mut self, [from, to]: [usize; 2], surface: Option<Arch>) -> Way {
        let forward = from < to;
        let ends = [from.min(to), from.max(to)];
        if let Some(&edge) = self.edges.get(&(ends[0], ends[1])) {
            return Way { edge, forward };
        }
        let [first, last] = ends.map(|end| self.shell.points[end]);
        let curve = surface.map_or(Curve::Line, |surface| surface.curve(first, last));
        let edge = self.add_edge(ends, curve);
        self.edges.insert((ends[0], ends[1]), edge);
        Way { edge, forward }
    }

    /// The edge of a region over a border, in the border's direction.
    fn rim(&mut self, border: &Border, region: usize) -> ([usize; 2], Way) {
        let ends = border.ends.map(|end| self.level(end, Some(region)));
        let ends = ends.map(|level| self.point(level));
        let way = self.way(ends, Some(self.surfaces[region]));
        (ends, way)
    }

    /// The faces of all regions, and the pockets in them.
    fn floors(&mut self) -> Result<(), BodyError> {
        let mut sides: Vec<Vec<Side<Way>>> = vec![Vec::new(); self.regions.grounds.len()];
        for border in &self.regions.borders {
            let at = border.ends.map(|end| self.plan.points[end]);
            for (region, turned) in [(border.left, false), (border.right, true)] {
                let Some(region) = region else { continue };
                let (ends, way) = self.rim(border, region);
                let side = Side {
                    ends,
                    at,
                    what: way,
                };
                sides[region].push(if turned { turn(side) } else { side });
            }
        }
        for (region, sides) in sides.iter().enumerate() {
            let mut loops = closed_loops(sides).ok_or(BodyError::NotClosed)?;
            loops.sort_by(|a, b| b.twice_area.total_cmp(&a.twice_area));
            let corners: Vec<[f64; 2]> = sides.iter().map(|side| side.at[0]).collect();
            let mut face = Face {
                surface: face_surface(&self.surfaces[region], &corners),
                loops: loops.iter().map(|found| ways(&found.sides)).collect(),
            };
            for disc in &self.relief.discs {
                if disc.region == region {
                    face.loops
                        .push(pockets::sink(self, disc, &self.surfaces[region].clone()));
                }
            }
            self.shell.faces.push(face);
        }
        Ok(())
    }

    /// The upright faces, those around the body included.
    fn walls(&mut self) -> Result<(), BodyError> {
        let mut walls: BTreeMap<(usize, bool), Wall> = BTreeMap::new();
        for border in &self.regions.borders {
            let levels = |region| border.ends.map(|end| self.level(end, region));
            let (left, right) = (levels(border.left), levels(border.right));
            if left == right {
                continue;
            }
            let sum = |levels: [Level; 2]| levels[0].1 + levels[1].1;
            let lower_left =
                border.left.is_none() || (border.right.is_some() && sum(left) < sum(right));
            walls.entry((border.line, lower_left)).or_default().add(
                border,
                [left, right],
                lower_left,
            );
        }
        for ((line, lower_left), wall) in walls {
            self.wall(line, lower_left, &wall)?;
        }
        Ok(())
    }

    /// The faces that stand on one line and look to one side.
    fn wall(&mut self, line: usize, lower_left: bool, wall: &Wall) -> Result<(), BodyError> {
        let mut sides = Vec::new();
        for (border, region, turned) in &wall.rims {
            let (ends, what) = self.rim(border, *region);
            let side = self.upright_side(line, lower_left, ends, what);
            sides.push(if *turned { turn(side) } else { side });
        }
        for (&[below, above], &count) in &wall.uprights {
            if count == 0 {
                continue;
            }
            let ends = [self.point(below), self.point(above)];
            let what = self.way(ends, None);
            let side = self.upright_side(line, lower_left, ends, what);
            sides.push(if count > 0 { side } else { turn(side) });
        }
        if line < self.relief.corners.len() {
            let ends = [line, (line + 1) % self.relief.corners.len()];
            let ends = ends.map(|corner| self.point((corner, 0)));
            let what = self.way(ends, None);
            sides.push(self.upright_side(line, lower_left, ends, what));
        }
        let surface = self.upright(line, lower_left);
        for found in closed_loops(&sides).ok_or(BodyError::NotClosed)? {
            self.shell.faces.push(Face {
                surface: surface.clone(),
                loops: vec![ways(&found.sides)],
            });
        }
        Ok(())
    }

    /// A side in its wall's plane, as it is seen from where the wall looks.
    fn upright_side(
        &self,
        line: usize,
        lower_left: bool,
        ends: [usize; 2],
        what: Way,
    ) -> Side<Way> {
        let to_right = if lower_left { -1.0 } else { 1.0 };
        let at = ends.map(|end| {
            let [x, y, z] = self.shell.points[end];
            [to_right * self.plan.lines[line].along([x, y]), z]
        });
        Side { ends, at, what }
    }

    fn upright(&self, line: usize, lower_left: bool) -> Surface {
        let line = self.plan.lines[line];
        // The line's own normal points to its right.
        let out = if lower_left { -1.0 } else { 1.0 };
        Surface::Plane {
            origin: [line.a * line.c, line.b * line.c, self.relief.base_mm],
            normal: [out * line.a, out * line.b, 0.0],
            along: [-line.b, line.a, 0.0],
        }
    }

    fn underside(&mut self) {
        let count = self.relief.corners.len();
        let points: Vec<usize> = (0..count).map(|corner| self.point((corner, 0))).collect();
        let clockwise = (0..count)
            .rev()
            .map(|i| [points[(i + 1) % count], points[i]]);
        let ways: Vec<Way> = clockwise.map(|ends| self.way(ends, None)).collect();
        self.shell.faces.push(Face {
            surface: Surface::Plane {
                origin: [0.0, 0.0, self.relief.base_mm],
                normal: [0.0, 0.0, -1.0],
                along: [1.0, 0.0, 0.0],
            },
            loops: vec![ways],
        });
    }
}

/// What bounds the faces that stand on one line and look to one side.
#[derive(Default)]
struct Wall {
    /// Rims above and below: border, region, and true where the wall goes against the border.
    rims: Vec<(Border, usize, bool)>,
    /// Upright edges, counted upward; two parts that share one cancel it.
    uprights: BTreeMap<[Level; 2], i32>,
}

impl Wall {
    /// Adds the part over one border. Seen from its lower side its rim below runs to the right,
    /// which is along the border where the lower side is on the border's right.
    fn add(&mut self, border: &Border, [left, right]: [[Level; 2]; 2], lower_left: bool) {
        let (low, high) = if lower_left {
            (left, right)
        } else {
            (right, left)
        };
        let (below, above) = match lower_left {
            true => (border.left, border.right),
            false => (border.right, border.left),
        };
        self.rims
            .extend(below.map(|region| (*border, region, lower_left)));
        self.rims
            .extend(above.map(|region| (*border, region, !lower_left)));
        for (end, up) in [(0, lower_left), (1, !lower_left)] {
            let corner = low[end].0;
            for level in low[end].1..high[end].1 {
                let count = self.uprights.entry([(corner, level), (corner, level + 1)]);
                *count.or_default() += if up { 1 } else { -1 };
            }
        }
    }
}

fn turn(side: Side<Way>) -> Side<Way> {
    Side {
        ends: [side.ends[1], side.ends[0]],
        at: [side.at[1], side.at[0]],
        what: Way {
            edge: side.what.edge,
            forward: !side.what.forward,
        },
    }
}

fn ways(sides: &[Side<Way>]) -> Vec<Way> {
    sides.iter().map(|side| side.what).collect()
}
