//! Writes `docs/licences.md` anew; with a file's name the bill of materials too.
//!
//! `cargo run -p house --example parts -- [BILL.json]`

use house::House;
use house::parts::{page, parts};
use house::sbom::bill;

fn main() -> Result<(), String> {
    let parts = parts()?;
    let write = |path: &std::path::Path, text: &str| {
        std::fs::write(path, text).map_err(|error| format!("{}: {error}", path.display()))
    };
    write(
        &House::here().root().join("docs/licences.md"),
        &page(&parts),
    )?;
    if let Some(path) = std::env::args().nth(1) {
        write(path.as_ref(), &format!("{:#}\n", bill(&parts)?))?;
    }
    Ok(())
}
