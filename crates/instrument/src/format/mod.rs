//! Reading the project's TOML files: what keys there are, and what is wrong with a text.
//!
//! A file format is described once, as a tree of [`Table`]s of [`Key`]s. The reader checks a
//! text against that tree, and the JSON Schema is printed from the same tree.

mod fault;
mod keys;
mod node;
mod reader;

pub use fault::{Fault, Faults};
pub use keys::{Key, Kind, Need, Table};
pub use reader::{Desk, Entry, Given, TEXT_LIMIT_BYTES, open};
