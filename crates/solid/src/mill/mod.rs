//! Programs that cut the board from its blank, and the proof that none touches the finished wood.
//!
//! 1. `choose` picks a cutter of the kit for each work, or says why none does.
//! 2. `rough`, `finish`, `slots`, `dots` and `outline_cut` lay its way over the finished `face`.
//! 3. `watch` names the places that are looked at and how low the wood may be there after each
//!    program; `sweep` takes the cutter over them; `proof` judges what is left.
//! 4. `write` writes the very moves that were proved, `read` reads them back.
//!
//! Programs stand in the instrument's frame, z over the bed on which the blank's underside lies:
//! z of the frame and the crown's thickness. Lengths are millimetres.

mod choose;
mod clamps;
mod dots;
mod face;
mod finish;
mod follow;
mod moves;
mod outline_cut;
mod plan;
mod proof;
mod read;
mod refusal;
mod remarks;
mod rough;
mod scallop;
mod slots;
mod sweep;
mod watch;
mod write;

use std::ops::ControlFlow;

use bench::Kit;
use bench::machine::Cutter;
use instrument::Instrument;

pub use moves::{Motion, Move, Path, Point, Turn};
pub use proof::{Left, MOST_GOUGE_MM, Proof};
pub use read::{Unread, read_program};
pub use refusal::{Cause, Refusal};
pub use scallop::{convex_scallop_mm, flat_scallop_mm, flat_step_mm};

/// The work of one program, in the order in which programs are run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Operation {
    /// The blank brought near to the camber.
    Rough,
    /// The camber finished.
    Finish,
    /// Fret slots.
    Slots,
    /// Pockets of round inlays.
    Dots,
    /// The board cut out, but for its tabs.
    Outline,
}

impl Operation {
    /// All of them in order.
    pub const ALL: [Operation; 5] = [
        Operation::Rough,
        Operation::Finish,
        Operation::Slots,
        Operation::Dots,
        Operation::Outline,
    ];

    /// What it is called.
    pub fn title(self) -> &'static str {
        match self {
            Operation::Rough => "roughing of the camber",
            Operation::Finish => "finishing of the camber",
            Operation::Slots => "fret slots",
            Operation::Dots => "dots",
            Operation::Outline => "outline",
        }
    }

    /// The stem of its file's name.
    pub fn name(self) -> &'static str {
        match self {
            Operation::Rough => "1-camber-rough",
            Operation::Finish => "2-camber-finish",
            Operation::Slots => "3-slots",
            Operation::Dots => "4-dots",
            Operation::Outline => "5-outline",
        }
    }
}

/// A proved program.
#[derive(Clone, Debug, PartialEq)]
pub struct Program {
    /// Its work.
    pub operation: Operation,
    /// The stem of its file's name, such as `2-camber-finish`.
    pub name: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// The cutter that it is made for.
    pub cutter: Cutter,
    /// The moves that are written: the ones that were proved.
    pub path: Path,
    /// Passes of the finish, levels of every other program.
    pub passes: usize,
    /// How long it takes, minutes: lengths over feeds, starting and stopping not counted.
    pub minutes: f64,
    /// What the sweep found.
    pub proof: Proof,
    /// What its text says before the first move, a line each.
    pub remarks: Vec<String>,
}

impl Program {
    /// Its text in RS-274/NGC, lines ended by a line feed, plain letters only.
    pub fn text(&self) -> String {
        write::text(self)
    }
}

/// The programs of a board, and what hinders others.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mill {
    /// The proved programs, in the order in which they are run.
    pub programs: Vec<Program>,
    /// Everything that hinders a program, or that a hindered program stands on.
    pub refusals: Vec<Refusal>,
}

/// The programs that cut a board from its blank with the cutters of a kit. A program is there
/// only when the proof of it holds; what hinders one does not hinder those that can do without it.
pub fn mill(instrument: &Instrument, kit: &Kit) -> Mill {
    let mut on = |_: f64| ControlFlow::Continue(());
    mill_told(instrument, kit, &mut on).unwrap_or_default()
}

/// The same for who waits: `told` hears now and then which share of the proofs is done, 0 to 1,
/// and stops them by breaking off; then there are no programs.
pub fn mill_told(
    instrument: &Instrument,
    kit: &Kit,
    told: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Option<Mill> {
    plan::mill(instrument, kit, told)
}
