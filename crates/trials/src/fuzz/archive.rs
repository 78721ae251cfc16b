//! Archives: sound ones, and what must hold of every one that is unpacked.

use std::collections::BTreeSet;
use std::path::{Component, Path};

use solid::{UnpackLimits, package, unpack};

use super::Answered;
use super::enter::{heard, said};

/// What may come out of one: so little that inputs reach it.
const ROOM: UnpackLimits = UnpackLimits {
    files: 6,
    bytes: 3000,
};

/// One unpacked archive in so many is packed and unpacked again.
const TO_PACK: u64 = 8;

const LOCAL: &[u8] = b"PK\x03\x04";
const LISTED: &[u8] = b"PK\x01\x02";
const END: &[u8] = b"PK\x05\x06";
/// The records of the list and of the end without their names and comments, bytes.
const LISTED_BYTES: usize = 46;
const END_BYTES: usize = 22;

/// Signatures, numbers as the format writes them, and names that lead elsewhere.
pub const WORDS: [&str; 24] = [
    "PK\u{3}\u{4}",
    "PK\u{1}\u{2}",
    "PK\u{5}\u{6}",
    "PK\u{6}\u{6}",
    "PK\u{6}\u{7}",
    "\0\0",
    "\0\0\0\0",
    "\u{1}\0\0\0",
    "\u{8}\0",
    "\u{14}\0",
    "\u{7f}\u{7f}\u{7f}\u{7f}",
    "../",
    "/",
    "..",
    "./",
    "\\",
    "C:",
    "a",
    "b/",
    "entry.toml",
    "book.toml",
    "\u{4b}\u{4}\0",
    "ö",
    "\u{202e}",
];

/// Packed and plain files, folders, a comment, no file at all.
pub(super) fn sound() -> Vec<Vec<u8>> {
    let long = [b"words ".repeat(60), vec![0; 900]].concat();
    let mut archives = vec![
        packed(&[]),
        packed(&[("a", b"")]),
        packed(&[("a/b.txt", b"some words, some words"), ("c", b"more")]),
        packed(&[("ä/ö.toml", "ü".as_bytes()), ("long", &long)]),
        packed(&[
            ("1", b"1"),
            ("2", b"2"),
            ("3", b"3"),
            ("4", b"4"),
            ("5", b"5"),
        ]),
        plain("a.csv", b"kind,at,value\n"),
        plain("b", b""),
    ];
    let mut commented = packed(&[("a", b"words")]);
    let length = commented.len() - 2;
    commented[length] = 4;
    commented.extend(b"from");
    archives.push(commented);
    archives
}

fn packed(files: &[(&str, &[u8])]) -> Vec<u8> {
    package(files).expect("a few short files are packed")
}

/// An archive of one file that is not packed.
fn plain(name: &str, content: &[u8]) -> Vec<u8> {
    let small = packed(&[(name, content)]);
    let list = places(&small, LISTED)[0];
    let size = (content.len() as u32).to_le_bytes();
    let mut local = small[..30 + name.len()].to_vec();
    put(&mut local, 8, &[0, 0]);
    put(&mut local, 18, &size);
    local.extend(content);
    let mut rest = small[list..].to_vec();
    put(&mut rest, 10, &[0, 0]);
    put(&mut rest, 20, &size);
    straightened(&[local, rest].concat()).expect("has a list and an end")
}

/// Tries an archive as it came, and with its list and end put right.
pub(super) fn enter(input: &[u8], deep: u64) -> Result<Answered, String> {
    let mut answered = unpacked(input, deep)?;
    if let Some(straight) = straightened(input) {
        let second = unpacked(&straight, deep)?;
        answered.kind = answered.kind.rotate_left(1) ^ second.kind;
        answered.sound |= second.sound;
    }
    Ok(answered)
}

fn unpacked(input: &[u8], deep: u64) -> Result<Answered, String> {
    let files = match unpack(input, ROOM) {
        Ok(files) => files,
        Err(fault) => return said(&fault.to_string(), 17),
    };
    let bytes: usize = files.iter().map(|(_, content)| content.len()).sum();
    if files.len() > ROOM.files || bytes > ROOM.bytes {
        return Err(format!("{} files with {bytes} bytes came out", files.len()));
    }
    let mut names = BTreeSet::new();
    for (name, _) in &files {
        let leads_on = |part| matches!(part, Component::Normal(_));
        if name.is_empty() || !Path::new(name).components().all(leads_on) {
            return Err(format!("a file came out as {name:?}"));
        }
        if !names.insert(name) {
            return Err(format!("two files came out as {name:?}"));
        }
    }
    if deep.is_multiple_of(TO_PACK) {
        let named = files
            .iter()
            .map(|(name, content)| (name.as_str(), content.as_slice()));
        let again = package(&named.collect::<Vec<_>>()).map_err(|fault| fault.to_string())?;
        if unpack(&again, ROOM).as_ref() != Ok(&files) {
            return Err("what came out does not come out again".into());
        }
    }
    let size = |sum: u64, content: &[u8]| {
        sum.rotate_left(3) ^ u64::from(content.len().checked_ilog2().unwrap_or(0))
    };
    let sizes = files
        .iter()
        .fold(19, |sum, (_, content)| size(sum, content));
    let kind = heard(sizes, files.first().map_or("", |(name, _)| name));
    Ok(Answered { kind, sound: true })
}

/// The archive with its end and the places in its list put right, as far as they can be told from
/// the signatures: what was spoilt otherwise is then looked at, where the end alone would have
/// been refused.
fn straightened(input: &[u8]) -> Option<Vec<u8>> {
    let end = *places(input, END).last()?;
    let listed: Vec<usize> = places(&input[..end], LISTED);
    let first = *listed.first()?;
    let locals = places(&input[..first], LOCAL);
    let mut bytes = input.to_vec();
    bytes.resize(bytes.len().max(end + END_BYTES), 0);
    for (place, &at) in listed.iter().enumerate() {
        let next = listed.get(place + 1).copied().unwrap_or(end);
        let name_bytes = next.checked_sub(at + LISTED_BYTES)?;
        put(&mut bytes, at + 28, &short(name_bytes));
        put(&mut bytes, at + 30, &[0; 4]);
        if let Some(&local) = locals.get(place) {
            put(&mut bytes, at + 42, &(local as u32).to_le_bytes());
        }
    }
    let count = short(listed.len());
    put(&mut bytes, end + 4, &[0; 4]);
    put(&mut bytes, end + 8, &[count, count].concat());
    put(&mut bytes, end + 12, &((end - first) as u32).to_le_bytes());
    put(&mut bytes, end + 16, &(first as u32).to_le_bytes());
    let comment = short(bytes.len() - end - END_BYTES);
    put(&mut bytes, end + 20, &comment);
    Some(bytes)
}

fn short(number: usize) -> [u8; 2] {
    (number as u16).to_le_bytes()
}

fn put(bytes: &mut [u8], at: usize, number: &[u8]) {
    bytes[at..at + number.len()].copy_from_slice(number);
}

fn places(bytes: &[u8], signature: &[u8]) -> Vec<usize> {
    let windows = bytes.windows(signature.len()).enumerate();
    let found = windows.filter(|(_, window)| *window == signature);
    found.map(|(at, _)| at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_called_sound_is_unpacked_and_straightening_leaves_it_alone() {
        for archive in sound() {
            assert!(unpack(&archive, ROOM).is_ok(), "{archive:?}");
            if let Some(straight) = straightened(&archive) {
                assert_eq!(straight, archive);
            }
        }
    }

    #[test]
    fn an_archive_that_was_pushed_out_of_place_is_straightened() {
        let sound = packed(&[("a", b"words"), ("b", b"more")]);
        let pushed = [b"before".as_slice(), &sound].concat();
        assert!(unpack(&pushed, ROOM).is_err());
        let straight = straightened(&pushed).expect("has a list and an end");
        assert_eq!(unpack(&straight, ROOM), unpack(&sound, ROOM));
    }
}
