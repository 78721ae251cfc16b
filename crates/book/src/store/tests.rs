//! What only the inside of the handle can bring about: a full disk and a thread that panicked.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::{Book, BookError, Change, EntryId, Kind, RevisionId};

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
