//! Bodies and tool paths: what leaves the screen for CAD, for a printer of plastic, for a router.
//!
//! Everything is computed in the instrument's own frame (x along the centreline from the nut, y
//! toward the treble side, z up out of the wood, zero at the finished crown) and in millimetres.

pub mod body;
pub mod mill;
mod package;
mod ruled;
mod unpack;

pub use body::{Body, BodyError, board_body, tool_body};
pub use package::{PackageFault, package, package_told};
pub use ruled::{Ruled, RuledPiece, ruled};
pub use unpack::{UnpackFault, UnpackLimits, unpack};
