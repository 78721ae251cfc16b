//! Patterns: what is printed at true size and cut by. One millimetre of scene is one of paper.
//!
//! Each takes finished figures and returns a scene whose layers can be picked one by one: what is
//! cut (`outline`, `slots`, `cut`), what positions it (`centreline`, `lanes`, `marks`), and what is
//! only read (`words`). Curves are arcs, never strings of short lines.

mod arch;
mod beam_card;
mod depth_card;
mod draft;
mod fret_labels;
mod fret_pattern;
mod gauge_patterns;
mod nut_pattern;
mod saddle_pattern;
mod spread;
mod string_plan;
mod table;

pub use beam_card::beam_card;
pub use depth_card::{DepthGroup, depth_card, depth_groups};
pub use fret_pattern::fret_pattern;
pub use gauge_patterns::{gauge_patterns, usual_stations};
pub use nut_pattern::nut_pattern;
pub use saddle_pattern::saddle_pattern;
