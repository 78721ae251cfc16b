//! Made files onto the disk: into a folder or as one archive, never over what is there, and never
//! half.

use std::fs::File;
use std::io::{Error, ErrorKind, Write};
use std::path::Path;

use super::{MadeFile, zip};

/// Writes files into a folder, which is made when it is missing. A file that is there stays as it
/// is: then nothing is written at all. When one cannot be written to its end, those written before
/// it are taken away again.
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
    std::fs::create_dir_all(folder).map_err(|error| {
        format!(
            "{}: cannot be made: {error}; {}",
            folder.display(),
            way_out(&error)
        )
    })?;
    for (index, file) in files.iter().enumerate() {
        let path = folder.join(&file.name);
        if let Err(why) = folder_of(&path).and_then(|()| fresh_file(&path, &file.bytes)) {
            let written = files.iter().take(index);
            written.for_each(|file| take_away(&folder.join(&file.name)));
            return Err(why);
        }
    }
    Ok(())
}

/// Makes the folder that a file lies in, inside the one that all are written into.
fn folder_of(path: &Path) -> Result<(), String> {
    let made = path.parent().map_or(Ok(()), std::fs::create_dir_all);
    made.map_err(|error| {
        format!(
            "{}: not written: {error}; {}",
            path.display(),
            way_out(&error)
        )
    })
}

/// Writes files as one new archive.
///
/// # Errors
/// Why it could not be written.
pub fn as_zip(path: &Path, files: &[MadeFile]) -> Result<(), String> {
    fresh_file(path, &zip(files)?)
}

/// Writes a file that is not there yet; nothing of it stays when it cannot be written to its end.
///
/// # Errors
/// Why it could not be written, and a way out.
pub fn fresh_file(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let told = |error: Error| {
        format!(
            "{}: not written: {error}; {}",
            path.display(),
            way_out(&error)
        )
    };
    let mut file = File::create_new(path).map_err(told)?;
    // Some systems say only here that the disk is full.
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    drop(file);
    written.map_err(|error| {
        take_away(path);
        told(error)
    })
}

/// Takes away what this run has written; the reason why is told in any case.
fn take_away(path: &Path) {
    let _gone_already = std::fs::remove_file(path);
}

/// What the maker can do.
pub fn way_out(error: &Error) -> &'static str {
    match error.kind() {
        ErrorKind::AlreadyExists => "name a new file",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "nothing of it was left there: free some space, or name another place"
        }
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "allow writing there, or name another place"
        }
        ErrorKind::NotADirectory => "a file stands where a folder is meant: name another place",
        ErrorKind::NotFound => "make its folder first, or name another place",
        _ => "check the path, or name another place",
    }
}
