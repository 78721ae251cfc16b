//! Solid bodies: the board with its slots, ledges and pockets, and the hollow tools that fit it.
//!
//! Every body here is a plan with heights: seen from above it falls into regions, each with one
//! exact surface, and between regions of different height stand upright walls. The same plan
//! gives the exact shell for CAD ([`write_step`]), the volume in closed form, and the triangles
//! for a printer ([`mesh`], [`write_stl`], [`write_three_mf`]).
//!
//! Frame: a board keeps the instrument's own, its underside at minus its thickness. A tool lies
//! on its back, its hollow up: x along from one end, y across from its middle, z from its underside.

mod arch;
mod board;
mod build;
mod error;
mod facets;
mod loops;
mod mesh;
mod patch;
mod plan;
mod pockets;
mod regions;
mod relief;
mod shell;
mod step;
mod stl;
mod three_mf;
mod tool;
mod triangles;
mod volume;

pub use board::{BoardParts, Part, board_body};
pub use error::BodyError;
pub use mesh::{Mesh, mesh};
pub use step::write_step;
pub use stl::write_stl;
pub use three_mf::write_three_mf;
pub use tool::{PressCaul, ToolShape, press_caul, tool_body};

use relief::Relief;
use shell::Shell;

/// A solid body: one closed shell of exact faces.
#[derive(Clone, Debug)]
pub struct Body {
    /// What it is called.
    pub title: String,
    /// What the maker should know of it: anything asked for that was left out, and why.
    pub notes: Vec<String>,
    relief: Relief,
    shell: Shell,
    volume_mm3: f64,
}

impl Body {
    /// Its volume, mm³.
    ///
    /// Accuracy: to rounding; of the exact body, not of its triangles.
    pub fn volume_mm3(&self) -> f64 {
        self.volume_mm3
    }

    /// How many parts its shell has.
    pub fn counts(&self) -> Counts {
        let loops = self.shell.faces.iter().map(|face| face.loops.len());
        Counts {
            faces: self.shell.faces.len(),
            edges: self.shell.edges.len(),
            corners: self.shell.points.len(),
            holes: loops.map(|loops| loops.saturating_sub(1)).sum(),
        }
    }

    /// The height of its upper side at a place in plan, mm; nothing where there is no wood.
    /// On an edge of a slot, a ledge or a pocket it is the height on either side.
    pub fn height_mm(&self, x_mm: f64, y_mm: f64) -> Option<f64> {
        self.relief.height([x_mm, y_mm])
    }

    /// Its outline in plan, counterclockwise from above, mm.
    pub fn outline_mm(&self) -> [[f64; 2]; 4] {
        self.relief.corners
    }
}

/// How many parts a shell has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counts {
    /// Faces.
    pub faces: usize,
    /// Edges.
    pub edges: usize,
    /// Corners where edges end.
    pub corners: usize,
    /// Loops inside faces.
    pub holes: usize,
}

fn made(
    title: String,
    notes: Vec<String>,
    relief: Relief,
    (plan, regions): (plan::Plan, regions::Regions),
) -> Result<Body, BodyError> {
    let shell = build::shell(&relief, &plan, &regions)?;
    if !shell.is_closed() {
        return Err(BodyError::NotClosed);
    }
    let volume_mm3 = volume::volume_mm3(&relief, &plan, &regions);
    Ok(Body {
        title,
        notes,
        relief,
        shell,
        volume_mm3,
    })
}

/// A number that must be finite and within bounds.
fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    [least, most]: [f64; 2],
) -> Result<f64, BodyError> {
    if (least..=most).contains(&value) {
        return Ok(value);
    }
    Err(BodyError::OutOfRange {
        what,
        value,
        unit,
        least,
        most,
    })
}
