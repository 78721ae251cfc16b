//! The licence texts that go along with the program, from the packages themselves.

use std::fs;
use std::path::{Path, PathBuf};

use crate::parts::{Part, Use};

/// How files with a licence or a notice are called, in small letters.
const CALLED: [&str; 5] = ["licen", "copying", "notice", "copyright", "unlicense"];

/// All texts, part by part; parts that bear the same text share it.
///
/// # Errors
/// When a file cannot be read.
pub fn notices(parts: &[Part]) -> Result<String, String> {
    let mut texts: Vec<(String, Vec<String>)> = Vec::new();
    for part in parts.iter().filter(|part| part.used == Use::Inside) {
        for (file, text) in texts_of(part)? {
            let bearer = format!("{} {} ({file})", part.name, part.version);
            match texts.iter_mut().find(|(known, _)| *known == text) {
                Some((_, bearers)) => bearers.push(bearer),
                None => texts.push((text, vec![bearer])),
            }
        }
    }
    let rule = "=".repeat(78);
    let shown = texts
        .iter()
        .map(|(text, bearers)| format!("{rule}\n{}\n{rule}\n\n{text}\n", bearers.join("\n")));
    Ok(shown.collect())
}

fn texts_of(part: &Part) -> Result<Vec<(String, String)>, String> {
    if part.name == "DejaVu fonts" {
        return font_notice(part);
    }
    if part.within.is_some() {
        return Ok(Vec::new());
    }
    // Our own rooms share the two texts at the root.
    let folder = match part.own {
        true => crate::House::here().root().to_path_buf(),
        false => part.folder.clone(),
    };
    let mut texts = Vec::new();
    for path in files(&folder)? {
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let small = name.to_lowercase();
        if path.is_file() && CALLED.iter().any(|called| small.starts_with(called)) {
            let text = fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
            texts.push((name, String::from_utf8_lossy(&text).into_owned()));
        }
    }
    Ok(texts)
}

fn files(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let told = |error: std::io::Error| format!("{}: {error}", folder.display());
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(told)? {
        files.push(entry.map_err(told)?.path());
    }
    files.sort();
    Ok(files)
}

/// The notice that stands in the font itself, in its table of names.
fn font_notice(fonts: &Part) -> Result<Vec<(String, String)>, String> {
    let file = "DejaVuSans.ttf";
    let within = format!("assets/dejavu-fonts-ttf-{}/ttf/{file}", fonts.version);
    let path = fonts.folder.join(within);
    let bytes = fs::read(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    let notice: Vec<String> = [COPYRIGHT, LICENCE]
        .iter()
        .filter_map(|which| name(&bytes, *which))
        .collect();
    match notice.is_empty() {
        true => Err(format!("{file} bears no notice")),
        false => Ok(vec![(file.to_owned(), notice.join("\n\n"))]),
    }
}

/// Numbers of names in a font: the copyright, and the licence's words.
const COPYRIGHT: u16 = 0;
const LICENCE: u16 = 13;

/// A name of a font, in the coding that Windows reads, UTF-16: OpenType 1.9, "name" table,
/// <https://learn.microsoft.com/typography/opentype/spec/name>.
fn name(font: &[u8], which: u16) -> Option<String> {
    let tables = usize::from(short(font, 4)?);
    let table = (0..tables).map(|index| 12 + 16 * index);
    let record = table
        .into_iter()
        .find(|at| font.get(*at..at + 4) == Some(b"name"))?;
    let start = long(font, record + 8)?;
    let (count, strings) = (
        short(font, start + 2)?,
        start + usize::from(short(font, start + 4)?),
    );
    for index in 0..usize::from(count) {
        let at = start + 6 + 12 * index;
        // Platform 3 is Windows; other platforms repeat the same words.
        if (short(font, at)?, short(font, at + 6)?) != (3, which) {
            continue;
        }
        let (length, offset) = (short(font, at + 8)?, short(font, at + 10)?);
        let from = strings + usize::from(offset);
        let bytes = font.get(from..from + usize::from(length))?;
        let letters: Vec<u16> = bytes
            .chunks_exact(2)
            .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
            .collect();
        return Some(String::from_utf16_lossy(&letters));
    }
    None
}

fn short(font: &[u8], at: usize) -> Option<u16> {
    let bytes = font.get(at..at + 2)?;
    Some(u16::from_be_bytes([bytes[0], bytes[1]]))
}

fn long(font: &[u8], at: usize) -> Option<usize> {
    Some(usize::from(short(font, at)?) << 16 | usize::from(short(font, at + 2)?))
}
