//! Copies of a book while it is in use, and books made of copies: nothing is ever overwritten.
//!
//! A copy is made by SQLite's own `VACUUM INTO` (<https://www.sqlite.org/lang_vacuum.html#vacuuminto>),
//! checked by its `integrity_check`, handed to the disk, and only then given its name, so that
//! whatever bears the name of a copy is a whole and sound one.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, ErrorCode, OpenFlags};

use crate::error::{BookError, Fault};
use crate::open_books::OpenBooks;
use crate::settings::TABLETS_SETTING;
use crate::store::{self, Book};
use crate::{door, format};

/// What a copy holds, as far as it is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CopyFacts {
    /// How many commissions.
    pub commissions: u32,
    /// How many kits.
    pub kits: u32,
    /// The format it has.
    pub format: u32,
    /// What tells it from a book in which anything else was written.
    pub state: BookState,
}

/// Tells whether anything was written between two looks at a book, or at a book and a copy of it;
/// what it knows of paired tablets does not count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BookState(String);

/// Numbers given so far, where every entry stands, what may change without a new number, and the
/// format: whatever is written alters one of them. Of the settings that of the tablets is left out:
/// it is written every minute while one is in use, and a book made of a copy has none.
const STATE: &str = "SELECT
    coalesce((SELECT group_concat(name || ' ' || seq, ',')
     FROM (SELECT name, seq FROM sqlite_sequence ORDER BY name)), '') || ';' ||
    coalesce((SELECT group_concat(id || ' ' || current || ' ' || coalesce(kit, '') || ' ' ||
                                  changed_at || ' ' || coalesce(put_away_at, ''), ',')
     FROM (SELECT * FROM entry ORDER BY id)), '') || ';' ||
    (SELECT count(set_aside_at) FROM stage_log) || ';' ||
    coalesce((SELECT group_concat(quote(key) || ' ' || quote(value) || ' ' || changed_at, ',')
     FROM (SELECT * FROM setting WHERE key <> ?1 ORDER BY key)), '')";

impl Book {
    /// Where the book lies.
    pub fn path(&self) -> &Path {
        self.own_path()
    }

    /// What tells the book as it stands from one in which anything else was written, but for
    /// [`TABLETS_SETTING`].
    ///
    /// # Errors
    /// Only those of the file itself.
    pub fn state(&self) -> Result<BookState, BookError> {
        self.read(state)
    }

    /// Copies the book, as it stands at one moment, into a new file; it may be in use meanwhile.
    ///
    /// The copy is made under its name with `.part` at the end and gets its name when it is whole,
    /// checked and handed to the disk.
    ///
    /// # Errors
    /// [`BookError::NotCopied`]: the book is as it was, no file of that name is there unless it was
    /// there before, and nothing was overwritten.
    pub fn copy_to(&self, path: &Path) -> Result<(), BookError> {
        let path = absolute(path)?;
        make(&path, |part| {
            self.read(|connection| vacuum_into(connection, part))
                .map_err(|error| error.to_string())
        })
    }
}

/// The format of the book at a path as its header tells it; nothing when there is no book there,
/// or when it is open in this process and so of the present format.
pub fn format_of(book: &Path) -> Option<u32> {
    let book = absolute(book).ok()?;
    let open_books = OpenBooks::hold();
    if open_books.has(&book) {
        return None;
    }
    door::format_in_header(&book)
}

/// Copies a book that is not open in this process, in the format it has: before it is brought to
/// a newer one.
///
/// # Errors
/// What [`Book::open`] would refuse, and [`BookError::NotCopied`].
pub fn copy_unopened(book: &Path, path: &Path) -> Result<(), BookError> {
    let (book, path) = (absolute(book)?, absolute(path)?);
    // Held, so that no other thread opens the book while its file is looked at.
    let _open_books = OpenBooks::hold();
    door::check(&book)?;
    make(&path, |part| {
        let copy = || -> Result<(), Fault> {
            let connection = Connection::open_with_flags(&book, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            store::set_up(&connection)?;
            format::check_marks(&connection, &book)?;
            vacuum_into(&connection, part)
        };
        copy().map_err(|fault| fault.at(&book).to_string())
    })
}

/// What a copy holds, after SQLite has checked all of it. The file is only read, and nothing is
/// put beside it.
///
/// # Errors
/// [`BookError::BadCopy`] when it is no sound book.
pub fn look_at_copy(path: &Path) -> Result<CopyFacts, BookError> {
    let path = absolute(path)?;
    let bad = |detail: String| BookError::BadCopy {
        path: path.clone(),
        detail,
    };
    let connection = open_still(&path).map_err(|error| bad(error.to_string()))?;
    facts(&connection, &path).map_err(bad)
}

/// Makes a book of a copy under a new name; the copy stays as it is. No tablet is paired with the
/// new book, whatever was paired when the copy was made: a tablet that was sent away since then
/// would come back.
///
/// # Errors
/// [`BookError::BadCopy`] when the copy is no sound book, [`BookError::NotCopied`] when there is
/// a file of the new name, or no room.
pub fn book_of_copy(copy: &Path, new: &Path) -> Result<CopyFacts, BookError> {
    let (copy, new) = (absolute(copy)?, absolute(new)?);
    let facts = look_at_copy(&copy)?;
    make(&new, |part| {
        fs::copy(&copy, part).map_err(|error| error.to_string())?;
        part_tablets(part).map_err(|error| error.to_string())
    })?;
    Ok(facts)
}

/// Takes what is known of paired tablets out of a file that nobody else has open.
fn part_tablets(part: &Path) -> Result<(), rusqlite::Error> {
    let connection = Connection::open_with_flags(part, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    // Without a journal beside it: a file that is begun goes when anything fails.
    connection.pragma_update_and_check(None, "journal_mode", "MEMORY", |_| Ok(()))?;
    connection.execute("DELETE FROM setting WHERE key = ?1", [TABLETS_SETTING])?;
    Ok(())
}

/// Moves a book aside under a new name, with the files beside it, so that a copy can take its place.
///
/// # Errors
/// [`BookError::Busy`] when a program has it open, [`BookError::NotCopied`] when the new name is
/// taken or cannot be had; the book is where it was then.
pub fn move_aside(book: &Path, new: &Path) -> Result<(), BookError> {
    let (book, new) = (absolute(book)?, absolute(new)?);
    let open_books = OpenBooks::hold();
    if open_books.has(&book) || is_held(&book) {
        let waited_s = crate::limits::BUSY_WAIT.as_secs();
        return Err(BookError::Busy {
            path: book,
            waited_s,
        });
    }
    for ending in ["", "-wal", "-shm"] {
        let (from, to) = (beside(&book, ending), beside(&new, ending));
        match fs::metadata(&from) {
            Ok(_) => give_name(&from, &to).map_err(|detail| not_copied(&new, detail))?,
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => return Err(not_copied(&new, error.to_string())),
        }
    }
    Ok(())
}

/// Whether another program has the book open. Leaving the log takes a lock that nobody else may
/// share; what is damaged beyond being opened is held by nobody that could use it, and is not
/// opened here either, because SQLite may throw its log away.
fn is_held(book: &Path) -> bool {
    if door::check(book).is_err() {
        return false;
    }
    let leave_log = || -> Result<(), rusqlite::Error> {
        let connection = Connection::open_with_flags(book, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        connection.busy_timeout(crate::limits::BUSY_WAIT)?;
        connection.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))
    };
    match leave_log() {
        Ok(()) => false,
        Err(error) => matches!(
            error.sqlite_error_code(),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked)
        ),
    }
}

/// Makes a file under its name with `.part`, checks it as a book, and gives it its name.
fn make(path: &Path, fill: impl FnOnce(&Path) -> Result<(), String>) -> Result<(), BookError> {
    let part = beside(path, ".part");
    let made = || -> Result<(), String> {
        if path.try_exists().map_err(|error| error.to_string())? {
            return Err("a file of that name is there, and it stays as it is".into());
        }
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|error| error.to_string())?;
        }
        clear(&part)?;
        fill(&part)?;
        let connection = open_still(&part).map_err(|error| error.to_string())?;
        facts(&connection, &part)?;
        drop(connection);
        let sync = File::open(&part).and_then(|file| file.sync_all());
        sync.map_err(|error| error.to_string())?;
        give_name(&part, path)
    };
    made().map_err(|detail| {
        // What was begun is of no use; when it cannot be taken away the next copy does that.
        let _left_behind = clear(&part);
        not_copied(path, detail)
    })
}

/// Takes away a file that was begun, with what SQLite may have put beside it: a log that was left
/// there would be read into the next one.
fn clear(part: &Path) -> Result<(), String> {
    let endings = ["", "-wal", "-shm", "-journal"];
    let mut files = endings.iter().map(|ending| beside(part, ending));
    files.try_for_each(|file| remove_if_there(&file))
}

fn remove_if_there(path: &Path) -> Result<(), String> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error.to_string()),
        _ => Ok(()),
    }
}

/// Renames a file, never over another one.
fn give_name(from: &Path, to: &Path) -> Result<(), String> {
    // A second name fails when it is taken, where a plain renaming would overwrite.
    match fs::hard_link(from, to) {
        Ok(()) => fs::remove_file(from).map_err(|error| error.to_string())?,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => return Err(error.to_string()),
        // Some disks know no second names.
        Err(_) if to.exists() => return Err("a file of that name is there".into()),
        Err(_) => fs::rename(from, to).map_err(|error| error.to_string())?,
    }
    sync_folder(to);
    Ok(())
}

/// Hands the new name to the disk; not every system can open a folder, and then it does so itself.
fn sync_folder(path: &Path) {
    if let Some(Ok(folder)) = path.parent().map(File::open) {
        let _not_everywhere = folder.sync_all();
    }
}

fn vacuum_into(connection: &Connection, path: &Path) -> Result<(), Fault> {
    let name = path
        .to_str()
        .ok_or_else(|| not_copied(path, "its name is not UTF-8, which SQLite asks for".into()))?;
    connection.execute("VACUUM INTO ?1", [name])?;
    Ok(())
}

/// Opens a file that nobody writes to, without locks and without files beside it.
fn open_still(path: &Path) -> Result<Connection, rusqlite::Error> {
    let mut address = String::from("file:");
    for byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => {
                address.push(char::from(*byte));
            }
            _ => address.push_str(&format!("%{byte:02X}")),
        }
    }
    address.push_str("?mode=ro&immutable=1");
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
    let connection = Connection::open_with_flags(address, flags)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    Ok(connection)
}

/// What a file holds, or why it is no sound book.
fn facts(connection: &Connection, path: &Path) -> Result<CopyFacts, String> {
    let words = |error: rusqlite::Error| error.to_string();
    let (application_id, format) = format::marks(connection).map_err(words)?;
    if application_id != format::APPLICATION_ID || format == 0 {
        return Err("it is no book".into());
    }
    if format > format::FORMAT_VERSION {
        return Err(format!(
            "it has format {format}, this version reads formats up to {}",
            format::FORMAT_VERSION
        ));
    }
    let verdict: String = connection
        .query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))
        .map_err(words)?;
    if verdict != "ok" {
        return Err(format!("SQLite finds it damaged: {verdict}"));
    }
    let loose = || -> Result<bool, rusqlite::Error> {
        connection.prepare("PRAGMA foreign_key_check")?.exists([])
    };
    if loose().map_err(words)? {
        return Err("what belongs together in it does not".into());
    }
    let count = |kind: &str| {
        let question = "SELECT count(*) FROM entry WHERE kind = ?1";
        connection
            .query_row(question, [kind], |row| row.get(0))
            .map_err(words)
    };
    Ok(CopyFacts {
        commissions: count("commission")?,
        kits: count("kit")?,
        format,
        state: state(connection).map_err(|fault| fault.at(path).to_string())?,
    })
}

fn state(connection: &Connection) -> Result<BookState, Fault> {
    let (_, format) = format::marks(connection)?;
    let state: String = connection.query_row(STATE, [TABLETS_SETTING], |row| row.get(0))?;
    Ok(BookState(format!("{format};{state}")))
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    name.into()
}

fn absolute(path: &Path) -> Result<PathBuf, BookError> {
    std::path::absolute(path).map_err(|error| not_copied(path, error.to_string()))
}

fn not_copied(path: &Path, detail: String) -> BookError {
    BookError::NotCopied {
        path: path.into(),
        detail,
    }
}
