//! Camberwright: from a player's wish and a piece of wood to a playing surface.
//!
//! This crate shows and asks; every figure comes from the rooms below. The library half exists
//! so that tests and benchmarks can render pages without a server, and tests can serve them with
//! limits of their own.

mod assets;
pub mod backups;
pub mod cambers;
pub mod carry;
pub mod chances;
mod cli;
pub mod demo;
pub mod edit;
pub mod find;
pub mod gist;
pub mod guide;
mod key;
pub mod known;
pub mod lines;
pub mod made;
pub mod pages;
pub mod paper;
pub mod play_pictures;
mod play_words;
pub mod progress;
mod qr;
mod record;
mod schema;
pub mod server;
pub mod show;
mod source;
mod standing;
pub mod starts;
pub mod surface;
mod terminal;
pub mod values;
pub mod view;
pub mod visits;
pub mod words;

pub use cli::run;
pub use server::Indoors;
