//! Draws the guide's pictures anew and writes its list of figures, into `docs/guide`:
//! `cargo run -p camberwright --example guide`.

use std::fs;
use std::path::Path;

use camberwright::{guide, words};

fn main() -> Result<(), String> {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/guide");
    let scratch = std::env::temp_dir().join(format!("camberwright-guide-{}", std::process::id()));
    fs::create_dir_all(&scratch).map_err(|error| error.to_string())?;
    let drawn = guide::pictures(&scratch);
    let _gone = fs::remove_dir_all(&scratch);
    for (name, svg) in drawn? {
        let path = docs.join("pictures").join(format!("{name}.svg"));
        fs::write(path, svg).map_err(|error| error.to_string())?;
    }
    fs::write(docs.join("figures.md"), words::list_as_text()).map_err(|error| error.to_string())
}
