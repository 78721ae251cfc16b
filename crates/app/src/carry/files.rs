//! Carried files out of a zip archive or a folder, within limits.

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

use super::{CarriedFile, CarryFault, LIMITS, bad};

/// How deep folders may lie in each other: the book's, with or without one around it.
const MOST_DEPTH: usize = 2;

/// The files of a zip archive.
///
/// # Errors
/// Why they cannot be had: no archive, damaged, too large, or a name that could lead elsewhere.
pub fn files_of_zip(bytes: &[u8]) -> Result<Vec<CarriedFile>, CarryFault> {
    solid::unpack(bytes, LIMITS).map_err(|fault| bad("", fault.to_string()))
}

/// The files of a folder. Links are not followed, so that nothing outside the folder is read.
///
/// # Errors
/// Which file cannot be read, and why; or that there is too much.
pub fn files_of_folder(folder: &Path) -> Result<Vec<CarriedFile>, CarryFault> {
    let mut files = Vec::new();
    let mut room = LIMITS.bytes;
    collect(folder, "", 0, &mut room, &mut files)?;
    files.sort();
    Ok(files)
}

fn collect(
    folder: &Path,
    before: &str,
    depth: usize,
    room: &mut usize,
    files: &mut Vec<CarriedFile>,
) -> Result<(), CarryFault> {
    let unreadable = |error: std::io::Error| bad(folder.display().to_string(), error.to_string());
    for item in fs::read_dir(folder).map_err(unreadable)? {
        let item = item.map_err(unreadable)?;
        let own = item.file_name();
        let Some(own) = own.to_str() else {
            return Err(bad(
                item.path().display().to_string(),
                "has a name that is not UTF-8; rename it",
            ));
        };
        let name = format!("{before}{own}");
        let kind = item.file_type().map_err(unreadable)?;
        if kind.is_dir() && depth < MOST_DEPTH {
            collect(&item.path(), &format!("{name}/"), depth + 1, room, files)?;
        } else if kind.is_file() {
            if files.len() >= LIMITS.files {
                return Err(bad(
                    name,
                    format!("is more than the {} files that are read", LIMITS.files),
                ));
            }
            let content = content(&item.path(), &name, room)?;
            files.push((name, content));
        } else {
            return Err(bad(
                name,
                "is neither a file nor a folder of the book, or lies too deep; take it away",
            ));
        }
    }
    Ok(())
}

fn content(path: &Path, name: &str, room: &mut usize) -> Result<Vec<u8>, CarryFault> {
    let unreadable = |error: std::io::Error| bad(name, format!("cannot be read: {error}"));
    let file = File::open(path).map_err(unreadable)?;
    let mut content = Vec::new();
    file.take(*room as u64 + 1)
        .read_to_end(&mut content)
        .map_err(unreadable)?;
    match room.checked_sub(content.len()) {
        Some(left) => *room = left,
        None => {
            return Err(bad(
                name,
                format!(
                    "is more than the {} MiB that are read together",
                    LIMITS.bytes >> 20
                ),
            ));
        }
    }
    Ok(content)
}
