//! A package of files in one (the zip format), the same bytes for the same files: no clock, no
//! order but the one given.
//!
//! Source: the public description of the format, APPNOTE.TXT 6.3.3, sections 4.3.7, 4.3.12, 4.3.16.

use std::io::Write;

use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};

use super::BodyError;

/// The first day that the format knows, 1 January 1980.
const FIRST_DAY: u16 = (1 << 5) | 1;

/// The version of the format that a reader needs: 2.0, for packed files.
const NEEDED: u16 = 20;

/// The way of packing: deflate.
const DEFLATE: u16 = 8;

/// Packs named files, in this order.
pub(crate) fn package(files: &[(&str, &str)]) -> Result<Vec<u8>, BodyError> {
    let (mut bytes, mut index) = (Vec::new(), Vec::new());
    for (name, text) in files {
        let start = size(bytes.len())?;
        let packed = packed(text)?;
        let mut crc = Crc::new();
        crc.update(text.as_bytes());
        let mut facts = Vec::with_capacity(26);
        for number in [NEEDED, 0, DEFLATE, 0, FIRST_DAY] {
            facts.extend(number.to_le_bytes());
        }
        for number in [crc.sum(), size(packed.len())?, size(text.len())?] {
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

fn packed(text: &str) -> Result<Vec<u8>, BodyError> {
    let fault = |error: std::io::Error| BodyError::Package(error.to_string());
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(text.as_bytes()).map_err(fault)?;
    encoder.finish().map_err(fault)
}

fn size(length: usize) -> Result<u32, BodyError> {
    let too_large =
        |_| BodyError::Package("it would be larger than 4 GB; take a coarser chord".into());
    u32::try_from(length).map_err(too_large)
}

fn short(length: usize) -> Result<u16, BodyError> {
    let too_long = |_| BodyError::Package("a name in it is longer than 65535 bytes".into());
    u16::try_from(length).map_err(too_long)
}
