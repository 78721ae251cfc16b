//! A package of files in one (the zip format), the same bytes for the same files: no clock, no
//! order but the one given.
//!
//! Source: the public description of the format, APPNOTE.TXT 6.3.3, sections 4.3.7, 4.3.12, 4.3.16.

use std::collections::BTreeSet;
use std::fmt;
use std::io::Write;
use std::ops::ControlFlow;

use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};

/// The first day that the format knows, 1 January 1980.
const FIRST_DAY: u16 = (1 << 5) | 1;

/// The version of the format that a reader needs: 2.0, for packed files.
const NEEDED: u16 = 20;

/// The way of packing: deflate.
const DEFLATE: u16 = 8;

/// The bit that says that a name is in UTF-8.
const UTF_8: u16 = 1 << 11;

/// Why files could not be packed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PackageFault {
    /// Two files have one name: a reader would lose one of them.
    Twice(String),
    /// A name is longer than the format's 65,535 bytes, or there are more than so many files.
    TooMany,
    /// The package would be larger than the format's 4 GB.
    TooLarge,
    /// The packing itself failed.
    Packing(String),
    /// Who was told of the files broke it off.
    Stopped,
}

impl fmt::Display for PackageFault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Twice(name) => write!(formatter, "two files are called {name}; rename one"),
            Self::TooMany => formatter
                .write_str("at most 65535 files, and names of 65535 bytes, fit in; pack fewer"),
            Self::TooLarge => formatter.write_str(
                "it would be larger than 4 GB; take a coarser chord, or pack fewer files",
            ),
            Self::Packing(reason) => formatter.write_str(reason),
            Self::Stopped => formatter.write_str("it was stopped; begin it anew"),
        }
    }
}

impl std::error::Error for PackageFault {}

/// Packs named files, in this order, each with its bytes.
///
/// # Errors
/// [`PackageFault`], when names clash or the format has no room.
///
/// # Examples
/// ```
/// let once = [("a.txt", b"first".as_slice())];
/// assert!(solid::package(&once).is_ok_and(|bytes| bytes.starts_with(b"PK")));
/// assert!(solid::package(&[once[0], once[0]]).is_err());
/// ```
pub fn package(files: &[(&str, &[u8])]) -> Result<Vec<u8>, PackageFault> {
    package_told(files, &mut |_| ControlFlow::Continue(()))
}

/// Packs files as [`package`] does; `told` hears after each how many are packed, and may break it
/// off.
///
/// # Errors
/// As [`package`], and [`PackageFault::Stopped`].
pub fn package_told(
    files: &[(&str, &[u8])],
    told: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Vec<u8>, PackageFault> {
    let mut names = BTreeSet::new();
    if let Some((name, _)) = files.iter().find(|(name, _)| !names.insert(*name)) {
        return Err(PackageFault::Twice((*name).to_owned()));
    }
    let (mut bytes, mut index) = (Vec::new(), Vec::new());
    for (place, (name, content)) in files.iter().enumerate() {
        let start = size(bytes.len())?;
        let packed = packed(content)?;
        let mut crc = Crc::new();
        crc.update(content);
        let mut facts = Vec::with_capacity(26);
        for number in [NEEDED, UTF_8, DEFLATE, 0, FIRST_DAY] {
            facts.extend(number.to_le_bytes());
        }
        for number in [crc.sum(), size(packed.len())?, size(content.len())?] {
            facts.extend(number.to_le_bytes());
        }
        facts.extend(short(name.len())?.to_le_bytes());
        facts.extend([0; 2]);
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&facts);
        bytes.extend(name.as_bytes());
        bytes.extend(packed);
        index.extend(b"PK\x01\x02");
        index.extend(NEEDED.to_le_bytes());
        index.extend(&facts);
        // No comment, first disk, no attributes.
        index.extend([0; 10]);
        index.extend(start.to_le_bytes());
        index.extend(name.as_bytes());
        if told(place + 1).is_break() {
            return Err(PackageFault::Stopped);
        }
    }
    let (start, length, count) = (size(bytes.len())?, size(index.len())?, short(files.len())?);
    bytes.extend(index);
    bytes.extend(b"PK\x05\x06\0\0\0\0");
    bytes.extend(count.to_le_bytes());
    bytes.extend(count.to_le_bytes());
    bytes.extend(length.to_le_bytes());
    bytes.extend(start.to_le_bytes());
    bytes.extend([0; 2]);
    Ok(bytes)
}

fn packed(content: &[u8]) -> Result<Vec<u8>, PackageFault> {
    let fault = |error: std::io::Error| PackageFault::Packing(error.to_string());
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(content).map_err(fault)?;
    encoder.finish().map_err(fault)
}

fn size(length: usize) -> Result<u32, PackageFault> {
    u32::try_from(length).map_err(|_| PackageFault::TooLarge)
}

fn short(length: usize) -> Result<u16, PackageFault> {
    u16::try_from(length).map_err(|_| PackageFault::TooMany)
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::read::DeflateDecoder;
    use std::io::Read;

    /// The files of a package, read by their own heads: the name and the bytes unpacked.
    fn unpacked(mut bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
        let mut files = Vec::new();
        while bytes.starts_with(b"PK\x03\x04") {
            let short = |at: usize| usize::from(u16::from_le_bytes([bytes[at], bytes[at + 1]]));
            let long = |at: usize| short(at) + (short(at + 2) << 16);
            let (packed, length, name) = (long(18), long(22), short(26));
            let start = 30 + name;
            let mut content = Vec::new();
            DeflateDecoder::new(&bytes[start..start + packed])
                .read_to_end(&mut content)
                .expect("it unpacks");
            assert_eq!(content.len(), length);
            let mut crc = Crc::new();
            crc.update(&content);
            assert_eq!(crc.sum() as usize, long(14));
            files.push((String::from_utf8_lossy(&bytes[30..start]).into(), content));
            bytes = &bytes[start + packed..];
        }
        files
    }

    #[test]
    fn files_come_out_as_they_went_in_and_the_bytes_are_the_same_each_time() {
        let long = vec![7u8; 100_000];
        let files: [(&str, &[u8]); 3] = [
            ("a.txt", b"first"),
            ("folder/b.bin", &[0, 1, 2, 255]),
            ("long.bin", &long),
        ];
        let packed = package(&files).expect("it can be made");
        assert_eq!(packed, package(&files).expect("it can be made"));
        assert!(packed.len() < 2_000, "it is packed: {}", packed.len());
        let found = unpacked(&packed);
        assert_eq!(found.len(), files.len());
        for ((name, content), (wanted, bytes)) in found.iter().zip(files) {
            assert_eq!((name.as_str(), content.as_slice()), (wanted, bytes));
        }
    }

    #[test]
    fn two_files_of_one_name_are_refused_by_that_name() {
        let fault = package(&[("a.txt", b"first"), ("a.txt", b"second")]).expect_err("one is lost");
        assert_eq!(fault, PackageFault::Twice("a.txt".into()));
        assert!(fault.to_string().contains("a.txt"));
    }

    #[test]
    fn a_packing_is_told_of_each_file_and_can_be_broken_off() {
        let files = [("a", b"1".as_slice()), ("b", b"2"), ("c", b"3")];
        let mut heard = Vec::new();
        let packed = package_told(&files, &mut |count| {
            heard.push(count);
            ControlFlow::Continue(())
        });
        assert_eq!((packed, heard), (package(&files), vec![1, 2, 3]));
        let stopped = package_told(&files, &mut |count| match count {
            2 => ControlFlow::Break(()),
            _ => ControlFlow::Continue(()),
        });
        assert_eq!(stopped, Err(PackageFault::Stopped));
    }
}
