//! Several writers on one book: they wait for each other, and no acknowledged change is lost.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Barrier;
use std::thread;

use book::{BatchId, Book, BookError, Change, EntryId, Kind, NewReadings, RevisionId, VisitId};
use common::{Scratch, assert_sound, copy_of_format, heron, visit};

const EDITS: usize = 60;
const PATH: &str = "BOOK_TEST_TOGETHER_PATH";
#[cfg(unix)]
const SELFISH_PATH: &str = "BOOK_TEST_SELFISH_PATH";

/// Run in processes of their own by the tests below: opens the book when told to, and writes.
#[test]
fn other_program() {
    let Some(path) = std::env::var_os(PATH) else {
        return;
    };
    std::io::stdin().read_exact(&mut [0]).unwrap();
    heron(&Book::open(Path::new(&path)).unwrap());
}

fn start_program(path: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "other_program", "--nocapture"])
        .env(PATH, path)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn tell(program: &mut Child) {
    program.stdin.as_mut().unwrap().write_all(b"!").unwrap();
}

fn assert_well(program: Child) {
    let output = program.wait_with_output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

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

/// Stores readings under keys of its own and, in between, under keys the other one uses too.
fn read(book: &Book, visit: VisitId, name: &str) -> Vec<(BatchId, String)> {
    let mut acknowledged = Vec::new();
    for number in 0..EDITS {
        let own = format!("{name} {number}");
        let shared = format!("both {number}");
        for text in [own, shared] {
            let batch = NewReadings {
                visit,
                text: &text,
                source: "keypad",
                sent_key: Some(&text),
                at: 1,
            };
            acknowledged.push((book.add_readings(&batch).unwrap(), text));
        }
        let (batch, _) = acknowledged[2 * number];
        book.set_aside_readings(batch, Some(1), name, 2).unwrap();
    }
    acknowledged
}

#[test]
fn readings_from_two_handles_are_all_kept_and_none_is_entered_twice() {
    let scratch = Scratch::new("readings");
    let path = scratch.path("shop.book");
    let (id, visit) = {
        let book = Book::open(&path).unwrap();
        let id = heron(&book);
        (id, visit(&book, id))
    };
    let start = Barrier::new(2);
    let work = |name| {
        let book = Book::open(&path).unwrap();
        start.wait();
        read(&book, visit, name)
    };
    let (left, right) = thread::scope(|scope| {
        let other = scope.spawn(|| work("left"));
        let right = work("right");
        (other.join().unwrap(), right)
    });
    let book = Book::open(&path).unwrap();
    let kept = book.readings(visit).unwrap();
    assert_eq!(kept.len(), 3 * EDITS);
    assert_eq!(book.visits(id).unwrap()[0].batches as usize, 3 * EDITS);
    for (batch, text) in left.iter().chain(&right) {
        let found = kept.iter().find(|kept| kept.id == *batch).unwrap();
        assert_eq!(&found.text, text);
        assert_eq!(found.set_aside.len(), usize::from(!text.contains("both")));
    }
    let shared = |all: &[(BatchId, String)]| -> Vec<BatchId> {
        all.iter()
            .skip(1)
            .step_by(2)
            .map(|(batch, _)| *batch)
            .collect()
    };
    assert_eq!(shared(&left), shared(&right));
    drop(book);
    assert_sound(&path);
}

#[test]
fn two_handles_cannot_give_one_name_to_two_visits() {
    let scratch = Scratch::new("names");
    let path = scratch.path("shop.book");
    let id = heron(&Book::open(&path).unwrap());
    let start = Barrier::new(2);
    let work = || -> usize {
        let book = Book::open(&path).unwrap();
        start.wait();
        (0..EDITS)
            .filter(
                |number| match book.add_visit(id, &number.to_string(), "", "", 1) {
                    Ok(_) => true,
                    Err(BookError::VisitNameTaken { .. }) => false,
                    Err(error) => panic!("{error}"),
                },
            )
            .count()
    };
    let made = thread::scope(|scope| {
        let other = scope.spawn(work);
        work() + other.join().unwrap()
    });
    assert_eq!(made, EDITS);
    let visits = Book::open(&path).unwrap().visits(id).unwrap();
    let mut names: Vec<_> = visits.iter().map(|visit| visit.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), EDITS);
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

#[test]
fn a_new_book_opened_by_four_programs_at_once_is_made_once() {
    let scratch = Scratch::new("programs");
    for round in 0..12 {
        let path = scratch.path(&format!("{round}.book"));
        let mut programs: Vec<Child> = (0..4).map(|_| start_program(&path)).collect();
        // Time to come to the point where each waits to be told.
        thread::sleep(std::time::Duration::from_millis(15));
        programs.iter_mut().for_each(tell);
        programs.into_iter().for_each(assert_well);
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

#[test]
fn an_old_book_opened_by_four_programs_at_once_is_brought_up_once() {
    let scratch = Scratch::new("old-programs");
    for round in 0..12 {
        let path = scratch.path(&format!("{round}.book"));
        copy_of_format(1, &path);
        let mut programs: Vec<Child> = (0..4).map(|_| start_program(&path)).collect();
        // Time to come to the point where each waits to be told.
        thread::sleep(std::time::Duration::from_millis(15));
        programs.iter_mut().for_each(tell);
        programs.into_iter().for_each(assert_well);
        let book = Book::open(&path).unwrap();
        // Two stood in the book before.
        assert_eq!(book.entries(Kind::Commission).unwrap().len(), 2 + 4);
        drop(book);
        assert_sound(&path);
    }
}

/// Run in a process of its own by the test below: wants the file for itself alone.
///
/// `unix-excl` is one of SQLite's own ways to lock, <https://www.sqlite.org/vfs.html>, section
/// 2.1: it succeeds only when no other process holds a lock on the file.
#[cfg(unix)]
#[test]
fn selfish_program() {
    let Some(path) = std::env::var_os(SELFISH_PATH) else {
        return;
    };
    let flags = rusqlite::OpenFlags::SQLITE_OPEN_READ_WRITE;
    let connection =
        rusqlite::Connection::open_with_flags_and_vfs(path, flags, "unix-excl").unwrap();
    connection.busy_timeout(std::time::Duration::ZERO).unwrap();
    let count = connection.query_row("SELECT count(*) FROM entry", [], |row| row.get::<_, i64>(0));
    println!("\nentries: {count:?}");
}

/// Whether another process finds a lock on the file.
#[cfg(unix)]
fn is_locked(path: &Path) -> bool {
    let output = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "selfish_program", "--nocapture"])
        .env(SELFISH_PATH, path)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    let is_free = said.contains("entries: Ok(0)");
    assert!(is_free || said.contains("DatabaseBusy"), "{said}");
    !is_free
}

/// A second handle of this process comes and goes; the lock of the first must stay.
#[cfg(unix)]
#[test]
fn a_handle_that_comes_and_goes_leaves_the_lock_of_the_other_in_place() {
    let scratch = Scratch::new("locks");
    let path = scratch.path("shop.book");
    let book = Book::open(&path).unwrap();
    // SQLite takes the lock that lasts with the first use.
    assert!(book.is_empty().unwrap());
    assert!(is_locked(&path));
    for _ in 0..2 {
        drop(Book::open(&path).unwrap());
        assert!(is_locked(&path));
    }
    let alias = scratch.path("alias.book");
    std::os::unix::fs::symlink(&path, &alias).unwrap();
    drop(Book::open(&alias).unwrap());
    assert!(is_locked(&path));
    drop(book);
    assert!(!is_locked(&path));
    assert!(Book::open(&path).unwrap().is_empty().unwrap());
}
