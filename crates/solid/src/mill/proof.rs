//! The proof: the written moves swept over the wood, place by place.

use std::ops::ControlFlow;

use super::Operation;
use super::moves::{Motion, Path, Point};
use super::refusal::Cause;
use super::sweep::Tip;
use super::watch::{Limits, PICTURE, Watch, Zone};

/// What may be cut away too much, mm.
pub const MOST_GOUGE_MM: f64 = 1e-3;
/// How deep a move without feed may seem to be in wood: rounding, mm.
const TOUCH_MM: f64 = 1e-3;

/// What the sweep found.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// How many places were watched.
    pub places: usize,
    /// The greatest depth under what this program may cut to, µm; not over 1.
    pub gouge_um: f64,
    /// The greatest height left over the finished face, µm: after finishing.
    pub scallop_um: Option<f64>,
    /// The greatest height left over the floors that this program must reach, µm: of slots, dots,
    /// or the groove around the board.
    pub floor_left_um: Option<f64>,
    /// The wood after this program.
    pub left: Left,
}

/// The wood over the finished face, for a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Left {
    /// Places along the board, at equal shares of its length from the nut's line.
    pub columns: usize,
    /// Places across, at equal shares from the bass edge.
    pub rows: usize,
    /// Heights over the finished face, µm, row by row; negative in slots and dots.
    pub over_um: Vec<f32>,
}

/// Who waits for proofs, and how far they are.
pub(crate) struct Telling<'a> {
    told: &'a mut dyn FnMut(f64) -> ControlFlow<()>,
    done: usize,
    all: usize,
}

/// Moves from one word to who waits to the next.
const MOVES_A_WORD: usize = 256;

impl<'a> Telling<'a> {
    pub(crate) fn new(told: &'a mut dyn FnMut(f64) -> ControlFlow<()>, all: usize) -> Self {
        Self { told, done: 0, all }
    }

    /// One more move is swept; nothing when who waits has broken off.
    fn moved(&mut self) -> Option<()> {
        self.done += 1;
        if !self.done.is_multiple_of(MOVES_A_WORD) {
            return Some(());
        }
        match (self.told)(self.done as f64 / self.all.max(1) as f64) {
            ControlFlow::Continue(()) => Some(()),
            ControlFlow::Break(()) => None,
        }
    }
}

/// Sweeps a program's way. The wood in `watch` is cut, also where the proof fails; nothing where
/// who waits has broken off.
pub(crate) fn prove(
    watch: &mut Watch,
    path: &Path,
    tip: Tip,
    operation: Operation,
    limits: Limits,
    asked_mm: f64,
    telling: &mut Telling<'_>,
) -> Option<Result<Proof, Cause>> {
    let highest = watch
        .field
        .spots()
        .iter()
        .map(|spot| spot.stock)
        .fold(0.0, f64::max);
    for (from, leg) in path.legs() {
        telling.moved()?;
        if leg.motion != Motion::Rapid {
            watch.field.cut(from, leg, tip);
        } else if from[2].min(leg.to[2]) < highest
            && let Some((at, by_mm)) = watch.field.deepest(from, leg, tip)
            && by_mm > TOUCH_MM
        {
            return Some(Err(Cause::RapidInWood { at, by_mm }));
        }
    }
    Some(judge(watch, operation, limits, asked_mm))
}

fn judge(
    watch: &Watch,
    operation: Operation,
    limits: Limits,
    asked_mm: f64,
) -> Result<Proof, Cause> {
    let (mut gouge, mut scallop, mut floor_left) =
        (Worst::default(), Worst::default(), Worst::default());
    for spot in watch.field.spots() {
        let watched = watch.watched[spot.index as usize];
        let at = [spot.x, spot.y, spot.stock];
        let floor = watched.floor(operation, limits);
        gouge.see(at, floor - spot.stock);
        match (operation, watched.zone) {
            (Operation::Finish, Zone::Face | Zone::Slot(_) | Zone::Dot(_)) => {
                scallop.see(at, spot.stock - watched.face);
            }
            (Operation::Slots, Zone::Slot(_))
            | (Operation::Dots, Zone::Dot(_))
            | (Operation::Outline, Zone::Waste)
                if watched.reached =>
            {
                floor_left.see(at, spot.stock - floor);
            }
            _ => {}
        }
    }
    if gouge.by > MOST_GOUGE_MM {
        return Err(Cause::Gouge {
            at: gouge.at,
            by_mm: gouge.by,
            most_mm: MOST_GOUGE_MM,
        });
    }
    if scallop.by > asked_mm {
        return Err(Cause::Scallop {
            at: scallop.at,
            left_mm: scallop.by,
            asked_mm,
        });
    }
    Ok(Proof {
        places: watch.field.spots().len(),
        gouge_um: 1e3 * gouge.by.max(0.0),
        scallop_um: (operation == Operation::Finish).then_some(1e3 * scallop.by),
        floor_left_um: (operation >= Operation::Slots).then_some(1e3 * floor_left.by),
        left: left(watch),
    })
}

/// The greatest amount seen, and where.
struct Worst {
    by: f64,
    at: Point,
}

impl Default for Worst {
    fn default() -> Self {
        Self {
            by: f64::NEG_INFINITY,
            at: [0.0; 3],
        }
    }
}

impl Worst {
    fn see(&mut self, at: Point, by: f64) {
        // What is no number is the worst of all.
        if by > self.by || by.is_nan() {
            *self = Self {
                at,
                by: if by.is_nan() { f64::INFINITY } else { by },
            };
        }
    }
}

fn left(watch: &Watch) -> Left {
    let [columns, rows] = PICTURE;
    let mut over_um = vec![0.0; watch.picture];
    for spot in watch.field.spots() {
        if let Some(over) = over_um.get_mut(spot.index as usize) {
            let face = watch.watched[spot.index as usize].face;
            *over = (1e3 * (spot.stock - face)) as f32;
        }
    }
    Left {
        columns,
        rows,
        over_um,
    }
}
