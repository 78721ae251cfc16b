//! The tables of the file, version by version, and the way from an older format to the newest.
//!
//! A format once released is never edited: a change of the tables is a further step at the end
//! of [`STEPS`], and a book of the format before it joins `tests/books/`.

use rusqlite::Connection;

use crate::error::{BookError, Fault};

/// The number in the header by which a book is known as ours: the letters `Cmbw`.
pub const APPLICATION_ID: u32 = 0x436d_6277;

/// The newest format this version reads and the one it writes; kept as SQLite's `user_version`.
pub const FORMAT_VERSION: u32 = 3;

/// Step `n` leads from format `n` to format `n + 1`.
const STEPS: [&str; FORMAT_VERSION as usize] = [FORMAT_1, FORMAT_2, FORMAT_3];

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

/// Readings: visits to the bench, what was read there, and what was set aside of it.
///
/// All of it is only ever added to, and triggers guard it.
/// `INSERT OR REPLACE` takes a row away without asking a trigger on deleting, so that a number or
/// a key already there is refused on the way in, for the tables of format 1 as well.
/// SQLite hands such a trigger -1 for a number it has yet to give, hence `NEW.id > 0`.
const FORMAT_2: &str = "
CREATE TABLE visit (
    id         INTEGER PRIMARY KEY AUTOINCREMENT,
    commission INTEGER NOT NULL REFERENCES entry (id),
    made_at    INTEGER NOT NULL
) STRICT;
CREATE INDEX visit_by_commission ON visit (commission);
CREATE TABLE visit_detail (
    id    INTEGER PRIMARY KEY AUTOINCREMENT,
    visit INTEGER NOT NULL REFERENCES visit (id),
    name  TEXT NOT NULL,
    date  TEXT NOT NULL,
    stage TEXT NOT NULL,
    at    INTEGER NOT NULL
) STRICT;
CREATE INDEX visit_detail_by_visit ON visit_detail (visit);
CREATE TABLE readings_batch (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    visit    INTEGER NOT NULL REFERENCES visit (id),
    source   TEXT NOT NULL,
    sent_key TEXT UNIQUE,
    at       INTEGER NOT NULL,
    text     TEXT NOT NULL
) STRICT;
CREATE INDEX readings_batch_by_visit ON readings_batch (visit);
CREATE TABLE readings_set_aside (
    id         INTEGER PRIMARY KEY AUTOINCREMENT,
    batch      INTEGER NOT NULL REFERENCES readings_batch (id),
    line       INTEGER CHECK (line >= 1),
    reason     TEXT CHECK (reason <> ''),
    at         INTEGER NOT NULL,
    taken_back INTEGER NOT NULL CHECK (taken_back IN (0, 1)),
    CHECK ((reason IS NULL) = taken_back)
) STRICT;
CREATE INDEX readings_set_aside_by_line ON readings_set_aside (batch, line);
CREATE TRIGGER visit_never_changes BEFORE UPDATE ON visit
    BEGIN SELECT RAISE(ABORT, 'a visit is never changed, its details are added to'); END;
CREATE TRIGGER visit_never_goes BEFORE DELETE ON visit
    BEGIN SELECT RAISE(ABORT, 'a visit is never deleted'); END;
CREATE TRIGGER visit_never_replaced BEFORE INSERT ON visit
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM visit WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'a visit is never replaced'); END;
CREATE TRIGGER visit_detail_never_changes BEFORE UPDATE ON visit_detail
    BEGIN SELECT RAISE(ABORT, 'a detail of a visit is never changed'); END;
CREATE TRIGGER visit_detail_never_goes BEFORE DELETE ON visit_detail
    BEGIN SELECT RAISE(ABORT, 'a detail of a visit is never deleted'); END;
CREATE TRIGGER visit_detail_never_replaced BEFORE INSERT ON visit_detail
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM visit_detail WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'a detail of a visit is never replaced'); END;
CREATE TRIGGER readings_batch_never_changes BEFORE UPDATE ON readings_batch
    BEGIN SELECT RAISE(ABORT, 'a batch of readings is never changed'); END;
CREATE TRIGGER readings_batch_never_goes BEFORE DELETE ON readings_batch
    BEGIN SELECT RAISE(ABORT, 'a batch of readings is never deleted'); END;
CREATE TRIGGER readings_batch_never_replaced BEFORE INSERT ON readings_batch
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM readings_batch WHERE id = NEW.id)
      OR EXISTS (SELECT 1 FROM readings_batch WHERE sent_key = NEW.sent_key)
    BEGIN SELECT RAISE(ABORT, 'a batch of readings is never replaced'); END;
CREATE TRIGGER readings_set_aside_never_changes BEFORE UPDATE ON readings_set_aside
    BEGIN SELECT RAISE(ABORT, 'what was set aside is never changed, only added to'); END;
CREATE TRIGGER readings_set_aside_never_goes BEFORE DELETE ON readings_set_aside
    BEGIN SELECT RAISE(ABORT, 'what was set aside is never deleted'); END;
CREATE TRIGGER readings_set_aside_never_replaced BEFORE INSERT ON readings_set_aside
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM readings_set_aside WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'what was set aside is never replaced'); END;
CREATE TRIGGER revision_never_replaced BEFORE INSERT ON revision
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM revision WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'a revision is never replaced'); END;
CREATE TRIGGER entry_never_replaced BEFORE INSERT ON entry
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM entry WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'an entry is never replaced'); END;
";

/// Tags, and a sender's key for stages done, so that one sent again is stored once.
///
/// A tag is put on and taken off by events that are only ever added to, as readings are set aside.
/// A stage done was not guarded before: now only setting it aside, once, may touch its row.
const FORMAT_3: &str = "
CREATE TABLE tag (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    entry     INTEGER NOT NULL REFERENCES entry (id),
    tag       TEXT NOT NULL CHECK (tag <> ''),
    at        INTEGER NOT NULL,
    taken_off INTEGER NOT NULL CHECK (taken_off IN (0, 1))
) STRICT;
CREATE INDEX tag_by_entry ON tag (entry, tag);
CREATE TRIGGER tag_never_changes BEFORE UPDATE ON tag
    BEGIN SELECT RAISE(ABORT, 'a tag put on is never changed, only taken off'); END;
CREATE TRIGGER tag_never_goes BEFORE DELETE ON tag
    BEGIN SELECT RAISE(ABORT, 'a tag put on is never deleted, only taken off'); END;
CREATE TRIGGER tag_never_replaced BEFORE INSERT ON tag
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM tag WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'a tag put on is never replaced'); END;
ALTER TABLE stage_log ADD COLUMN sent_key TEXT;
CREATE UNIQUE INDEX stage_log_by_sent_key ON stage_log (sent_key);
CREATE TRIGGER stage_log_never_changes BEFORE UPDATE ON stage_log
    WHEN OLD.set_aside_at IS NOT NULL
      OR (OLD.id, OLD.commission, OLD.stage, OLD.tool, OLD.grade, OLD.wood, OLD.volume_mm3,
          OLD.minutes, OLD.force_n, OLD.note, OLD.at, OLD.sent_key)
      IS NOT
         (NEW.id, NEW.commission, NEW.stage, NEW.tool, NEW.grade, NEW.wood, NEW.volume_mm3,
          NEW.minutes, NEW.force_n, NEW.note, NEW.at, NEW.sent_key)
    BEGIN SELECT RAISE(ABORT, 'a stage done is never changed, only set aside once'); END;
CREATE TRIGGER stage_log_never_goes BEFORE DELETE ON stage_log
    BEGIN SELECT RAISE(ABORT, 'a stage done is never deleted, only set aside'); END;
CREATE TRIGGER stage_log_never_replaced BEFORE INSERT ON stage_log
    WHEN NEW.id > 0 AND EXISTS (SELECT 1 FROM stage_log WHERE id = NEW.id)
      OR EXISTS (SELECT 1 FROM stage_log WHERE sent_key = NEW.sent_key)
    BEGIN SELECT RAISE(ABORT, 'a stage done is never replaced'); END;
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
