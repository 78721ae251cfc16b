//! Hollow tools: radius blocks, sanding cauls, and the short cauls that press a fret home.

use instrument::arc::drop;
use instrument::board::fret_arc;
use instrument::{Instrument, Radius};

use super::arch::Arch;
use super::regions::merged;
use super::relief::Relief;
use super::{Body, BodyError, made, within};

/// What must stay under the hollow, mm: common practice, no source.
const LEAST_UNDER_MM: f64 = 3.0;

/// Lengths and widths that are made, mm.
const SIZES_MM: [f64; 2] = [1.0, 2000.0];

/// A box with a hollow upper face: a block that sands, or a caul that presses.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolShape {
    /// What it is called.
    pub title: String,
    /// Along the board, mm; 1 to 2000.
    pub length_mm: f64,
    /// Across, mm; 1 to 2000.
    pub width_mm: f64,
    /// Where it is thickest, at the edges of its tighter end, mm; 1 to 2000.
    pub height_mm: f64,
    /// The hollow's radius at one end and at the other, straight between; both finite or both flat.
    pub radius: [Radius; 2],
}

/// A short caul that presses one fret home.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressCaul {
    /// The fret.
    pub fret: usize,
    /// Its radius over the fret's own arc; less than 1 presses the ends first. 0.5 to 1.5.
    pub ratio: f64,
    /// Along the board, mm.
    pub length_mm: f64,
    /// At its edges, mm.
    pub height_mm: f64,
}

/// The shape of a press caul: as wide as the fret is long in plan, hollow to the stated share of
/// the fret's own arc.
///
/// Errors: no such fret, or a number out of range.
pub fn press_caul(instrument: &Instrument, caul: PressCaul) -> Result<ToolShape, BodyError> {
    let last = instrument.last_fret();
    let line = match instrument.frets.get(caul.fret) {
        Some(line) if caul.fret > 0 => *line,
        _ => {
            return Err(BodyError::NoSuchFret {
                fret: caul.fret,
                last,
            });
        }
    };
    let ratio = within(
        "the caul's ratio",
        caul.ratio,
        "of the fret's arc",
        [0.5, 1.5],
    )?;
    let arc = fret_arc(instrument, line);
    let radius = Radius::from_mm(arc.radius_mm * ratio);
    Ok(ToolShape {
        title: format!("{}, press caul for fret {}", instrument.title, caul.fret),
        length_mm: caul.length_mm,
        width_mm: arc.chord_mm,
        height_mm: caul.height_mm,
        radius: [radius; 2],
    })
}

/// A hollow tool as a solid.
///
/// Its hollow is deepest along a level line in the middle, as the board's crown is.
///
/// Errors: a number out of range, a radius that does not reach the edges, too little under the hollow.
pub fn tool_body(shape: &ToolShape) -> Result<Body, BodyError> {
    let length = within("the length", shape.length_mm, "mm", SIZES_MM)?;
    let width = within("the width", shape.width_mm, "mm", SIZES_MM)?;
    let height = within("the height", shape.height_mm, "mm", SIZES_MM)?;
    let radius_mm = shape.radius.map(Radius::mm);
    if radius_mm != [f64::INFINITY; 2] {
        for radius in radius_mm {
            within(
                "the radius",
                radius,
                "mm",
                [Radius::LEAST_MM, 2.0 * Radius::MOST_MM],
            )?;
        }
    }
    let half_width = 0.5 * width;
    let least_mm = 1.001 * half_width;
    for (radius_mm, x_mm) in radius_mm.into_iter().zip([0.0, length]) {
        if radius_mm < least_mm {
            return Err(BodyError::TooTight {
                x_mm,
                radius_mm,
                least_mm,
            });
        }
    }
    let drops = shape.radius.map(|radius| drop(radius, half_width));
    let left_mm = height - drops[0].max(drops[1]);
    if left_mm < LEAST_UNDER_MM {
        return Err(BodyError::TooThin {
            x_mm: if drops[0] >= drops[1] { 0.0 } else { length },
            left_mm,
            least_mm: LEAST_UNDER_MM,
        });
    }
    let relief = Relief {
        base_mm: 0.0,
        corners: [
            [0.0, -half_width],
            [length, -half_width],
            [length, half_width],
            [0.0, half_width],
        ],
        faces: vec![Arch {
            x_mm: [0.0, length],
            radius_mm,
            crown_mm: [left_mm; 2],
            falls: -1.0,
        }],
        slots: Vec::new(),
        strips: Vec::new(),
        discs: Vec::new(),
    };
    let (plan, cells) = relief.cells(1e-5);
    let grounds: Vec<_> = cells
        .iter()
        .map(|cell| relief.ground(plan.centre(cell)))
        .collect();
    let regions = merged(&plan, &cells, &grounds);
    made(shape.title.clone(), Vec::new(), relief, (plan, regions))
}
