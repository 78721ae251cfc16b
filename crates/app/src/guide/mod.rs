//! The user's guide, the computations and the formats, carried in the program: what stands under
//! `docs` can be read beside the work, without a network.

mod pictures;
mod text;

pub use pictures::{PICTURES, picture, pictures};
pub use text::{as_markup, heading};

/// A page that is carried along.
pub struct Page {
    /// The last part of its address, its own among all pages: its file's name without the ending.
    pub name: &'static str,
    /// Its Markdown.
    pub text: &'static str,
}

macro_rules! pages {
    ($folder:literal: $($name:literal),* $(,)?) => {
        &[$(Page { name: $name, text: include_str!(concat!("../../../../docs/", $folder, "/", $name, ".md")) }),*]
    };
}

/// All pages by what they are, in the order in which they are read.
pub static PAGES: [(&str, &[Page]); 4] = [
    (
        "Guide",
        pages!("guide":
            "first-ten-minutes", "wish-and-board", "choosing-a-camber", "at-the-bench", "reading-the-wood",
            "fretwork-and-play", "patterns-and-files", "keeping-the-book", "figures"),
    ),
    (
        "What is computed, and how",
        pages!("computations":
            "frets-and-scale", "lanes-and-outline", "camber", "blocks-and-zones", "beam", "grades-and-allowances",
            "chalk", "effort", "gauges", "readings-surface", "readings-kinds", "readings-fit", "next-step",
            "slots-and-wire", "wood-that-moves", "strings", "buzz", "bends", "lowest-set-up", "tuning", "fretwork",
            "set-up", "chances", "patterns", "solids", "machine-programs", "jigs"),
    ),
    (
        "Texts and files",
        pages!("formats": "commission", "kit", "readings", "files", "book"),
    ),
    ("Care", pages!(".": "safety")),
];

/// The page with that name.
pub fn page(name: &str) -> Option<&'static Page> {
    PAGES
        .iter()
        .flat_map(|(_, pages)| *pages)
        .find(|page| page.name == name)
}

/// Where a page is read in the program.
pub fn address(name: &str) -> String {
    format!("/guide/{name}")
}
