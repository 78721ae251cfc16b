//! A body as a plan with heights: every cell of the plan lies on one ground, every ground has its
//! height, and between grounds of different height stands an upright wall.

use super::arch::Arch;
use super::plan::{Cell, Line, Plan};

/// What a cell of the plan lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Ground {
    /// A piece of the face.
    Face(usize),
    /// The level floor of a slot.
    Level(usize),
    /// The floor of a slot that follows a piece of the face.
    Under(usize, usize),
    /// The ledge under a strip of binding.
    Ledge(usize),
    /// The floor of a round pocket.
    Pocket(usize),
}

/// A slot between two parallel walls.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slot {
    /// The fret whose slot it is.
    pub fret: usize,
    /// Its walls; it lies on the positive side of the first and on the negative of the second.
    pub walls: [Line; 2],
    /// Its floor.
    pub floor: Floor,
}

/// The floor of a slot.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Floor {
    /// Level, at this height, mm.
    Level(f64),
    /// So far under the face, mm.
    Under(f64),
}

/// What lies outside a line along the edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Strip {
    /// The strip lies on its positive side.
    pub line: Line,
    /// The ledge's height, mm; nothing where the wood is whole and only slots stop there.
    pub ledge_mm: Option<f64>,
}

/// A round pocket within one region of the face.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Disc {
    pub centre: [f64; 2],
    pub radius_mm: f64,
    /// Height of its floor, mm.
    pub floor_mm: f64,
    /// The region of the face in which it lies.
    pub region: usize,
}

/// A body as a plan with heights.
#[derive(Clone, Debug)]
pub(crate) struct Relief {
    /// Height of the underside, mm.
    pub base_mm: f64,
    /// The outline, counterclockwise.
    pub corners: [[f64; 2]; 4],
    /// The face, in order along x.
    pub faces: Vec<Arch>,
    /// The slots.
    pub slots: Vec<Slot>,
    /// The strips along the edges.
    pub strips: Vec<Strip>,
    /// The round pockets.
    pub discs: Vec<Disc>,
}

impl Relief {
    /// The outline cut by every line on which the ground may change.
    pub fn cells(&self, snap_mm: f64) -> (Plan, Vec<Cell>) {
        let (mut plan, outline) = Plan::new(&self.corners, snap_mm);
        let kinks = self
            .faces
            .iter()
            .skip(1)
            .map(|face| Line::square(face.x_mm[0]));
        let strips = self.strips.iter().map(|strip| strip.line);
        let walls = self.slots.iter().flat_map(|slot| slot.walls);
        let mut cells = vec![outline];
        for line in kinks.chain(strips).chain(walls) {
            let line = plan.add_line(line);
            cells = plan.cut_all(cells, line);
        }
        (plan, cells)
    }

    /// The ground at a place that lies on none of the lines, pockets left aside.
    pub fn ground(&self, at: [f64; 2]) -> Ground {
        let strip = self
            .strips
            .iter()
            .position(|strip| strip.line.side(at) > 0.0);
        if let Some(strip) = strip
            && self.strips[strip].ledge_mm.is_some()
        {
            return Ground::Ledge(strip);
        }
        let face = self.faces[1..].partition_point(|face| face.x_mm[0] <= at[0]);
        // Slots lie in order along the board and do not cross.
        let slot = self
            .slots
            .partition_point(|slot| slot.walls[1].side(at) > 0.0);
        let within = strip.is_none()
            && self
                .slots
                .get(slot)
                .is_some_and(|slot| slot.walls[0].side(at) > 0.0);
        match within.then(|| self.slots[slot].floor) {
            Some(Floor::Level(_)) => Ground::Level(slot),
            Some(Floor::Under(_)) => Ground::Under(slot, face),
            None => Ground::Face(face),
        }
    }

    /// The surface of a ground.
    pub fn surface(&self, ground: Ground) -> Arch {
        match ground {
            Ground::Face(face) => self.faces[face],
            Ground::Level(slot) => match self.slots[slot].floor {
                Floor::Level(height) => Arch::level(height),
                Floor::Under(_) => self.faces[0],
            },
            Ground::Under(slot, face) => match self.slots[slot].floor {
                Floor::Under(depth) => self.faces[face].lowered(depth),
                Floor::Level(height) => Arch::level(height),
            },
            Ground::Ledge(strip) => {
                Arch::level(self.strips[strip].ledge_mm.unwrap_or(self.base_mm))
            }
            Ground::Pocket(disc) => Arch::level(self.discs[disc].floor_mm),
        }
    }

    /// The height over a place in plan; nothing outside the outline.
    pub fn height(&self, at: [f64; 2]) -> Option<f64> {
        let outside = |i: usize| {
            Line::through(self.corners[i], self.corners[(i + 1) % self.corners.len()]).side(at)
        };
        if (0..self.corners.len()).any(|i| outside(i) > 0.0 || outside(i).is_nan()) {
            return None;
        }
        let in_disc =
            |disc: &Disc| (at[0] - disc.centre[0]).hypot(at[1] - disc.centre[1]) <= disc.radius_mm;
        let ground = match self.discs.iter().position(in_disc) {
            Some(disc) => Ground::Pocket(disc),
            None => self.ground(at),
        };
        Some(self.surface(ground).height(at))
    }
}
