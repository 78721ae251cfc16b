//! What leaves the screen: patterns for paper, bodies for CAD, programs for a machine.
//!
//! This room only names the files, asks the rooms below for what is in them, and packs them.

mod archive;

pub use archive::zip;

/// A file made for the maker, to be handed out or written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MadeFile {
    /// Its name, with its ending.
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// What a file is to a browser, by its ending.
pub fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "pdf" => "application/pdf",
        "svg" => "image/svg+xml",
        "dxf" => "image/vnd.dxf",
        "step" => "model/step",
        "3mf" => "model/3mf",
        "stl" => "model/stl",
        "zip" => "application/zip",
        _ => "text/plain; charset=utf-8",
    }
}

/// A title as the beginning of a file's name: small letters, digits and hyphens.
pub fn stem(title: &str) -> String {
    let mut stem = String::new();
    for character in title.chars().flat_map(char::to_lowercase) {
        if character.is_ascii_alphanumeric() {
            stem.push(character);
        } else if !stem.is_empty() && !stem.ends_with('-') {
            stem.push('-');
        }
    }
    let stem: String = stem.trim_end_matches('-').chars().take(60).collect();
    if stem.is_empty() { "board".into() } else { stem }
}
