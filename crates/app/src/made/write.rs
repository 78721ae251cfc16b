//! Made files onto the disk: into a folder or as one archive, never over what is there.

use std::fs::File;
use std::io::Write;
use std::path::Path;

use super::{MadeFile, zip};

/// Writes files into a folder, which is made when it is missing. A file that is there stays as it
/// is: then nothing is written at all.
///
/// # Errors
/// Which file could not be written, why, and a way out.
pub fn into_folder(folder: &Path, files: &[MadeFile]) -> Result<(), String> {
    let there: Vec<&str> = files
        .iter()
        .map(|file| file.name.as_str())
        .filter(|name| folder.join(name).exists())
        .collect();
    if !there.is_empty() {
        return Err(format!(
            "{}: {} there already, and nothing was written; name a new folder, or take the old files away",
            folder.display(),
            match there.as_slice() {
                [one] => format!("{one} is"),
                [first, rest @ ..] => format!("{first} and {} more are", rest.len()),
                [] => String::new(),
            }
        ));
    }
    std::fs::create_dir_all(folder)
        .map_err(|error| format!("{}: cannot be made: {error}", folder.display()))?;
    files
        .iter()
        .try_for_each(|file| fresh(&folder.join(&file.name), &file.bytes))
}

/// Writes files as one new archive.
///
/// # Errors
/// Why it could not be written.
pub fn as_zip(path: &Path, files: &[MadeFile]) -> Result<(), String> {
    fresh(path, &zip(files)?)
}

/// Writes a file that is not there yet.
fn fresh(path: &Path, bytes: &[u8]) -> Result<(), String> {
    File::create_new(path)
        .and_then(|mut file| file.write_all(bytes))
        .map_err(|error| format!("{}: not written: {error}; name a new file", path.display()))
}
