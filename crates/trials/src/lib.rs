//! Random commissions and kits, written as a maker would write them, for tests of properties.
//!
//! Everything here is a description and its text: nothing is computed from it, so that the
//! tests hold the program against geometry and not against itself. The same seed gives the
//! same text on every machine.

mod chance;
mod commission;
pub mod coverage;
pub mod crash;
pub mod crowd;
pub mod demo;
mod draw;
pub mod fuzz;
mod kit;
mod mutation;
mod played;
pub mod safety;
pub mod served;
pub mod vibrating_string;
pub mod visit;
pub mod wild;

pub use chance::Chance;
pub use commission::{Blank, Camber, Commission, Outline, Scale, StringLine};
pub use draw::{
    drawn, flattening_board, kit_for, ordinary_board, planted_kit, string_cone_board, wild_board,
};
pub use kit::{BlockLine, KitText};
pub use mutation::{Mutation, mutate};
pub use played::{Played, Player, Sounding, hostile_board, played_board};
