//! The tables of the file, version by version, and the way from an older format to the newest.
//!
//! A format once released is never edited: a change of the tables is a further step at the end
//! of [`STEPS`], and a book of the format before it joins `tests/books/`.

use rusqlite::Connection;

use crate::error::{BookError, Fault};

/// The number in the header by which a book is known as ours: the letters `Cmbw`.
pub const APPLICATION_ID: u32 = 0x436d_6277;

/// The newest format this version reads and the one it writes; kept as SQLite's `user_version`.
pub const FORMAT_VERSION: u32 = 1;

/// Step `n` leads from format `n` to format `n + 1`.
const STEPS: [&str; FORMAT_VERSION as usize] = [FORMAT_1];

/// Revisions and entries are guarded by triggers, so that no program, ours included, can lose one.
/// The paired foreign keys keep a revision, its parent and the pointer within one entry.
/// The long text stands last in its row, so that a history is read without passing through it.
const FORMAT_1: &str = "
CREATE TABLE entry (
    id          INTEGER PRIMARY KEY AUTOINCREMENT,
    kind        TEXT NOT NULL CHECK (kind IN ('commission', 'kit')),
    current     INTEGER NOT NULL,
    kit         INTEGER REFERENCES entry (id),
    made_at     INTEGER NOT NULL,
    changed_at  INTEGER NOT NULL,
    put_away_at INTEGER,
    FOREIGN KEY (id, current) REFERENCES revision (entry, id) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE TABLE revision (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    entry  INTEGER NOT NULL REFERENCES entry (id),
    parent INTEGER CHECK (parent < id),
    title  TEXT NOT NULL,
    what   TEXT NOT NULL,
    at     INTEGER NOT NULL,
    text   TEXT NOT NULL,
    UNIQUE (entry, id),
    FOREIGN KEY (entry, parent) REFERENCES revision (entry, id)
) STRICT;
CREATE INDEX revision_by_parent ON revision (entry, parent);
CREATE TRIGGER revision_never_changes BEFORE UPDATE ON revision
    BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;
CREATE TRIGGER revision_never_goes BEFORE DELETE ON revision
    BEGIN SELECT RAISE(ABORT, 'a revision is never deleted'); END;
CREATE TRIGGER entry_never_goes BEFORE DELETE ON entry
    BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;
CREATE TABLE stage_log (
    id               INTEGER PRIMARY KEY AUTOINCREMENT,
    commission       INTEGER NOT NULL REFERENCES entry (id),
    stage            TEXT NOT NULL,
    tool             TEXT NOT NULL,
    grade            TEXT NOT NULL,
    wood             TEXT NOT NULL,
    volume_mm3       REAL NOT NULL CHECK (volume_mm3 >= 0),
    minutes          REAL NOT NULL CHECK (minutes >= 0),
    force_n          REAL CHECK (force_n >= 0),
    note             TEXT NOT NULL,
    at               INTEGER NOT NULL,
    set_aside_reason TEXT,
    set_aside_at     INTEGER,
    CHECK ((set_aside_reason IS NULL) = (set_aside_at IS NULL))
) STRICT;
CREATE INDEX stage_log_by_commission ON stage_log (commission);
CREATE TABLE setting (
    key        TEXT PRIMARY KEY,
    value      TEXT NOT NULL,
    changed_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
";

/// The application id and the format that stand in the book, as SQLite sees them.
pub(crate) fn marks(connection: &Connection) -> rusqlite::Result<(u32, u32)> {
    // SQLite reads both as signed 32-bit numbers; the bits are what is meant.
    let bits = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i32>(0));
    Ok((
        bits("application_id")?.cast_unsigned(),
        bits("user_version")?.cast_unsigned(),
    ))
}

/// Brings the book to the newest format inside the caller's transaction.
///
/// The format is read in here because another program may have brought it there in between.
pub(crate) fn bring_up_to_date(connection: &Connection) -> Result<(), Fault> {
    let (_, found) = marks(connection)?;
    if found == FORMAT_VERSION {
        return Ok(());
    }
    let steps = STEPS.get(found as usize..).unwrap_or_default();
    for step in steps {
        connection.execute_batch(step)?;
    }
    connection.pragma_update(None, "application_id", APPLICATION_ID)?;
    connection.pragma_update(None, "user_version", FORMAT_VERSION)?;
    Ok(())
}

/// Refuses what is not ours, through SQLite's own eyes.
///
/// The header has been looked at before; this second look also sees what lies in the log beside
/// the file, where the marks of a book left by a crash may be newer than its header.
pub(crate) fn check_marks(connection: &Connection, path: &std::path::Path) -> Result<(), Fault> {
    let (application_id, found) = marks(connection)?;
    let tables: i64 =
        connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    let path = path.to_path_buf();
    let blank = application_id == 0 && found == 0 && tables == 0;
    if blank {
        Ok(())
    } else if application_id != APPLICATION_ID {
        Err(BookError::Foreign {
            path,
            application_id,
        }
        .into())
    } else if found > FORMAT_VERSION {
        Err(BookError::NewerFormat {
            path,
            found,
            known: FORMAT_VERSION,
        }
        .into())
    } else if found == 0 {
        Err(BookError::Damaged {
            path,
            detail: "its format number is missing".into(),
        }
        .into())
    } else {
        Ok(())
    }
}
