//! A book of every format there ever was is opened and read; `tests/books/` keeps them.
//!
//! The expected values stand here in full: they are what `examples/write_book.rs` wrote.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::fs;
use std::path::{Path, PathBuf};

use book::{Book, Change, EntryId, Kind, RevisionId};
use common::{Scratch, assert_sound};

/// A copy, because opening a book of an old format brings it to the newest.
fn copy_of_format(version: u32, scratch: &Scratch) -> PathBuf {
    let kept =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/books/format-{version}.book"));
    let path = scratch.path("shop.book");
    fs::copy(kept, &path).unwrap();
    path
}

#[test]
fn there_is_a_book_of_every_format() {
    let scratch = Scratch::new("formats");
    for version in 1..=book::FORMAT_VERSION {
        let path = copy_of_format(version, &scratch);
        assert_eq!(fs::read(&path).unwrap()[60..64], version.to_be_bytes());
        Book::open(&path).unwrap();
        assert_eq!(
            fs::read(&path).unwrap()[60..64],
            book::FORMAT_VERSION.to_be_bytes()
        );
        assert_sound(&path);
    }
}

#[test]
fn the_book_of_format_1_reads_as_it_was_written() {
    let scratch = Scratch::new("format-1");
    let book = Book::open(&copy_of_format(1, &scratch)).unwrap();
    let (kit, heron, sandpiper) = (EntryId(1), EntryId(2), EntryId(3));

    let commissions = book.entries(Kind::Commission).unwrap();
    let listed: Vec<_> = commissions
        .iter()
        .map(|it| {
            (
                it.id,
                it.title.as_str(),
                it.changed_at,
                it.made_at,
                it.put_away,
            )
        })
        .collect();
    let expected = [
        (sandpiper, "Sandpiper", 1_900, 1_800, true),
        (heron, "Heron", 1_700, 1_100, false),
    ];
    assert_eq!(listed, expected);
    assert_eq!(book.entries(Kind::Kit).unwrap()[0].id, kit);
    assert_eq!(book.entry(kit).unwrap().text, "camberwright_kit = 1\n");

    let entry = book.entry(heron).unwrap();
    assert_eq!(entry.text, "length = \"630 mm\"\n");
    assert_eq!(
        (entry.revision, entry.previous),
        (RevisionId(4), Some(RevisionId(2)))
    );
    assert_eq!(entry.undo_what.as_deref(), Some("shorter scale"));
    assert_eq!(entry.redo_what.as_deref(), Some("shorter still"));
    assert_eq!(entry.kit, Some(kit));
    assert_eq!(
        book.revision_text(RevisionId(3)).unwrap(),
        "length = \"640 mm\"\n"
    );
    let history = book.history(heron).unwrap();
    let moments: Vec<_> = history
        .iter()
        .map(|it| (it.revision.0, it.at, it.current, it.reachable_by_undo))
        .collect();
    let expected = [
        (5, 1_500, false, false),
        (4, 1_400, true, false),
        (3, 1_200, false, false),
        (2, 1_100, false, true),
    ];
    assert_eq!(moments, expected);

    let logs = book.stage_logs(heron).unwrap();
    assert_eq!(logs.len(), 1);
    assert_eq!(
        (logs[0].id, logs[0].at, logs[0].force_n),
        (Some(1), 2_000, Some(22.5))
    );
    assert_eq!((logs[0].volume_mm3, logs[0].minutes), (812.5, 7.5));
    let aside = book.set_aside_logs(heron).unwrap();
    assert_eq!(
        (aside[0].reason.as_str(), aside[0].at),
        ("logged twice", 2_200)
    );
    assert_eq!(book.setting("display unit").unwrap().as_deref(), Some("mm"));
}

#[test]
fn an_old_book_can_be_written_on() {
    let scratch = Scratch::new("format-1-write");
    let path = copy_of_format(1, &scratch);
    let (id, based_on) = (EntryId(2), RevisionId(4));
    let change = Change {
        id,
        based_on,
        title: "Heron",
        text: "new",
        what: "new",
        at: 3_000,
    };
    let revision = Book::open(&path).unwrap().change(&change).unwrap();
    assert!(revision > RevisionId(6), "numbers are never given twice");
    assert_eq!(Book::open(&path).unwrap().entry(id).unwrap().text, "new");
}

/// The promise that nothing is lost stands in the file itself, whoever writes to it.
#[test]
fn no_program_can_change_or_delete_what_was_stored() {
    let scratch = Scratch::new("guarded");
    let path = copy_of_format(1, &scratch);
    let connection = common::raw(&path);
    for deed in [
        "UPDATE revision SET text = ''",
        "DELETE FROM revision",
        "DELETE FROM entry",
    ] {
        let error = connection.execute(deed, []).unwrap_err();
        assert!(error.to_string().contains("is never"), "{deed}: {error}");
    }
    connection
        .pragma_update(None, "foreign_keys", true)
        .unwrap();
    // A revision of another entry cannot become the current one.
    assert!(
        connection
            .execute("UPDATE entry SET current = 1 WHERE id = 2", [])
            .is_err()
    );
}

/// A released format is never edited: the tables made today are those of the book kept then.
#[test]
fn a_new_book_has_the_tables_of_the_kept_one() {
    let tables = |path: &Path| -> Vec<(String, String)> {
        let connection = common::raw(path);
        let question = "SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name";
        let mut statement = connection.prepare(question).unwrap();
        let rows = statement
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .unwrap();
        rows.collect::<Result<_, _>>().unwrap()
    };
    let scratch = Scratch::new("tables");
    let new = scratch.path("new.book");
    drop(Book::open(&new).unwrap());
    let kept = tables(&copy_of_format(book::FORMAT_VERSION, &scratch));
    assert_eq!(tables(&new), kept);
    assert!(kept.len() > 5);
}
