//! Several writers on one book: they wait for each other, and no acknowledged change is lost.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::path::Path;
use std::sync::Barrier;
use std::thread;

use book::{Book, BookError, Change, EntryId, Kind, RevisionId};
use common::{Scratch, assert_sound, heron};

const EDITS: usize = 60;

/// Makes its edits, each on top of whatever stands there, and returns those acknowledged.
fn write(book: &Book, id: EntryId, name: &str) -> Vec<(RevisionId, String)> {
    let mut acknowledged = Vec::new();
    let mut based_on = book.entry(id).unwrap().revision;
    while acknowledged.len() < EDITS {
        let text = format!("{name} {}", acknowledged.len());
        match book.change(&Change {
            id,
            based_on,
            title: "Heron",
            text: &text,
            what: &text,
            at: 1,
        }) {
            Ok(revision) => {
                based_on = revision;
                acknowledged.push((revision, text));
            }
            Err(BookError::Stale { current }) => based_on = current,
            Err(error) => panic!("{error}"),
        }
    }
    acknowledged
}

/// Every acknowledged change is there, and they stand in one line, none over another.
fn assert_all_kept(book: &Book, id: EntryId, acknowledged: &[(RevisionId, String)]) {
    for (revision, text) in acknowledged {
        assert_eq!(&book.revision_text(*revision).unwrap(), text);
    }
    let history = book.history(id).unwrap();
    assert_eq!(history.len(), acknowledged.len() + 1);
    assert!(
        history
            .iter()
            .all(|moment| moment.current != moment.reachable_by_undo)
    );
}

#[test]
fn two_threads_on_one_handle_lose_nothing() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let acknowledged = thread::scope(|scope| {
        let other = scope.spawn(|| write(&book, id, "left"));
        let mut all = write(&book, id, "right");
        all.extend(other.join().unwrap());
        all
    });
    assert_all_kept(&book, id, &acknowledged);
}

#[test]
fn two_handles_on_one_file_lose_nothing() {
    let scratch = Scratch::new("two-handles");
    let path = scratch.path("shop.book");
    let id = heron(&Book::open(&path).unwrap());
    let start = Barrier::new(2);
    let work = |name| {
        let book = Book::open(&path).unwrap();
        start.wait();
        write(&book, id, name)
    };
    let acknowledged = thread::scope(|scope| {
        let other = scope.spawn(|| work("left"));
        let mut all = work("right");
        all.extend(other.join().unwrap());
        all
    });
    assert_all_kept(&Book::open(&path).unwrap(), id, &acknowledged);
    assert_sound(&path);
}

fn open_and_make(path: &Path, start: &Barrier) -> EntryId {
    start.wait();
    let book = Book::open(path).unwrap();
    heron(&book)
}

#[test]
fn a_new_book_opened_by_four_at_once_is_made_once() {
    let scratch = Scratch::new("race");
    for round in 0..10 {
        let path = scratch.path(&format!("{round}.book"));
        let start = Barrier::new(4);
        let mut made: Vec<EntryId> = thread::scope(|scope| {
            let work: Vec<_> = (0..4)
                .map(|_| scope.spawn(|| open_and_make(&path, &start)))
                .collect();
            work.into_iter()
                .map(|thread| thread.join().unwrap())
                .collect()
        });
        made.sort();
        made.dedup();
        assert_eq!(made.len(), 4);
        assert_eq!(
            Book::open(&path)
                .unwrap()
                .entries(Kind::Commission)
                .unwrap()
                .len(),
            4
        );
        assert_sound(&path);
    }
}
