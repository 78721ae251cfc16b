//! Why a jig cannot be built as asked, and what to do instead.

use std::fmt;

/// Why there is no jig, or not this one. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum JigFault {
    /// A flat board has no axis to swing about.
    FlatBoard,
    /// The cone's apex lies between the rails or the pivots: there is no arch on its other side.
    ApexBetween {
        /// Place of the apex along the board.
        apex_x_mm: f64,
        /// Place of the rail or pivot.
        at_x_mm: f64,
        /// Less than this far beyond the board there is an arch; none when it is negative.
        most_beyond_mm: f64,
    },
    /// A rail's end would have no wood left over the floor.
    RailUnderFloor {
        /// Place of the rail.
        at_x_mm: f64,
        /// Height of its profile's lower end over the floor, negative under it.
        height_mm: f64,
        /// How much higher the bed must stand.
        raise_bed_mm: f64,
    },
    /// The cutter, half over the board's end, reaches the rail.
    RailInReach {
        /// Where the rails stand beyond the board.
        beyond_mm: f64,
        /// What they must stand beyond at the least.
        least_mm: f64,
    },
    /// The plate would lie on the blank before the cutter is down.
    PlateOnBlank {
        /// How far the cutter stands out.
        below_mm: f64,
        /// What it must stand out at the least.
        least_mm: f64,
    },
    /// The board's edge lies so far down the arch that the router would have to lean too much.
    LeansTooFar {
        /// Half the board's width and half the cutter there.
        half_mm: f64,
        /// The radius there.
        radius_mm: f64,
    },
    /// The cutter does not fit through the guide bush.
    BushTooNarrow {
        /// The bush's outer diameter.
        bush_mm: f64,
        /// The cutter's diameter.
        cutter_mm: f64,
    },
    /// The cutter reaches past the plate's edge.
    PlateTooNarrow {
        /// From the cutter's centre to the plate's edge.
        base_mm: f64,
        /// The cutter's diameter.
        cutter_mm: f64,
    },
    /// The template moved inward leaves nothing.
    NoTemplate {
        /// How far it is moved inward.
        inward_mm: f64,
    },
    /// A ridge of no height cannot be asked for.
    NoRidge {
        /// What was asked.
        ridge_mm: f64,
    },
}

impl fmt::Display for JigFault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::FlatBoard => write!(
                formatter,
                "a flat board has no axis to swing an arm about; use the sled on straight rails"
            ),
            Self::ApexBetween {
                apex_x_mm,
                at_x_mm,
                most_beyond_mm,
            } => {
                write!(
                    formatter,
                    "the cone's apex lies {} and the jig's end {}, where there is no arch left; ",
                    place(apex_x_mm),
                    place(at_x_mm)
                )?;
                if most_beyond_mm > 0.0 {
                    write!(
                        formatter,
                        "stand the jig's ends less than {most_beyond_mm:.1} mm beyond the board, or "
                    )?;
                }
                write!(formatter, "work this stretch with block and beam")
            }
            Self::RailUnderFloor {
                at_x_mm,
                height_mm,
                raise_bed_mm,
            } => write!(
                formatter,
                "the rail {} would be {height_mm:.1} mm high at its lower end, and {:.0} mm is the \
                 least; raise the bed by {raise_bed_mm:.1} mm",
                place(at_x_mm),
                super::LEAST_RAIL_MM
            ),
            Self::RailInReach {
                beyond_mm,
                least_mm,
            } => write!(
                formatter,
                "rails {beyond_mm:.1} mm beyond the board stand in the cutter's way; stand them more \
                 than {least_mm:.1} mm and a rail's thickness beyond, or take a smaller cutter"
            ),
            Self::PlateOnBlank { below_mm, least_mm } => write!(
                formatter,
                "the cutter stands {below_mm:.1} mm out of the plate, and over this blank it needs \
                 {least_mm:.1} mm; let it stand out further, or thin the blank first"
            ),
            Self::LeansTooFar { half_mm, radius_mm } => write!(
                formatter,
                "half the board and half the cutter, {half_mm:.1} mm, lie too far down an arch of \
                 {radius_mm:.1} mm radius: the router would lean more than {:.0} degrees; take a \
                 smaller cutter or a flatter camber",
                super::stretch::MOST_LEAN.to_degrees()
            ),
            Self::BushTooNarrow { bush_mm, cutter_mm } => write!(
                formatter,
                "a cutter of {cutter_mm:.1} mm does not go through a guide bush of {bush_mm:.1} mm; \
                 take a wider bush or a smaller cutter"
            ),
            Self::PlateTooNarrow { base_mm, cutter_mm } => write!(
                formatter,
                "a cutter of {cutter_mm:.1} mm reaches past a plate whose edge is {base_mm:.1} mm \
                 from its centre; take a wider plate or a smaller cutter"
            ),
            Self::NoTemplate { inward_mm } => write!(
                formatter,
                "a template {inward_mm:.2} mm inside this board's outline is no board any more; take \
                 a bush nearer to the cutter's diameter"
            ),
            Self::NoRidge { ridge_mm } => write!(
                formatter,
                "a ridge of {ridge_mm} mm cannot be cut; ask for more than 0 mm, such as {} mm",
                super::USUAL_RIDGE_MM
            ),
        }
    }
}

impl std::error::Error for JigFault {}

/// A place along the board in words.
fn place(x_mm: f64) -> String {
    let side = if x_mm < 0.0 { "before" } else { "past" };
    format!("{:.1} mm {side} the nut", x_mm.abs())
}
