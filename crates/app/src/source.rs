//! Texts from files and standard input, read with a limit and told apart when unreadable.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use instrument::format::{Fault, Faults, TEXT_LIMIT_BYTES};

/// A text with the place that its faults are reported against.
pub struct Source {
    /// The file's name, or `standard input`.
    pub name: String,
    /// The text.
    pub text: String,
    /// The folder in which files that the text names are looked for.
    pub folder: Option<PathBuf>,
}

/// Reads a file, or standard input for `-`.
///
/// # Errors
/// One fault that says what is wrong with the file as a whole.
pub fn read(name: &str) -> Result<Source, Faults> {
    if name == "-" {
        let bytes = limited(std::io::stdin().lock()).map_err(|error| unreadable(&error))?;
        return Ok(Source {
            name: "standard input".into(),
            text: as_text(bytes)?,
            folder: None,
        });
    }
    let path = Path::new(name);
    let file = File::open(path).map_err(|error| unreadable(&error))?;
    let bytes = limited(file).map_err(|error| unreadable(&error))?;
    let folder = path.parent().map(Path::to_path_buf);
    Ok(Source {
        name: name.to_owned(),
        text: as_text(bytes)?,
        folder,
    })
}

/// Reads one byte more than is allowed, so that a text too long is known to be so without
/// holding all of it.
fn limited(reader: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader
        .take(TEXT_LIMIT_BYTES as u64 + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn as_text(bytes: Vec<u8>) -> Result<String, Faults> {
    if bytes.len() > TEXT_LIMIT_BYTES {
        return Err(whole(
            format!("the text is longer than the {TEXT_LIMIT_BYTES} bytes that are read"),
            "a commission or a kit is a page or two: is this the right file?",
        ));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        whole(
            format!("byte {at} is not UTF-8 text"),
            "save the file as UTF-8, or as plain ASCII",
        )
    })?;
    Ok(text
        .strip_prefix('\u{feff}')
        .map(str::to_owned)
        .unwrap_or(text))
}

fn unreadable(error: &std::io::Error) -> Faults {
    whole(
        format!("cannot be read: {error}"),
        "give the path of a readable file, or - for standard input",
    )
}

fn whole(message: String, way_out: &str) -> Faults {
    Faults(vec![Fault {
        place: String::new(),
        line: None,
        message,
        way_out: way_out.to_owned(),
    }])
}

/// Hands out tuning files that lie beside the commission: a plain file name, nothing with a
/// path in it, so that a commission from elsewhere cannot reach other files.
pub fn tuning_files(folder: Option<PathBuf>) -> impl Fn(&str) -> Result<String, String> {
    move |name: &str| {
        let plain = Path::new(name).file_name().is_some_and(|file| file == name);
        if !plain {
            return Err("only a file in the commission's own folder can be named".into());
        }
        let Some(folder) = &folder else {
            return Err("there is no folder to look in".into());
        };
        let path = folder.join(name);
        let source = read(&path.to_string_lossy()).map_err(|faults| faults.to_string())?;
        Ok(source.text)
    }
}

/// For texts that have no folder of their own: the book's entries.
pub fn no_files(_name: &str) -> Result<String, String> {
    Err("an entry of the book has no files beside it".into())
}
