//! What hinders a program: what, where, the value with its unit, the limit, a way out.

use bench::machine::CutterShape;

use super::Operation;
use super::moves::Point;

/// A program that is not written, or a cutter that may not be used, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// The program that is hindered.
    pub operation: Operation,
    /// Why.
    pub cause: Cause,
}

/// Why a program is not written. Lengths are in mm, feeds in mm/min, places over the bed.
#[derive(Clone, Debug, PartialEq)]
pub enum Cause {
    /// The kit has no cutter of the shape that is stout enough, 2 mm and more.
    NoCutter {
        /// The shape that is wanted.
        shape: CutterShape,
    },
    /// No cutter goes into the slots.
    SlotTooNarrow {
        /// The slots' width.
        slot_mm: f64,
        /// The flat cutters owned: name and diameter.
        owned: Vec<(String, f64)>,
    },
    /// No cutter goes into the dots.
    DotTooSmall {
        /// The dots' diameter.
        dot_mm: f64,
        /// The flat cutters and drills owned: name and diameter.
        owned: Vec<(String, f64)>,
    },
    /// A cutter's shank would rub.
    ReachTooShort {
        /// The cutter's name.
        cutter: String,
        /// Its reach.
        reach_mm: f64,
        /// How deep it has to go.
        depth_mm: f64,
    },
    /// A feed that the machine does not hold.
    FeedTooFast {
        /// The cutter's name.
        cutter: String,
        /// The feed, along or straight down.
        feed_mm_per_min: f64,
        /// The machine's fastest.
        most_mm_per_min: f64,
    },
    /// Turns that the spindle does not make.
    Turning {
        /// The cutter's name.
        cutter: String,
        /// Its turns a minute.
        rpm: f64,
        /// The spindle's slowest and fastest.
        limits: (f64, f64),
    },
    /// A chip outside of what the cutter's maker states.
    Chip {
        /// The cutter's name.
        cutter: String,
        /// The chip a flute takes: feed / (turns · flutes).
        chip_mm: f64,
        /// The stated limits.
        limits: (f64, f64),
    },
    /// The blank is thinner than the finished crown.
    ThinBlank {
        /// The blank's thickness.
        blank_mm: f64,
        /// The crown's.
        crown_mm: f64,
    },
    /// A clamp stands where a cutter moves.
    Clamp {
        /// Its place in the list, from 1.
        clamp: usize,
        /// Where the cutter first meets it: its lowest point.
        at: Point,
        /// How far it must be moved at the least.
        by_mm: f64,
        /// Whereto: `+x`, `-x`, `+y` or `-y`.
        toward: &'static str,
    },
    /// A scallop so fine that there would be too many passes.
    TooManyPasses {
        /// The scallop asked for.
        scallop_mm: f64,
        /// How many passes it takes.
        passes: f64,
        /// How many are written at most.
        most: usize,
    },
    /// More wood is left for the ball than it may take in one pass.
    TooMuchLeft {
        /// The cutter's name.
        cutter: String,
        /// The wood left.
        left_mm: f64,
        /// The deepest cut that the cutter's maker states.
        pass_mm: f64,
    },
    /// The program before it is missing.
    Without {
        /// The missing program.
        before: Operation,
    },
    /// The proof found wood cut away under the limit.
    Gouge {
        /// Where: the wood left there.
        at: Point,
        /// By how much.
        by_mm: f64,
        /// What the proof lets pass.
        most_mm: f64,
    },
    /// The proof found more left between passes than asked.
    Scallop {
        /// Where: the wood left there.
        at: Point,
        /// How much is left.
        left_mm: f64,
        /// What was asked.
        asked_mm: f64,
    },
    /// The proof found a move without feed that goes through wood.
    RapidInWood {
        /// Where: the cutter's skin there.
        at: Point,
        /// How deep in the wood.
        by_mm: f64,
    },
}

/// Names and diameters as a list in words.
fn owned_in_words(owned: &[(String, f64)]) -> String {
    if owned.is_empty() {
        return "none".into();
    }
    let one = |(name, diameter): &(String, f64)| format!("{name} ({diameter:.2} mm)");
    owned.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn shape_in_words(shape: CutterShape) -> &'static str {
    match shape {
        CutterShape::Ball => "ball",
        CutterShape::Flat => "flat",
        CutterShape::Drill => "drill",
    }
}

fn place_in_words([x, y, z]: Point) -> String {
    format!("x {x:.2}, y {y:.2}, {z:.3} mm over the bed")
}

impl Cause {
    /// What is wrong, where, and the limit.
    pub fn message(&self) -> String {
        match self {
            Cause::NoCutter { shape } => {
                format!(
                    "the kit has no {} cutter of 2 mm or more",
                    shape_in_words(*shape)
                )
            }
            Cause::SlotTooNarrow { slot_mm, owned } => format!(
                "slots of {slot_mm:.2} mm are narrower than every flat cutter of the kit: {}",
                owned_in_words(owned)
            ),
            Cause::DotTooSmall { dot_mm, owned } => format!(
                "no cutter makes pockets of {dot_mm:.2} mm; the kit has: {}",
                owned_in_words(owned)
            ),
            Cause::ReachTooShort {
                cutter,
                reach_mm,
                depth_mm,
            } => format!("{cutter} reaches {reach_mm:.2} mm and has to go {depth_mm:.2} mm deep"),
            Cause::FeedTooFast {
                cutter,
                feed_mm_per_min,
                most_mm_per_min,
            } => format!(
                "{cutter} is fed at {feed_mm_per_min:.0} mm/min; the machine holds {most_mm_per_min:.0} mm/min"
            ),
            Cause::Turning {
                cutter,
                rpm,
                limits,
            } => format!(
                "{cutter} turns {rpm:.0} times a minute; the spindle makes {:.0} to {:.0}",
                limits.0, limits.1
            ),
            Cause::Chip {
                cutter,
                chip_mm,
                limits,
            } => format!(
                "{cutter} takes a chip of {chip_mm:.4} mm a flute; its maker states {:.4} to {:.4} mm",
                limits.0, limits.1
            ),
            Cause::ThinBlank { blank_mm, crown_mm } => {
                format!("a blank of {blank_mm:.2} mm cannot become a board of {crown_mm:.2} mm")
            }
            Cause::Clamp { clamp, at, .. } => {
                format!(
                    "clamp {clamp} stands in the cutter's way at {}",
                    place_in_words(*at)
                )
            }
            Cause::TooManyPasses {
                scallop_mm,
                passes,
                most,
            } => format!(
                "a scallop of {:.2} µm takes {passes:.0} passes; {most} are written at most",
                1e3 * scallop_mm
            ),
            Cause::TooMuchLeft {
                cutter,
                left_mm,
                pass_mm,
            } => format!(
                "{left_mm:.2} mm of wood are left for {cutter}, which takes {pass_mm:.2} mm in one pass"
            ),
            Cause::Without { before } => {
                format!(
                    "it stands on the program before it, {}, which is missing",
                    before.title()
                )
            }
            Cause::Gouge { at, by_mm, most_mm } => format!(
                "the proof finds {:.2} µm cut away too much at {}; the limit is {:.0} µm",
                1e3 * by_mm,
                place_in_words(*at),
                1e3 * most_mm
            ),
            Cause::Scallop {
                at,
                left_mm,
                asked_mm,
            } => format!(
                "the proof finds {:.2} µm left at {}; {:.2} µm were asked",
                1e3 * left_mm,
                place_in_words(*at),
                1e3 * asked_mm
            ),
            Cause::RapidInWood { at, by_mm } => format!(
                "the proof finds a move without feed {by_mm:.3} mm deep in wood at {}",
                place_in_words(*at)
            ),
        }
    }

    /// What would do.
    pub fn way_out(&self) -> String {
        match self {
            Cause::NoCutter { shape } => {
                format!(
                    "add a {} cutter to the kit, or do this by hand",
                    shape_in_words(*shape)
                )
            }
            Cause::SlotTooNarrow { slot_mm, .. } => format!(
                "a flat cutter of at most {slot_mm:.2} mm, wider slots, or saw them by hand"
            ),
            Cause::DotTooSmall { dot_mm, .. } => format!(
                "a drill of {dot_mm:.2} mm, or a flat cutter of less, or drill them by hand"
            ),
            Cause::ReachTooShort { depth_mm, .. } => {
                format!("a cutter that reaches more than {depth_mm:.2} mm, or less depth")
            }
            Cause::FeedTooFast {
                most_mm_per_min, ..
            } => {
                format!("feed it at {most_mm_per_min:.0} mm/min at most, and look at its chip then")
            }
            Cause::Turning { limits, .. } => format!(
                "turn it between {:.0} and {:.0} times a minute, and look at its chip then",
                limits.0, limits.1
            ),
            Cause::Chip {
                chip_mm, limits, ..
            } if *chip_mm < limits.0 => {
                "feed faster or turn slower: so thin a chip rubs and burns".into()
            }
            Cause::Chip { .. } => {
                "feed slower or turn faster: so thick a chip breaks cutters".into()
            }
            Cause::ThinBlank { crown_mm, .. } => {
                format!("a blank of {crown_mm:.2} mm and more, or a thinner crown")
            }
            Cause::Clamp { by_mm, toward, .. } => {
                format!("move it {by_mm:.1} mm toward {toward}, or hold the blank otherwise")
            }
            Cause::TooManyPasses { .. } => "a coarser scallop, or a larger ball".into(),
            Cause::TooMuchLeft { .. } => {
                "less allowance, a ball that takes more, or a flat cutter that roughs finer".into()
            }
            Cause::Without { before } => format!(
                "clear what hinders the {}, or do this work by hand as well",
                before.title()
            ),
            Cause::Gouge { .. } | Cause::Scallop { .. } | Cause::RapidInWood { .. } => {
                "nothing is written: a camber that turns so fast along the board cannot be followed; \
                 take a gentler one or a smaller cutter"
                    .into()
            }
        }
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (title, cause) = (self.operation.title(), &self.cause);
        write!(f, "{title}: {}; {}", cause.message(), cause.way_out())
    }
}

impl std::error::Error for Refusal {}
