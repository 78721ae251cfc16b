//! Many files as one: an archive that holds the same bytes for the same files.

use super::MadeFile;

/// Files as one zip archive, in the order given. Every file bears the same date, so that equal
/// files give equal archives.
///
/// # Errors
/// When two files have one name, or the archive would be larger than the format allows.
pub fn zip(files: &[MadeFile]) -> Result<Vec<u8>, String> {
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|file| (file.name.as_str(), file.bytes.as_slice()))
        .collect();
    solid::package(&named).map_err(|fault| format!("the archive cannot be made: {fault}"))
}
