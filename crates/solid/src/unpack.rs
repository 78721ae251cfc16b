//! Files out of a package (the zip format), within limits: whatever the package says of itself, no
//! more is unpacked than was allowed, and no name leads out of a folder.
//!
//! Source: the public description of the format, APPNOTE.TXT 6.3.3, sections 4.3.7, 4.3.12, 4.3.16.
//! Packages over several disks, encrypted ones and those of the 64-bit extension are refused.

use std::collections::BTreeSet;
use std::fmt;
use std::io::Read;

use flate2::Crc;
use flate2::read::DeflateDecoder;

/// How long a name may be, bytes.
const NAME_LIMIT_BYTES: usize = 500;

/// The record at a package's end without its comment, bytes.
const END_BYTES: usize = 22;

/// The longest comment that may stand behind it, bytes.
const COMMENT_LIMIT_BYTES: usize = 65_535;

/// How much may come out of a package.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnpackLimits {
    /// How many files.
    pub files: usize,
    /// How many bytes, all files together.
    pub bytes: usize,
}

/// Why a package was not unpacked; nothing of it is handed out then.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum UnpackFault {
    /// The bytes are no package at all.
    NotAPackage,
    /// The package is cut off or damaged at a file, or in its list of files.
    Damaged(String),
    /// A name leads out of the folder, or cannot be a name everywhere.
    BadName(String),
    /// Two files have one name.
    Twice(String),
    /// There are more files than so many.
    TooManyFiles(usize),
    /// More than so many bytes would come out.
    TooLarge(usize),
    /// A file is packed in a way that is not read here.
    UnknownPacking(String),
}

impl fmt::Display for UnpackFault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAPackage => formatter.write_str("this is no zip file; choose another file"),
            Self::Damaged(place) => write!(
                formatter,
                "the zip file is damaged or cut off at {place}; get it again from where it came"
            ),
            Self::BadName(name) => write!(
                formatter,
                "the zip file holds a file called {name:?}, and such a name could lead elsewhere; \
                 pack plain files in plain folders"
            ),
            Self::Twice(name) => {
                write!(
                    formatter,
                    "the zip file holds two files called {name}; rename one"
                )
            }
            Self::TooManyFiles(limit) => {
                write!(
                    formatter,
                    "the zip file holds more than {limit} files; pack fewer"
                )
            }
            Self::TooLarge(limit) => write!(
                formatter,
                "more than {} MiB would come out of the zip file; pack less in one",
                limit >> 20
            ),
            Self::UnknownPacking(name) => write!(
                formatter,
                "{name} is encrypted in the zip file, or packed in a way that is not read here; \
                 pack it in the usual way (deflate), without a password"
            ),
        }
    }
}

impl std::error::Error for UnpackFault {}

/// Takes the files out of a package, in the order of its list, each with its name; folders are
/// left out.
///
/// # Errors
/// [`UnpackFault`]: the first thing that is wrong.
///
/// # Examples
/// ```
/// let limits = solid::UnpackLimits { files: 10, bytes: 1_000 };
/// let packed = solid::package(&[("a/b.txt", b"words".as_slice())]).expect("one short file");
/// let files = solid::unpack(&packed, limits).expect("is a package");
/// assert_eq!(files, [("a/b.txt".to_owned(), b"words".to_vec())]);
/// let tight = solid::UnpackLimits { files: 10, bytes: 4 };
/// assert_eq!(solid::unpack(&packed, tight), Err(solid::UnpackFault::TooLarge(4)));
/// ```
pub fn unpack(bytes: &[u8], limits: UnpackLimits) -> Result<Vec<(String, Vec<u8>)>, UnpackFault> {
    let end = end_record(bytes).ok_or(UnpackFault::NotAPackage)?;
    if end.count > limits.files {
        return Err(UnpackFault::TooManyFiles(limits.files));
    }
    let damaged = || UnpackFault::Damaged("its list of files".into());
    let mut list = end.list;
    let mut names = BTreeSet::new();
    let mut room = limits.bytes;
    let mut files = Vec::new();
    for _ in 0..end.count {
        let listed = Listed::read(&mut list).ok_or_else(damaged)?;
        let name = plain_name(listed.name)?;
        if name.ends_with('/') {
            continue;
        }
        if !names.insert(name.clone()) {
            return Err(UnpackFault::Twice(name));
        }
        let content = content(bytes, &listed, &name, room)?;
        let Some(content) = content else {
            return Err(UnpackFault::TooLarge(limits.bytes));
        };
        room -= content.len();
        files.push((name, content));
    }
    Ok(files)
}

/// What the record at the end says, and the list of files it points to.
struct End<'b> {
    count: usize,
    list: &'b [u8],
}

/// Finds the record that ends the package: the last one whose comment ends where the bytes do.
fn end_record(bytes: &[u8]) -> Option<End<'_>> {
    let last = bytes.len().checked_sub(END_BYTES)?;
    let first = last.saturating_sub(COMMENT_LIMIT_BYTES);
    let at = (first..=last).rev().find(|&at| {
        bytes[at..].starts_with(b"PK\x05\x06")
            && number_2(&bytes[at..], 20)
                .is_some_and(|comment| at + END_BYTES + comment == bytes.len())
    })?;
    let record = &bytes[at..];
    let one_disk = number_2(record, 4)? == 0 && number_2(record, 6)? == 0;
    let count = number_2(record, 10)?;
    if !one_disk || number_2(record, 8)? != count {
        return None;
    }
    let (length, start) = (number_4(record, 12)?, number_4(record, 16)?);
    let list = bytes.get(start..start.checked_add(length)?)?;
    Some(End { count, list })
}

/// One line of the list of files.
struct Listed<'b> {
    flags: usize,
    packing: usize,
    crc: usize,
    packed: usize,
    unpacked: usize,
    start: usize,
    name: &'b [u8],
}

impl<'b> Listed<'b> {
    const FIXED_BYTES: usize = 46;

    /// Reads one line and moves past it.
    fn read(list: &mut &'b [u8]) -> Option<Self> {
        let line = *list;
        if !line.starts_with(b"PK\x01\x02") {
            return None;
        }
        let name_bytes = number_2(line, 28)?;
        let length = Self::FIXED_BYTES + name_bytes + number_2(line, 30)? + number_2(line, 32)?;
        let listed = Self {
            flags: number_2(line, 8)?,
            packing: number_2(line, 10)?,
            crc: number_4(line, 16)?,
            packed: number_4(line, 20)?,
            unpacked: number_4(line, 24)?,
            start: number_4(line, 42)?,
            name: line.get(Self::FIXED_BYTES..Self::FIXED_BYTES + name_bytes)?,
        };
        *list = line.get(length..)?;
        Some(listed)
    }
}

/// A name of plain parts, or what is wrong with it.
fn plain_name(name: &[u8]) -> Result<String, UnpackFault> {
    let bad = || UnpackFault::BadName(String::from_utf8_lossy(name).chars().take(80).collect());
    let name = std::str::from_utf8(name).map_err(|_| bad())?;
    let parts = name.strip_suffix('/').unwrap_or(name);
    let is_plain = |part: &str| {
        !part.is_empty()
            && part != "."
            && part != ".."
            && !part.contains(['\\', ':'])
            && !part.contains(char::is_control)
    };
    if name.len() <= NAME_LIMIT_BYTES && parts.split('/').all(is_plain) {
        Ok(name.to_owned())
    } else {
        Err(bad())
    }
}

/// The bytes of a file; nothing when there would be more than the room that is left.
fn content(
    bytes: &[u8],
    listed: &Listed<'_>,
    name: &str,
    room: usize,
) -> Result<Option<Vec<u8>>, UnpackFault> {
    const ENCRYPTED: usize = 1;
    let damaged = || UnpackFault::Damaged(name.to_owned());
    let packed = packed_bytes(bytes, listed).ok_or_else(damaged)?;
    if listed.unpacked > room {
        return Ok(None);
    }
    let content = match listed.packing {
        _ if listed.flags & ENCRYPTED != 0 => {
            return Err(UnpackFault::UnknownPacking(name.to_owned()));
        }
        0 => packed.to_vec(),
        8 => {
            let mut content = Vec::new();
            // One byte more than was said tells a package that says too little of itself.
            let mut reader = DeflateDecoder::new(packed).take(listed.unpacked as u64 + 1);
            reader.read_to_end(&mut content).map_err(|_| damaged())?;
            content
        }
        _ => return Err(UnpackFault::UnknownPacking(name.to_owned())),
    };
    let mut crc = Crc::new();
    crc.update(&content);
    if content.len() != listed.unpacked || crc.sum() as usize != listed.crc {
        return Err(damaged());
    }
    Ok(Some(content))
}

fn packed_bytes<'b>(bytes: &'b [u8], listed: &Listed<'_>) -> Option<&'b [u8]> {
    const FIXED_BYTES: usize = 30;
    let head = bytes.get(listed.start..)?;
    if !head.starts_with(b"PK\x03\x04") {
        return None;
    }
    // The lengths of name and extra stand here once more, and may differ from those in the list.
    let start = FIXED_BYTES + number_2(head, 26)? + number_2(head, 28)?;
    head.get(start..start.checked_add(listed.packed)?)
}

fn number_2(bytes: &[u8], at: usize) -> Option<usize> {
    let two = bytes.get(at..at + 2)?;
    Some(usize::from(two[0]) | usize::from(two[1]) << 8)
}

fn number_4(bytes: &[u8], at: usize) -> Option<usize> {
    Some(number_2(bytes, at)? | number_2(bytes, at + 2)? << 16)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::package;

    const ROOM: UnpackLimits = UnpackLimits {
        files: 100,
        bytes: 1 << 20,
    };

    fn packed(files: &[(&str, &[u8])]) -> Vec<u8> {
        package(files).expect("is packed")
    }

    /// A package with one name put in the place of another of the same length.
    fn renamed(from: &str, to: &str) -> Vec<u8> {
        assert_eq!(from.len(), to.len());
        let mut bytes = packed(&[(from, b"words")]);
        let places: Vec<usize> = (0..bytes.len() - from.len())
            .filter(|&at| bytes[at..].starts_with(from.as_bytes()))
            .collect();
        assert_eq!(places.len(), 2);
        for at in places {
            bytes[at..at + to.len()].copy_from_slice(to.as_bytes());
        }
        bytes
    }

    #[test]
    fn what_was_packed_comes_out_in_order() {
        let long = vec![7_u8; 100_000];
        let files: [(&str, &[u8]); 4] = [
            ("b/one.txt", b"words"),
            ("a.csv", b""),
            ("b/größe.toml", "ä".as_bytes()),
            ("long", &long),
        ];
        let out = unpack(&packed(&files), ROOM).expect("is a package");
        let plain: Vec<(&str, &[u8])> = out
            .iter()
            .map(|(name, content)| (name.as_str(), content.as_slice()))
            .collect();
        assert_eq!(plain, files);
        assert_eq!(unpack(&packed(&[]), ROOM), Ok(Vec::new()));
    }

    #[test]
    fn names_that_could_lead_elsewhere_are_refused() {
        for name in [
            "../aa", "/aaaa", "a/../", "a\\aaa", "C:aaa", "a//aa", "./aaa", "a/.aa/..", "aaa\0a",
            "aa\naa", "..",
        ] {
            let from = "x".repeat(name.len());
            let refused = unpack(&renamed(&from, name), ROOM);
            assert!(
                matches!(refused, Err(UnpackFault::BadName(_))),
                "{name:?}: {refused:?}"
            );
        }
        let long = "a".repeat(501);
        assert!(matches!(
            unpack(&packed(&[(&long, b"")]), ROOM),
            Err(UnpackFault::BadName(_))
        ));
        // A folder is no file, and nothing of it comes out.
        assert_eq!(unpack(&renamed("aaaaa", "aaaa/"), ROOM), Ok(Vec::new()));
    }

    #[test]
    fn more_than_was_allowed_never_comes_out() {
        let zeros = vec![0; 500_000];
        let bomb = packed(&[("a", &zeros), ("b", &zeros), ("c", &zeros)]);
        assert!(bomb.len() < 5_000, "it is packed small: {}", bomb.len());
        assert_eq!(unpack(&bomb, ROOM), Err(UnpackFault::TooLarge(ROOM.bytes)));
        let few = UnpackLimits { files: 2, ..ROOM };
        assert_eq!(unpack(&bomb, few), Err(UnpackFault::TooManyFiles(2)));
        // One that says too little of itself: 5 bytes in the list, more in the packing.
        let mut liar = packed(&[("a", &zeros)]);
        let list = liar
            .windows(4)
            .position(|four| four == b"PK\x01\x02")
            .expect("is there");
        liar[list + 24..list + 28].copy_from_slice(&5_u32.to_le_bytes());
        assert_eq!(unpack(&liar, ROOM), Err(UnpackFault::Damaged("a".into())));
    }

    #[test]
    fn two_files_of_one_name_and_strange_packings_are_refused() {
        let mut twice = packed(&[("a", b"1"), ("b", b"2")]);
        for byte in twice.iter_mut().filter(|byte| **byte == b'b') {
            *byte = b'a';
        }
        assert_eq!(unpack(&twice, ROOM), Err(UnpackFault::Twice("a".into())));
        for (offset, value) in [(8, 1), (10, 12)] {
            let mut strange = packed(&[("a", b"1")]);
            let list = strange
                .windows(4)
                .position(|four| four == b"PK\x01\x02")
                .expect("is there");
            strange[list + offset] = value;
            assert_eq!(
                unpack(&strange, ROOM),
                Err(UnpackFault::UnknownPacking("a".into()))
            );
        }
    }

    /// Every cut and every changed byte of a package: an answer, never a panic, and never bytes that
    /// were not packed.
    #[test]
    fn a_damaged_package_never_gives_other_bytes() {
        let sound = packed(&[("a.txt", b"some words, some words"), ("b.txt", b"more")]);
        for end in 0..sound.len() {
            assert!(unpack(&sound[..end], ROOM).is_err(), "cut at {end}");
        }
        for at in 0..sound.len() {
            for change in [1, 0x80, 0xff] {
                let mut bytes = sound.clone();
                bytes[at] ^= change;
                if let Ok(files) = unpack(&bytes, ROOM) {
                    let contents: Vec<_> = files
                        .iter()
                        .map(|(_, content)| content.as_slice())
                        .collect();
                    let whole = contents == [b"some words, some words".as_slice(), b"more"];
                    // A changed name may say that a file is a folder.
                    assert!(whole || contents.len() < 2, "byte {at}");
                }
            }
        }
    }

    #[test]
    fn what_is_no_package_is_called_so() {
        for bytes in [b"".as_slice(), b"PK", &[0; 22], &[7; 5_000]] {
            assert_eq!(unpack(bytes, ROOM), Err(UnpackFault::NotAPackage));
        }
    }
}
