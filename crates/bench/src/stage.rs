//! A stage: one tool, one zone, one grade; and how the wood stands before and after it.

use instrument::arc::{area_above, drop};
use instrument::integrate::{greatest, integrate, pieces};
use instrument::{Instrument, Radius};
use quantity::Grade;

use crate::blocks::{BlockZone, Span, tightest_at, zone_ends};
use crate::effort::Effort;
use crate::kit::{Beam, Block};

/// What is done in a stage, and with what.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// A block cuts its zone.
    Block(Block),
    /// The beam brings the whole board to the camber, or lowers it evenly.
    Beam(Beam),
    /// The beam, kept past a fret, makes the fall-away.
    FallAway(Beam),
}

/// How the wood stands over the finished surface at some moment of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Height of the crown over the finished one, mm.
    pub offset_mm: f64,
    /// The arch so far.
    pub arch: Arch,
    /// True when the planned fall-away is made, or none is planned.
    pub fall_made: bool,
}

/// The arch so far.
#[derive(Clone, Debug, PartialEq)]
pub enum Arch {
    /// What these blocks, flattest first, have cut; none of them leaves a flat blank.
    Blocks(Vec<BlockZone>),
    /// The camber itself.
    Camber,
}

impl Standing {
    /// The finished surface itself.
    pub fn finished() -> Self {
        Self {
            offset_mm: 0.0,
            arch: Arch::Camber,
            fall_made: true,
        }
    }

    /// Height of the wood over the finished surface at `(x, y)`, mm.
    pub fn height_mm(&self, instrument: &Instrument, x: f64, y: f64) -> f64 {
        self.height_under(instrument, self.block_at(x), x, y)
    }

    /// The block whose arch stands at `x`, a flat face where none has cut; nothing once the
    /// camber itself stands.
    fn block_at(&self, x: f64) -> Option<Radius> {
        match &self.arch {
            Arch::Blocks(zones) => Some(tightest_at(zones, x).unwrap_or(Radius::FLAT)),
            Arch::Camber => None,
        }
    }

    /// The height at `(x, y)` under a block's arch, or under the camber itself.
    fn height_under(&self, instrument: &Instrument, block: Option<Radius>, x: f64, y: f64) -> f64 {
        let arch = block.map_or(0.0, |block| {
            drop(instrument.camber.radius(x), y) - drop(block, y)
        });
        self.offset_mm + arch + self.fall_to_make_mm(instrument, x)
    }

    /// The part of the planned fall-away that still stands at `x`, mm.
    fn fall_to_make_mm(&self, instrument: &Instrument, x: f64) -> f64 {
        if self.fall_made {
            0.0
        } else {
            instrument.camber.fall(x)
        }
    }

    /// Volume over the finished surface, mm³.
    pub fn volume_mm3(&self, instrument: &Instrument) -> f64 {
        self.volume_between(instrument, f64::NEG_INFINITY, f64::INFINITY)
    }

    /// Volume over the finished surface between two places along the board, mm³.
    pub fn volume_between(&self, instrument: &Instrument, from_mm: f64, to_mm: f64) -> f64 {
        let (start, end) = instrument.outline.reach();
        let (from, to) = (start.max(from_mm), end.min(to_mm));
        if from >= to {
            return 0.0;
        }
        integrate(from, to, &self.breaks(instrument), |x| {
            let Some((low, high)) = instrument.outline.span(x) else {
                return 0.0;
            };
            let above = |radius| area_above(radius, high) - area_above(radius, low);
            let arch = self.block_at(x).map_or(0.0, |block| {
                above(instrument.camber.radius(x)) - above(block)
            });
            let even = self.offset_mm + self.fall_to_make_mm(instrument, x);
            arch + even * (high - low)
        })
    }

    /// Places along the board where the standing wood has a kink or a step.
    pub fn breaks(&self, instrument: &Instrument) -> Vec<f64> {
        let mut breaks = instrument.breaks();
        if let Arch::Blocks(zones) = &self.arch {
            breaks.extend(zone_ends(zones));
        }
        breaks
    }

    /// The greatest height over the camber at this standing's own crown, mm, and where it is.
    /// It lies on an edge, because the arch left grows toward both.
    pub fn greatest_over_aim(&self, instrument: &Instrument) -> (f64, (f64, f64)) {
        let best = self.most_along_edges(instrument, |block, x, y| {
            self.height_under(instrument, block, x, y) - self.offset_mm
        });
        if best.0 > 0.0 {
            best
        } else {
            (0.0, (0.0, 0.0))
        }
    }

    /// The thinnest edge, mm, and its place along the board; both edges, corner to corner.
    pub fn thinnest_edge(&self, instrument: &Instrument) -> (f64, f64) {
        let (thickness, at) = self.most_along_edges(instrument, |block, x, y| {
            -self.thickness_under(instrument, block, x, y)
        });
        (-thickness, at.0)
    }

    /// The wood's thickness at `(x, y)` under a block's arch, less a binding's ledge, mm.
    fn thickness_under(
        &self,
        instrument: &Instrument,
        block: Option<Radius>,
        x: f64,
        y: f64,
    ) -> f64 {
        let wood = &instrument.wood;
        let ledge = wood.binding.map_or(0.0, |binding| binding.ledge_mm);
        let finished = wood.crown_thickness_mm + instrument.camber.height(x, y) - ledge;
        finished + self.height_under(instrument, block, x, y)
    }

    /// The greatest value of a figure along both edges, and where it is. The figure is asked for
    /// piece by piece with the piece's own block, so that the steps at zone ends are one-sided.
    fn most_along_edges(
        &self,
        instrument: &Instrument,
        figure: impl Fn(Option<Radius>, f64, f64) -> f64,
    ) -> (f64, (f64, f64)) {
        let breaks = self.breaks(instrument);
        let mut best = (f64::NEG_INFINITY, (0.0, 0.0));
        for side in instrument.outline.sides() {
            for (start, end) in pieces(side.from_mm, side.to_mm, &breaks) {
                let block = self.block_at(0.5 * (start + end));
                let (x, most) = greatest(start, end, 8, |x| figure(block, x, side.edge.at(x)));
                if most > best.0 {
                    best = (most, (x, side.sign * side.edge.at(x)));
                }
            }
        }
        best
    }
}

/// One stage of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// A name that stays the same as long as tool and grade do: the key of its log.
    pub key: String,
    /// What is done, and with what.
    pub work: Work,
    /// The grade of abrasive.
    pub grade: &'static Grade,
    /// Where: the stretches of the board, in order.
    pub spans: Vec<Span>,
    /// How the wood stands before.
    pub before: Standing,
    /// How it stands after.
    pub after: Standing,
    /// What this stage leaves for the grades that follow it, of its own scratches, mm: nothing
    /// when the next stage has the same grade, and nothing at the last.
    pub allowance_mm: f64,
    /// Volume taken off, mm³.
    pub removed_mm3: f64,
    /// The part of it that changes the arch, mm³: what comes off unevenly. A grade that only
    /// lowers the board evenly has none, and so cannot move the radius.
    pub arch_mm3: f64,
    /// Greatest height that then stands over the camber at the stage's own crown, mm.
    pub left_max_mm: f64,
    /// Where that is, `(x, y)` in mm.
    pub left_max_at_mm: (f64, f64),
    /// Volume that then stands over the camber at the stage's own crown, mm³.
    pub left_mm3: f64,
    /// What it costs.
    pub effort: Effort,
    /// The share of the strokes for each sixth of the stage's stretch, nutmost first; sums to 1.
    pub strokes: Vec<f64>,
    /// The thinnest edge after the stage: thickness and place, mm.
    pub edge_after_mm: (f64, f64),
}

impl Stage {
    /// Where it begins along the board, mm.
    pub fn from_x_mm(&self) -> f64 {
        self.spans.first().map_or(0.0, |span| span.from_mm)
    }

    /// Where it ends along the board, mm.
    pub fn to_x_mm(&self) -> f64 {
        self.spans.last().map_or(0.0, |span| span.to_mm)
    }

    /// The radius of its block; nothing for the beam.
    pub fn radius(&self) -> Option<Radius> {
        match &self.work {
            Work::Block(block) => Some(block.radius),
            Work::Beam(_) | Work::FallAway(_) => None,
        }
    }

    /// How much wood it takes off at `(x, y)`, mm.
    pub fn depth_mm(&self, instrument: &Instrument, x: f64, y: f64) -> f64 {
        self.before.height_mm(instrument, x, y) - self.after.height_mm(instrument, x, y)
    }

    /// True when it lowers the crown itself.
    pub fn lowers_crown(&self) -> bool {
        self.before.offset_mm > self.after.offset_mm
    }
}
