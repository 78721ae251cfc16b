//! Camberwright: from a player's wish and a piece of wood to a playing surface.
//!
//! This crate shows and asks; every figure comes from the rooms below.

mod cli;
mod demo;
mod record;
mod schema;
mod source;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
