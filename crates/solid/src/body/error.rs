//! Why a body could not be made, said so that the maker can mend it.

use std::fmt;

/// Why a body could not be made or written.
#[derive(Clone, Debug, PartialEq)]
pub enum BodyError {
    /// A number is no number, or outside what can be made.
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// The least that is taken.
        least: f64,
        /// The most that is taken.
        most: f64,
    },
    /// The commission has no such fret.
    NoSuchFret {
        /// The fret asked for.
        fret: usize,
        /// The last one.
        last: usize,
    },
    /// The radius does not reach the edge with a hair to spare.
    TooTight {
        /// Where along the body, mm.
        x_mm: f64,
        /// The radius there, mm.
        radius_mm: f64,
        /// The least radius that does, mm.
        least_mm: f64,
    },
    /// A slot leaves no wood under it.
    SlotThroughBoard {
        /// The fret.
        fret: usize,
        /// What is left under the floor, mm; negative where it comes out.
        left_mm: f64,
        /// The least that must be left, mm.
        least_mm: f64,
    },
    /// A slot's floor comes out of the face, or meets a ledge within a hair.
    SlotRunsOut {
        /// The fret.
        fret: usize,
        /// Where along the board, mm.
        x_mm: f64,
        /// How far the floor lies under what is beside it there, mm.
        under_mm: f64,
    },
    /// Two slots touch.
    SlotsMeet {
        /// The fret before.
        fret: usize,
        /// The wood between them, mm.
        between_mm: f64,
    },
    /// The ledge under the binding is no lower than the face.
    LedgeTooHigh {
        /// The ledge, mm.
        ledge_mm: f64,
        /// Where along the board, mm.
        x_mm: f64,
        /// The edge's thickness there, mm.
        edge_mm: f64,
    },
    /// The wood is too thin somewhere.
    TooThin {
        /// Where along the body, mm.
        x_mm: f64,
        /// What is left there, mm.
        left_mm: f64,
        /// The least that must be left, mm.
        least_mm: f64,
    },
    /// The strips of binding leave no board between them.
    NothingBetweenStrips {
        /// The width that is left at the narrowest, mm.
        left_mm: f64,
    },
    /// The faces do not close: a fault of this program, not of the wish.
    NotClosed,
    /// The package could not be written.
    Package(crate::PackageFault),
}

impl fmt::Display for BodyError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange {
                what,
                value,
                unit,
                least,
                most,
            } => write!(
                formatter,
                "{what} is {value} {unit}; give one from {least} to {most} {unit}"
            ),
            Self::NoSuchFret { fret, last } => write!(
                formatter,
                "there is no fret {fret}: give one from 1 to {last}"
            ),
            Self::TooTight {
                x_mm,
                radius_mm,
                least_mm,
            } => write!(
                formatter,
                "at {x_mm:.1} mm the radius is {radius_mm:.2} mm; at this width it takes at \
                 least {least_mm:.3} mm: a flatter radius, or a narrower body"
            ),
            Self::SlotThroughBoard {
                fret,
                left_mm,
                least_mm,
            } => write!(
                formatter,
                "the slot of fret {fret} would leave {left_mm:.2} mm of wood under it, and at \
                 least {least_mm} mm must stay: a thicker board, a shorter tang, or a floor that \
                 follows the camber"
            ),
            Self::SlotRunsOut {
                fret,
                x_mm,
                under_mm,
            } => {
                let (off, side) = (
                    under_mm.abs(),
                    if *under_mm < 0.0 { "over" } else { "under" },
                );
                write!(
                    formatter,
                    "at {x_mm:.1} mm the floor of fret {fret}'s slot lies {off:.4} mm {side} the \
                     wood beside it, and it must lie at least 0.001 mm under or over a ledge and \
                     under the face: a deeper slot, or another ledge"
                )
            }
            Self::SlotsMeet { fret, between_mm } => write!(
                formatter,
                "between the slots of frets {fret} and {} only {between_mm:.2} mm of wood would \
                 stand: narrower slots, or fewer frets",
                fret + 1
            ),
            Self::LedgeTooHigh {
                ledge_mm,
                x_mm,
                edge_mm,
            } => write!(
                formatter,
                "the ledge is {ledge_mm:.2} mm high, and at {x_mm:.1} mm the finished edge only \
                 {edge_mm:.2} mm: a lower ledge, or 0 mm for a strip that covers the whole edge"
            ),
            Self::TooThin {
                x_mm,
                left_mm,
                least_mm,
            } => write!(
                formatter,
                "at {x_mm:.1} mm only {left_mm:.2} mm would be left, and at least {least_mm} mm \
                 must stay: a thicker piece, or a flatter radius"
            ),
            Self::NothingBetweenStrips { left_mm } => write!(
                formatter,
                "the strips of binding leave {left_mm:.2} mm of board between them: a narrower \
                 binding"
            ),
            Self::NotClosed => write!(
                formatter,
                "the body does not close; this is a fault of the program, please keep the \
                 commission that shows it"
            ),
            Self::Package(reason) => {
                write!(formatter, "the package could not be written: {reason}")
            }
        }
    }
}

impl std::error::Error for BodyError {}
