//! Many files as one: a zip archive that holds the same bytes for the same files.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::MadeFile;

/// Files as one zip archive, in the order given. Every file bears the same date, so that equal
/// files give equal archives.
///
/// # Errors
/// When two files have one name, or the archive would be larger than the format allows.
pub fn zip(files: &[MadeFile]) -> Result<Vec<u8>, String> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    for file in files {
        let cannot =
            |error: String| format!("{} cannot be put into the archive: {error}", file.name);
        writer
            .start_file(file.name.as_str(), options)
            .map_err(|error| cannot(error.to_string()))?;
        writer
            .write_all(&file.bytes)
            .map_err(|error| cannot(error.to_string()))?;
    }
    let finished = writer.finish();
    finished
        .map(Cursor::into_inner)
        .map_err(|error| format!("the archive cannot be finished: {error}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    fn file(name: &str, bytes: &[u8]) -> MadeFile {
        MadeFile {
            name: name.into(),
            bytes: bytes.to_vec(),
        }
    }

    #[test]
    fn files_come_out_as_they_went_in_and_the_bytes_are_the_same_each_time() {
        let files = [
            file("a.txt", b"first"),
            file("folder/b.bin", &[0, 1, 2, 255]),
        ];
        let archive = zip(&files).expect("it can be made");
        assert_eq!(archive, zip(&files).expect("it can be made"));
        let mut opened = zip::ZipArchive::new(Cursor::new(archive)).expect("it opens");
        for wanted in &files {
            let mut found = Vec::new();
            let mut entry = opened.by_name(&wanted.name).expect("it is there");
            entry.read_to_end(&mut found).expect("it reads");
            assert_eq!(found, wanted.bytes);
        }
    }

    #[test]
    fn two_files_of_one_name_are_refused() {
        let files = [file("a.txt", b"first"), file("a.txt", b"second")];
        let error = zip(&files).expect_err("one would be lost");
        assert!(error.contains("a.txt"), "{error}");
    }
}
