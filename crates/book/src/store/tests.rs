//! What only the inside of the handle can bring about: a full disk and a thread that panicked.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use rusqlite::{Connection, StatementStatus};

use crate::format::{FORMAT_VERSION, marks};
use crate::{Book, BookError, Change, EntryId, Kind, NewReadings, RevisionId};

fn change(book: &Book, id: EntryId, text: &str) -> Result<RevisionId, BookError> {
    let based_on = book.entry(id)?.revision;
    book.change(&Change {
        id,
        based_on,
        title: "Heron",
        text,
        what: "edit",
        at: 1,
    })
}

fn set_most_pages(book: &Book, most: i64) {
    book.lock()
        .pragma_update_and_check(None, "max_page_count", most, |row| row.get::<_, i64>(0))
        .unwrap();
}

fn fill_up(book: &Book) {
    let id = book
        .create(Kind::Commission, "Heron", "", "first", 0)
        .unwrap();
    let pages: i64 = book
        .lock()
        .pragma_query_value(None, "page_count", |row| row.get(0))
        .unwrap();
    set_most_pages(book, pages + 20);
    let text = "0123456789".repeat(300);
    let mut acknowledged = 0;
    let error = loop {
        match change(book, id, &format!("{acknowledged} {text}")) {
            Ok(_) => acknowledged += 1,
            Err(error) => break error,
        }
    };
    assert!(matches!(error, BookError::Full { .. }), "{error:?}");
    assert!(error.to_string().contains("the disk is full"));
    assert!(acknowledged > 5, "{acknowledged}");
    assert_eq!(book.history(id).unwrap().len(), acknowledged + 1);
    assert!(
        book.entry(id)
            .unwrap()
            .text
            .starts_with(&format!("{} ", acknowledged - 1))
    );
    assert!(
        book.lock().is_autocommit(),
        "the failed change is rolled back"
    );
    // With room again, work goes on where it stood.
    set_most_pages(book, 1_000_000);
    change(book, id, "more").unwrap();
    assert_eq!(book.history(id).unwrap().len(), acknowledged + 2);
}

#[test]
fn a_full_disk_is_a_clear_error_and_loses_nothing() {
    fill_up(&Book::open_in_memory().unwrap());
    let folder = std::env::temp_dir().join(format!("book-full-{}", std::process::id()));
    let path = folder.join("shop.book");
    fill_up(&Book::open(&path).unwrap());
    let book = Book::open(&path).unwrap();
    let id = book.entries(Kind::Commission).unwrap()[0].id;
    assert_eq!(book.entry(id).unwrap().text, "more");
    drop(book);
    fs::remove_dir_all(folder).unwrap();
}

fn count_in_schema(connection: &Connection) -> i64 {
    connection
        .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
        .unwrap()
}

/// However far the way to the new format comes before the disk is full, the book stays an old one.
#[test]
fn a_book_that_finds_no_room_to_be_brought_up_stays_as_it_was() {
    let folder = std::env::temp_dir().join(format!("book-no-room-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let path = folder.join("shop.book");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/books/format-1.book");
    fs::copy(kept, &path).unwrap();
    let before = count_in_schema(&Connection::open(&path).unwrap());
    let mut refused = 0;
    for more_pages in 0.. {
        let mut connection = Connection::open(&path).unwrap();
        super::set_up(&connection).unwrap();
        let pages: i64 = connection
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        let most = pages + more_pages;
        connection
            .pragma_update_and_check(None, "max_page_count", most, |row| row.get::<_, i64>(0))
            .unwrap();
        let Err(fault) = super::migrate(&mut connection, &path) else {
            break;
        };
        assert_eq!(fault.at(&path), BookError::Full { path: path.clone() });
        assert_eq!(marks(&connection).unwrap().1, 1);
        assert_eq!(count_in_schema(&connection), before);
        refused += 1;
    }
    assert!(refused > 5, "{refused}");
    let book = Book::open(&path).unwrap();
    assert_eq!(marks(&book.lock()).unwrap().1, FORMAT_VERSION);
    assert_eq!(book.history(EntryId(2)).unwrap().len(), 4);
    drop(book);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn readings_that_find_no_room_are_a_clear_error_and_leave_nothing_behind() {
    let book = Book::open_in_memory().unwrap();
    let id = book
        .create(Kind::Commission, "Heron", "", "first", 0)
        .unwrap();
    let visit = book.add_visit(id, "1", "", "", 1).unwrap();
    let batch = NewReadings {
        visit,
        text: &"0.125\n".repeat(100_000),
        source: "heights.csv",
        sent_key: Some("probe 1"),
        at: 2,
    };
    set_most_pages(&book, 60);
    let error = book.add_readings(&batch).unwrap_err();
    assert!(matches!(error, BookError::Full { .. }), "{error:?}");
    assert_eq!(book.readings(visit).unwrap(), []);
    assert_eq!(book.entries(Kind::Commission).unwrap()[0].changed_at, 1);
    // The key was not used up by what was not stored.
    set_most_pages(&book, 1_000_000);
    book.add_readings(&batch).unwrap();
    assert_eq!(book.readings(visit).unwrap()[0].text, batch.text);
}

#[test]
fn a_book_held_by_another_program_is_a_clear_error_and_nothing_is_written() {
    let folder = std::env::temp_dir().join(format!("book-busy-{}", std::process::id()));
    let path = folder.join("shop.book");
    let book = Book::open(&path).unwrap();
    let id = book
        .create(Kind::Commission, "Heron", "", "first", 0)
        .unwrap();
    let other = Book::open(&path).unwrap();
    other.lock().execute_batch("BEGIN IMMEDIATE").unwrap();
    // The wait itself is SQLite's; the test need not sit through it.
    book.lock().busy_timeout(std::time::Duration::ZERO).unwrap();
    assert_eq!(
        change(&book, id, "mine"),
        Err(BookError::Busy { path, waited_s: 5 })
    );
    assert_eq!(
        book.history(id).unwrap().len(),
        1,
        "reading goes on meanwhile"
    );
    other.lock().execute_batch("ROLLBACK").unwrap();
    change(&book, id, "mine").unwrap();
    drop((book, other));
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_thread_that_panicked_with_the_book_in_hand_does_no_harm() {
    let book = Book::open_in_memory().unwrap();
    let id = book
        .create(Kind::Commission, "Heron", "before", "first", 0)
        .unwrap();
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        book.write(|transaction| -> Result<(), crate::error::Fault> {
            transaction
                .execute("UPDATE entry SET put_away_at = 1", [])
                .unwrap();
            panic!("in the middle of a change");
        })
    }));
    assert!(outcome.is_err());
    assert!(book.connection.is_poisoned());
    assert!(
        !book.entries(Kind::Commission).unwrap()[0].put_away,
        "rolled back"
    );
    change(&book, id, "after").unwrap();
    assert_eq!(book.entry(id).unwrap().text, "after");
}

#[test]
fn every_connection_is_set_up_for_safety() {
    let folder = std::env::temp_dir().join(format!("book-set-up-{}", std::process::id()));
    let book = Book::open(&folder.join("shop.book")).unwrap();
    let ask = |name| -> i64 {
        book.lock()
            .pragma_query_value(None, name, |row| row.get(0))
            .unwrap()
    };
    // <https://www.sqlite.org/pragma.html#pragma_synchronous>: 2 is FULL.
    assert_eq!(
        (
            ask("synchronous"),
            ask("foreign_keys"),
            ask("trusted_schema")
        ),
        (2, 1, 0)
    );
    let mode: String = book
        .lock()
        .pragma_query_value(None, "journal_mode", |row| row.get(0))
        .unwrap();
    assert_eq!(mode, "wal");
    assert_eq!(ask("busy_timeout"), 5_000);
    drop(book);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_statement_that_is_kept_is_prepared_once_for_all_values() {
    let book = Book::open_in_memory().unwrap();
    for title in ["Heron", "Sandpiper", "Avocet"] {
        book.create(Kind::Commission, title, "a", "first", 1)
            .unwrap();
    }
    let questions = [
        "SELECT id FROM revision WHERE entry = ?1 AND parent IS NULL ORDER BY id",
        "SELECT r.title FROM entry e JOIN revision r ON r.id = e.current WHERE e.id = ?1",
        "SELECT id FROM stage_log WHERE commission = ?1 AND set_aside_at IS NULL ORDER BY id",
    ];
    let connection = book.lock();
    for question in questions {
        let mut statement = connection.prepare_cached(question).unwrap();
        for id in 1..=3 {
            statement.exists([id]).unwrap();
        }
        let again = statement.get_status(StatementStatus::RePrepare);
        assert_eq!(again, 0, "{question}");
    }
}
