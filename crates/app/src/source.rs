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

/// The longest file of readings that is read, bytes: a million heights with room.
const LONG_LIMIT_BYTES: usize = book::MAX_READINGS_BYTES;

/// How long a text may be, and what is said of a longer one.
#[derive(Clone, Copy)]
struct Limit {
    bytes: usize,
    way_out: &'static str,
}

/// Reads a file, or standard input for `-`.
///
/// # Errors
/// One fault that says what is wrong with the file as a whole.
pub fn read(name: &str) -> Result<Source, Faults> {
    let limit = Limit {
        bytes: TEXT_LIMIT_BYTES,
        way_out: "a commission or a kit is a page or two: is this the right file?",
    };
    read_within(name, limit)
}

/// Reads a file of readings, or standard input for `-`: it may be much longer.
///
/// # Errors
/// One fault that says what is wrong with the file as a whole.
pub fn read_long(name: &str) -> Result<Source, Faults> {
    let limit = Limit {
        bytes: LONG_LIMIT_BYTES,
        way_out: "read fewer heights, or split the file by visit",
    };
    read_within(name, limit)
}

fn read_within(name: &str, limit: Limit) -> Result<Source, Faults> {
    if name == "-" {
        let bytes = limited(std::io::stdin().lock(), limit).map_err(|error| unreadable(&error))?;
        return Ok(Source {
            name: "standard input".into(),
            text: as_text(bytes, limit)?,
            folder: None,
        });
    }
    let path = Path::new(name);
    let file = File::open(path).map_err(|error| unreadable(&error))?;
    let bytes = limited(file, limit).map_err(|error| unreadable(&error))?;
    let folder = path.parent().map(Path::to_path_buf);
    Ok(Source {
        name: name.to_owned(),
        text: as_text(bytes, limit)?,
        folder,
    })
}

/// Reads one byte more than is allowed, so that a text too long is known to be so without
/// holding all of it.
fn limited(reader: impl Read, limit: Limit) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader
        .take(limit.bytes as u64 + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn as_text(bytes: Vec<u8>, limit: Limit) -> Result<String, Faults> {
    if bytes.len() > limit.bytes {
        return Err(whole(
            format!(
                "the text is longer than the {} bytes that are read",
                limit.bytes
            ),
            limit.way_out,
        ));
    }
    let mut text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        whole(
            format!("byte {at} is not UTF-8 text"),
            "save the file as UTF-8, or as plain ASCII",
        )
    })?;
    if text.starts_with('\u{feff}') {
        text.drain(..'\u{feff}'.len_utf8());
    }
    Ok(text)
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
