//! What leaves the screen: patterns for paper, bodies for CAD, programs for a machine.
//!
//! This room only names the files, asks the rooms below for what is in them, and packs them.

mod archive;
mod bodies;
mod patterns;
mod write;

pub use archive::{zip, zip_told};
pub use bodies::{BodyAsk, BodyForm, NO_CAUL, USUAL_CHORD_MM, WHOLE_BOARD, body_file};
pub use patterns::{
    Form, Pattern, PrintPaper, Printing, Subject, Words, bar_reading, pattern_files, words_file,
};
pub use write::{fresh_file, into_folder, into_folder_told, way_out};

use solid::mill::Mill;

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
    if stem.is_empty() {
        "board".into()
    } else {
        stem
    }
}

/// The proved programs as files.
pub fn program_files(subject: &Subject<'_>, mill: &Mill) -> Vec<MadeFile> {
    let begin = subject.stem();
    mill.programs
        .iter()
        .map(|program| MadeFile {
            name: format!("{begin}-{}.ngc", program.name),
            bytes: program.text().into_bytes(),
        })
        .collect()
}

/// Every pattern in every form, and every paper.
///
/// # Errors
/// What cannot be made, in words.
pub fn all_patterns(subject: &Subject<'_>, printing: &Printing) -> Result<Vec<MadeFile>, String> {
    let mut files = Vec::new();
    for pattern in Pattern::ALL {
        for form in Form::ALL {
            files.extend(pattern_files(subject, pattern, form, printing)?);
        }
    }
    for words in Words::ALL {
        files.extend(words_file(subject, words, printing)?);
    }
    Ok(files)
}
