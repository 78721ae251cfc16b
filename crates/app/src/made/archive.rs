//! Many files as one: an archive that holds the same bytes for the same files.

use super::MadeFile;
use crate::progress::{Progress, Stretch};

/// Files as one zip archive, in the order given. Every file bears the same date, so that equal
/// files give equal archives.
///
/// # Errors
/// When two files have one name, or the archive would be larger than the format allows.
pub fn zip(files: &[MadeFile]) -> Result<Vec<u8>, String> {
    zip_told(files, Progress::unseen().stretch(0.0, 1.0))
}

/// Files as one zip archive, as [`zip`]; it is told how far it is, and can be stopped.
///
/// # Errors
/// As [`zip`], and that it was stopped.
pub fn zip_told(files: &[MadeFile], told: Stretch<'_>) -> Result<Vec<u8>, String> {
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|file| (file.name.as_str(), file.bytes.as_slice()))
        .collect();
    solid::package_told(&named, &mut |done| told.tell(done, files.len()))
        .map_err(|fault| format!("the archive cannot be made: {fault}"))
}
