//! What the tests of the book share: a folder of their own, a small source of chance, and
//! SQLite's own judgement of a file.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]
#![allow(dead_code, reason = "each test file uses its own part of this one")]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use book::{Book, EntryId, Kind, StageRecord, VisitId};
use rusqlite::{Connection, OpenFlags};

/// A folder that is removed at the end of the test.
pub struct Scratch(PathBuf);

impl Scratch {
    pub fn new(name: &str) -> Scratch {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let unique = format!("book-{name}-{}-{count}", std::process::id());
        let folder = std::env::temp_dir().join(unique);
        fs::create_dir_all(&folder).unwrap();
        Scratch(folder)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A linear congruential generator (Knuth's MMIX constants, from memory): the same chances on
/// every run.
pub struct Chance(pub u64);

impl Chance {
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % limit
    }
}

/// A look at the file that goes past our own code.
pub fn raw(path: &Path) -> Connection {
    Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE).unwrap()
}

/// SQLite's own checks find nothing wrong with the file.
pub fn assert_sound(path: &Path) {
    let connection = raw(path);
    let verdict: String = connection
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .unwrap();
    assert_eq!(verdict, "ok");
    let mut statement = connection.prepare("PRAGMA foreign_key_check").unwrap();
    assert!(statement.query([]).unwrap().next().unwrap().is_none());
}

pub fn heron(book: &Book) -> EntryId {
    book.create(Kind::Commission, "Heron", "length = 635", "first wish", 100)
        .unwrap()
}

pub fn north_bench(book: &Book) -> EntryId {
    book.create(
        Kind::Kit,
        "North bench",
        "camberwright_kit = 1",
        "first tools",
        100,
    )
    .unwrap()
}

/// A further visit, named by how many there are already.
pub fn visit(book: &Book, commission: EntryId) -> VisitId {
    let name = book.visits(commission).unwrap().len().to_string();
    book.add_visit(commission, &name, "", "", 200).unwrap()
}

/// A copy of the book that `tests/books/` keeps of a format, because opening one of an old format
/// brings it to the newest.
pub fn copy_of_format(version: u32, path: &Path) {
    let kept =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/books/format-{version}.book"));
    fs::copy(kept, path).unwrap();
}

pub fn stage(commission: EntryId, at: i64) -> StageRecord {
    StageRecord {
        id: None,
        commission,
        stage: "block-406-p120".into(),
        tool: "block 406 mm".into(),
        grade: "P120".into(),
        wood: "East Indian rosewood".into(),
        volume_mm3: 812.5,
        minutes: 7.5,
        force_n: None,
        note: "chalk stayed at the crown near fret 9".into(),
        at,
        sent_key: None,
    }
}
