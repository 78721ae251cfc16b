//! Fret slots: both walls, pass by pass, down to a flat floor or to one that follows the camber.

use instrument::Instrument;
use instrument::frets::SlotFloor;
use instrument::scale::CrossLine;

use super::face::Face;
use super::follow::{Follow, followed};
use super::moves::{Path, Point};

/// How far past an open edge the cutter's edge goes, mm.
const PAST_EDGE_MM: f64 = 0.2;
/// How much a floor that follows the camber is left too high where its straight pieces begin and
/// end, and how far they may sag, mm.
const FLOOR_MM: f64 = 2e-3;
/// Cutter that overlaps the cut beside it, as a share of its diameter.
const OVERLAP_SHARE: f64 = 0.2;
/// A width over the cutter's by less than this is the cutter's own, mm.
const SAME_WIDTH_MM: f64 = 1e-6;

/// The floor of a slot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Floor {
    /// Flat, so high over the bed, mm.
    At(f64),
    /// So far under the face, mm.
    Under(f64),
}

/// A slot in plan and in depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Slot {
    line: CrossLine,
    /// Its ends on its own line: at the edges, or at the binding's inner lines; bass, treble.
    ends: [[f64; 2]; 2],
    pub half_width_mm: f64,
    pub floor: Floor,
    /// The edges or the binding's inner lines, `[at x = 0, rise]` of y; bass, treble.
    bounds: [[f64; 2]; 2],
    bound: bool,
}

/// The slots of all frets, as the sheet has their depths.
pub(crate) fn slots(instrument: &Instrument, face: &Face) -> Vec<Slot> {
    let binding = instrument
        .wood
        .binding
        .map_or(0.0, |binding| binding.width_mm);
    let outline = &instrument.outline;
    let inner = |edge: instrument::outline::Edge, sign: f64| {
        let length = (1.0 + edge.rise * edge.rise).sqrt();
        [sign * (edge.at_nut_mm - binding * length), sign * edge.rise]
    };
    let bounds = [inner(outline.bass, -1.0), inner(outline.treble, 1.0)];
    let slot = |line: &CrossLine| {
        let crown = face.height(line.x_mm, 0.0);
        let depth_mm = instrument.slot_depth_mm(line.x_mm);
        Slot {
            line: *line,
            ends: bounds.map(|[offset, rise]| line.meet(offset, rise).into()),
            half_width_mm: 0.5 * instrument.fret_spec.slot_width_mm,
            floor: match instrument.fret_spec.slot_floor {
                SlotFloor::Flat => Floor::At(crown - depth_mm),
                SlotFloor::FollowsCamber => Floor::Under(depth_mm),
            },
            bounds,
            bound: binding > 0.0,
        }
    };
    instrument.frets.iter().skip(1).map(slot).collect()
}

impl Slot {
    /// Height of its floor over the bed where the face has a height, mm.
    pub(crate) fn floor_mm(&self, face: f64) -> f64 {
        match self.floor {
            Floor::At(height) => height,
            Floor::Under(depth) => face - depth,
        }
    }

    pub(crate) fn length_mm(&self) -> f64 {
        let [bass, treble] = self.ends;
        (treble[0] - bass[0]).hypot(treble[1] - bass[1])
    }

    /// Its direction toward the treble side.
    fn along(&self) -> [f64; 2] {
        let length = (1.0 + self.line.slope * self.line.slope).sqrt();
        [self.line.slope / length, 1.0 / length]
    }

    /// The place at a share of its length, so far aside toward the board's end.
    pub(crate) fn place(&self, share: f64, aside: f64) -> [f64; 2] {
        let ([bass, treble], [tx, ty]) = (self.ends, self.along());
        [
            bass[0] + share * (treble[0] - bass[0]) + aside * ty,
            bass[1] + share * (treble[1] - bass[1]) - aside * tx,
        ]
    }

    /// The place on its line so far past its bass end (0) or its treble end (1).
    pub(crate) fn past_end(&self, end: f64, past: f64) -> [f64; 2] {
        self.place(end + past * (2.0 * end - 1.0) / self.length_mm(), 0.0)
    }

    /// True where its walls and ends enclose a place, give or take so many mm.
    pub(crate) fn holds(&self, x: f64, y: f64, give_mm: f64) -> bool {
        let length = (1.0 + self.line.slope * self.line.slope).sqrt();
        let aside = (x - self.line.x_at(y)) / length;
        if aside.abs() > self.half_width_mm + give_mm {
            return false;
        }
        let inside = |[offset, rise]: [f64; 2], sign: f64| {
            sign * (offset + rise * x - y) / (1.0 + rise * rise).sqrt()
        };
        let [bass, treble] = self.bounds;
        !self.bound || inside(treble, 1.0).min(inside(bass, -1.0)) >= -give_mm
    }

    /// True near an end that the binding closes: a round cutter leaves the corners there.
    pub(crate) fn is_near_end(&self, x: f64, y: f64) -> bool {
        let near = |end: [f64; 2]| (x - end[0]).hypot(y - end[1]) < 2.0 * self.half_width_mm;
        self.bound && self.ends.into_iter().any(near)
    }

    /// Its highest wood, mm over the bed.
    fn top(&self, face: &Face) -> f64 {
        let heights = (0..=32).map(|step| {
            let [x, y] = self.place(f64::from(step) / 32.0, 0.0);
            face.height(x, y)
        });
        heights
            .chain([face.height(self.line.x_mm, 0.0)])
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Its depth under the highest wood over it, mm: what a cutter's reach must exceed.
    pub(crate) fn depth_mm(&self, face: &Face) -> f64 {
        match self.floor {
            Floor::At(height) => self.top(face) - height,
            Floor::Under(depth) => depth,
        }
    }

    /// Where a cutter's centre begins and ends on the line so far aside: bass, treble.
    fn run(&self, r: f64, aside: f64) -> [[f64; 2]; 2] {
        let length = (1.0 + self.line.slope * self.line.slope).sqrt();
        let line = CrossLine {
            x_mm: self.line.x_mm + aside * length,
            ..self.line
        };
        let out = if self.bound { -r } else { r + PAST_EDGE_MM };
        let signs = [-1.0, 1.0];
        std::array::from_fn(|end| {
            let [offset, rise] = self.bounds[end];
            let past = signs[end] * out * (1.0 + rise * rise).sqrt();
            line.meet(offset + past, rise).into()
        })
    }
}

/// The lines beside one another that make a slot so wide, as distances from its own line.
fn asides(width: f64, diameter: f64) -> Vec<f64> {
    let spare = width - diameter;
    if spare < SAME_WIDTH_MM {
        return vec![0.0];
    }
    let steps = (spare / ((1.0 - OVERLAP_SHARE) * diameter)).ceil().max(1.0);
    (0..=steps as usize)
        .map(|index| spare * (index as f64 / steps - 0.5))
        .collect()
}

/// How a slot's cutter goes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Going {
    pub radius: f64,
    pub pass_mm: f64,
    /// Along and straight down, mm/min.
    pub feed: [f64; 2],
    /// Where nothing stands, and close over the blank, mm over the bed.
    pub heights: [f64; 2],
}

/// The whole way through all slots, and how many levels the deepest has.
pub(crate) fn path(face: &Face, slots: &[Slot], going: Going) -> Option<(Path, usize)> {
    let [safe, near] = going.heights;
    let mut path: Option<Path> = None;
    let mut most = 0;
    for slot in slots {
        let ways = ways(face, slot, going);
        most = most.max(ways.len());
        let start = *ways.first()?.first()?.first()?;
        let path = path.get_or_insert_with(|| Path::from([start[0], start[1], safe]));
        path.hop([start[0], start[1], near], safe);
        for level in ways {
            for (index, way) in level.iter().enumerate() {
                let [x, y, z] = way[0];
                // Out to the new end at the old height, where no wood is left, and down there.
                let height = path.end()[2];
                if index == 0 && z < height {
                    path.feed([x, y, height], going.feed[0]);
                    path.feed([x, y, z], going.feed[1]);
                }
                for place in way {
                    path.feed(*place, going.feed[0]);
                }
            }
        }
        let [x, y, _] = path.end();
        path.rapid([x, y, safe]);
    }
    Some((path?, most))
}

/// The ways of one slot: level below level, in each the lines beside one another, to and fro.
fn ways(face: &Face, slot: &Slot, going: Going) -> Vec<Vec<Vec<Point>>> {
    let depth = slot.depth_mm(face);
    let levels = (depth / going.pass_mm - 1e-9).ceil().max(1.0);
    let asides = asides(2.0 * slot.half_width_mm, 2.0 * going.radius);
    let way = |level: usize, line: usize| {
        let share = (level + 1) as f64 / levels;
        let run = slot.run(going.radius, asides[line]);
        let mut way = match slot.floor {
            Floor::At(height) => {
                let z = height + (1.0 - share) * depth;
                level_way(face, slot, run, z, going.radius)
            }
            Floor::Under(depth) => {
                let follow = Follow {
                    radius: going.radius,
                    over_mm: FLOOR_MM - share * depth,
                    least_mm: f64::NEG_INFINITY,
                    sag_mm: FLOOR_MM,
                };
                followed(face, run, follow)
            }
        };
        if (level * asides.len() + line) % 2 == 1 {
            way.reverse();
        }
        way
    };
    let level = |index| (0..asides.len()).map(|line| way(index, line)).collect();
    (0..levels as usize).map(level).collect()
}

/// A level way, no longer than there is wood above it.
fn level_way(face: &Face, slot: &Slot, run: [[f64; 2]; 2], z: f64, r: f64) -> Vec<Point> {
    let mut run = run;
    let radius = {
        let x = slot.line.x_mm;
        let curvature = face.curvature(x);
        let drop = slot.top(face) - z;
        // drop = y²/(R + sqrt(R² - y²)) gives y² = drop (2 R - drop).
        (curvature > 0.0).then(|| (drop * (2.0 / curvature - drop)).max(0.0).sqrt())
    };
    if let Some(half) = radius {
        // The cutter's own radius, and as much for a fall or a skew.
        let reach = half + 2.0 * r + 1.0;
        let [bass, treble] = run;
        let at = |y: f64| [bass[0] + slot.line.slope * (y - bass[1]), y];
        run = [at(bass[1].max(-reach)), at(treble[1].min(reach))];
    }
    run.map(|[x, y]| [x, y, z]).to_vec()
}
