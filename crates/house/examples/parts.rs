//! Lists what the program is made of: writes `docs/licences.md` anew, or, with a file's name, the
//! bill of materials there and nothing else.
//!
//! `cargo run -p house --example parts -- [BILL.json]`

use std::path::{Path, PathBuf};

use house::House;
use house::parts::{page, parts};
use house::sbom::bill;

fn main() -> Result<(), String> {
    let parts = parts()?;
    match std::env::args().nth(1).map(PathBuf::from) {
        Some(path) => write(&path, &format!("{:#}\n", bill(&parts)?)),
        None => write(
            &House::here().root().join("docs/licences.md"),
            &page(&parts),
        ),
    }
}

fn write(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|error| format!("{}: {error}", path.display()))
}
