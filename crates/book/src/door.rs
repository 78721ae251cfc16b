//! The look at a file before SQLite may touch it, so that a foreign file stays as it is.
//!
//! The offsets are those of the SQLite file format, <https://www.sqlite.org/fileformat2.html>,
//! section 1.3 (the database header) and section 1.6 (the b-tree page header at offset 100).

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use crate::error::BookError;
use crate::format::{APPLICATION_ID, FORMAT_VERSION};

const MAGIC: &[u8; 16] = b"SQLite format 3\0";
const USER_VERSION_AT: usize = 60;
const APPLICATION_ID_AT: usize = 68;
const SCHEMA_CELLS_AT: usize = 103;
/// The database header and as much of the first page's own header as is looked at.
const LOOKED_AT: usize = 105;

/// Whether there is a book at the path, or room for a new one; anything else is refused.
///
/// Reads only; the folder of a new book is the one thing that may be made here.
/// The file must not be open in this process: see [`crate::open_books`].
pub(crate) fn check(path: &Path) -> Result<(), BookError> {
    match check_once(path) {
        // Another program may have made the book between the look at it and the look at its log.
        Err(BookError::StrayLog { .. }) if is_filled(path) => check_once(path),
        outcome => outcome,
    }
}

fn check_once(path: &Path) -> Result<(), BookError> {
    match fs::metadata(path) {
        Ok(data) if data.is_dir() => Err(BookError::IsFolder { path: path.into() }),
        Ok(data) if !data.is_file() => Err(BookError::NotAFile { path: path.into() }),
        Ok(data) => check_file(path, data.len()),
        Err(error) if error.kind() == ErrorKind::NotFound => check_new(path),
        Err(error) => Err(unreadable(path, &error)),
    }
}

fn check_new(path: &Path) -> Result<(), BookError> {
    refuse_stray_log(path)?;
    match path.parent() {
        Some(folder) => fs::create_dir_all(folder).map_err(|error| not_writable(path, &error)),
        None => Ok(()),
    }
}

/// SQLite throws away the log of a book that is gone; it may hold the last changes of one that
/// was moved after a crash.
fn refuse_stray_log(path: &Path) -> Result<(), BookError> {
    let log = beside(path, "-wal");
    if is_filled(&log) {
        Err(BookError::StrayLog {
            path: path.into(),
            log,
        })
    } else {
        Ok(())
    }
}

fn check_file(path: &Path, length: u64) -> Result<(), BookError> {
    let mut file = File::open(path).map_err(|error| unreadable(path, &error))?;
    if length == 0 {
        refuse_stray_log(path)?;
    } else {
        check_header(path, &mut file, length)?;
    }
    // Opening for writing alters nothing, and says early whether SQLite will be allowed to.
    OpenOptions::new()
        .read(true)
        .write(true)
        .open(path)
        .map_err(|error| not_writable(path, &error))?;
    Ok(())
}

fn check_header(path: &Path, file: &mut File, length: u64) -> Result<(), BookError> {
    let mut start = [0; LOOKED_AT];
    let whole = match file.read_exact(&mut start) {
        Ok(()) => true,
        Err(error) if error.kind() == ErrorKind::UnexpectedEof => false,
        Err(error) => return Err(unreadable(path, &error)),
    };
    if !whole || !start.starts_with(MAGIC) {
        return Err(BookError::NotABook { path: path.into() });
    }
    let application_id = number_at(&start, APPLICATION_ID_AT);
    let found = number_at(&start, USER_VERSION_AT);
    if application_id == APPLICATION_ID && found > FORMAT_VERSION {
        return Err(BookError::NewerFormat {
            path: path.into(),
            found,
            known: FORMAT_VERSION,
        });
    }
    if application_id == APPLICATION_ID || is_blank(path, &start, length) {
        return Ok(());
    }
    Err(BookError::Foreign {
        path: path.into(),
        application_id,
    })
}

/// The format of the book at a path, by its header alone; nothing when there is no book of ours.
///
/// The file must not be open in this process: see [`crate::open_books`].
pub(crate) fn format_in_header(path: &Path) -> Option<u32> {
    let mut start = [0; LOOKED_AT];
    let is_file = fs::metadata(path).is_ok_and(|data| data.is_file());
    if !is_file || File::open(path).ok()?.read_exact(&mut start).is_err() {
        return None;
    }
    let is_ours =
        start.starts_with(MAGIC) && number_at(&start, APPLICATION_ID_AT) == APPLICATION_ID;
    is_ours.then(|| number_at(&start, USER_VERSION_AT))
}

/// An SQLite file that nobody has put anything into: one page, no table, no mark, no log beside it.
fn is_blank(path: &Path, start: &[u8; LOOKED_AT], length: u64) -> bool {
    const LARGEST_PAGE_BYTES: u64 = 65_536;
    length <= LARGEST_PAGE_BYTES
        && number_at(start, 28) <= 1
        && number_at(start, APPLICATION_ID_AT) == 0
        && number_at(start, USER_VERSION_AT) == 0
        && start[SCHEMA_CELLS_AT..] == [0, 0]
        && !is_filled(&beside(path, "-wal"))
        && !is_filled(&beside(path, "-journal"))
}

/// A big-endian number of four bytes in the header.
fn number_at(start: &[u8; LOOKED_AT], offset: usize) -> u32 {
    start[offset..]
        .iter()
        .take(4)
        .fold(0, |number, &byte| number << 8 | u32::from(byte))
}

/// The name SQLite gives to the files it keeps beside a database.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    name.into()
}

fn is_filled(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|data| data.len() > 0)
}

fn unreadable(path: &Path, error: &io::Error) -> BookError {
    BookError::Unreadable {
        path: path.into(),
        detail: error.to_string(),
    }
}

fn not_writable(path: &Path, error: &io::Error) -> BookError {
    BookError::NotWritable {
        path: path.into(),
        detail: error.to_string(),
    }
}
