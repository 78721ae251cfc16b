//! Made files onto the disk: into a folder or as one archive, never over what is there, and never
//! half.

use std::fs::File;
use std::io::{Error, ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::MadeFile;
use crate::progress::{Progress, Stretch};

/// Writes files into a folder, which is made when it is missing. A file that is there stays as it
/// is: then nothing is written at all. When one cannot be written to its end, those written before
/// it are taken away again.
///
/// # Errors
/// Which file could not be written, why, and a way out.
pub fn into_folder(folder: &Path, files: &[MadeFile]) -> Result<(), String> {
    into_folder_told(folder, files, Progress::unseen().stretch(0.0, 1.0))
}

/// Writes files into a folder as [`into_folder`] does; it is told how far it is, and can be stopped:
/// then what was written is taken away again.
///
/// # Errors
/// As [`into_folder`], and that it was stopped.
pub fn into_folder_told(
    folder: &Path,
    files: &[MadeFile],
    told: Stretch<'_>,
) -> Result<(), String> {
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
    let mut own = Own::default();
    own.folder(folder)?;
    for (place, file) in files.iter().enumerate() {
        if told.tell(place, files.len()).is_break() {
            return Err("it was stopped, and nothing was written; begin it anew".into());
        }
        own.file(&folder.join(&file.name), &file.bytes)?;
    }
    own.stays();
    Ok(())
}

/// The files and folders of one writing: when it is not done to its end, they go again.
#[derive(Default)]
struct Own {
    files: Vec<PathBuf>,
    folders: Vec<PathBuf>,
}

impl Own {
    /// Makes a folder, and those it lies in, unless they are there.
    fn folder(&mut self, folder: &Path) -> Result<(), String> {
        let missing = folder.ancestors().take_while(|each| !each.exists());
        let missing: Vec<PathBuf> = missing.map(Path::to_owned).collect();
        self.folders.extend(missing.into_iter().rev());
        std::fs::create_dir_all(folder).map_err(|error| {
            format!(
                "{}: cannot be made: {error}; {}",
                folder.display(),
                way_out(&error)
            )
        })
    }

    /// Writes a file that is not there yet, and makes the folder it lies in.
    fn file(&mut self, path: &Path, bytes: &[u8]) -> Result<(), String> {
        if let Some(folder) = path.parent() {
            self.folder(folder)?;
        }
        fresh_file(path, bytes)?;
        self.files.push(path.to_owned());
        Ok(())
    }

    fn stays(mut self) {
        self.files.clear();
        self.folders.clear();
    }
}

impl Drop for Own {
    fn drop(&mut self) {
        self.files.iter().for_each(|path| take_away(path));
        for folder in self.folders.iter().rev() {
            // One that somebody else has put something into stays.
            let _not_empty = std::fs::remove_dir(folder);
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str) -> MadeFile {
        MadeFile {
            name: name.into(),
            bytes: b"words".to_vec(),
        }
    }

    #[test]
    fn what_is_stopped_or_fails_half_way_leaves_neither_files_nor_folders() {
        let name = format!("camberwright-half-{}", std::process::id());
        let own = std::env::temp_dir().join(name);
        let to = own.join("a/b");
        let progress = Progress::unseen();
        progress.stop();
        let files = [file("1/x"), file("2/y"), file("1/z")];
        let stopped = into_folder_told(&to, &files, progress.stretch(0.0, 1.0));
        assert!(stopped.is_err_and(|why| why.contains("stopped")));
        assert!(!own.exists(), "stopped");

        // The third cannot be written: a file stands where its folder is meant.
        let broken = [file("1/x"), file("2/y"), file("1/x/z")];
        assert!(into_folder(&to, &broken).is_err());
        assert!(!own.exists(), "failed");

        std::fs::create_dir_all(to.join("1")).expect("can be made");
        std::fs::write(to.join("kept"), "somebody's").expect("can be written");
        assert!(into_folder(&to, &broken).is_err());
        assert!(to.join("kept").exists() && to.join("1").exists());
        assert!(!to.join("1/x").exists() && !to.join("2").exists());

        assert_eq!(into_folder(&to, &files), Ok(()));
        assert!(to.join("1/z").exists());
        std::fs::remove_dir_all(&own).expect("can be taken away");
    }
}
