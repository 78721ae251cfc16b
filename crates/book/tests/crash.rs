//! A writer killed at any moment: every change it was told is stored is there afterwards.
//!
//! The kill ends the program, not the machine: what a power cut does is SQLite's promise for
//! `synchronous=FULL`, <https://www.sqlite.org/pragma.html#pragma_synchronous>, not tested here.
//! `BOOK_TEST_KILLS` sets how many kills a run makes.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use book::{Book, Change, EntryId, Kind, RevisionId};
use common::{Chance, Scratch, assert_sound, stage};

const PATH: &str = "BOOK_TEST_CRASH_PATH";
const KILLS: &str = "BOOK_TEST_KILLS";
/// Kills on one book before the next is begun, so that making a book is interrupted as well.
const KILLS_PER_BOOK: usize = 5;

/// A text of several pages, so that one change touches many places in the file.
fn text_of(revision_before: i64, number: u64) -> String {
    format!("after revision {revision_before}, edit {number}: ").repeat(1 + number as usize % 400)
}

/// Run in a process of its own by the test below, until it is killed.
#[test]
fn writer() {
    let Some(path) = std::env::var_os(PATH) else {
        return;
    };
    let book = Book::open(Path::new(&path)).unwrap();
    let known = book.entries(Kind::Commission).unwrap();
    let id = match known.first() {
        Some(summary) => summary.id,
        None => book
            .create(Kind::Commission, "Heron", "", "first", 0)
            .unwrap(),
    };
    let mut pipe = std::io::stdout();
    // A parent that is gone closes the pipe, which ends the loop.
    for number in 0.. {
        let based_on = book.entry(id).unwrap().revision;
        let text = text_of(based_on.0, number);
        let change = Change {
            id,
            based_on,
            title: "Heron",
            text: &text,
            what: "edit",
            at: 1,
        };
        let revision = book.change(&change).unwrap();
        let mut line = format!("\nchange {} {} {number}\n", revision.0, based_on.0);
        if number % 3 == 0 {
            let log_id = book.log_stage(&stage(id, number as i64)).unwrap();
            line += &format!("\nstage {log_id} {} {number}\n", id.0);
        }
        if number % 7 == 6 {
            book.undo(id, 2).unwrap();
        }
        if pipe
            .write_all(line.as_bytes())
            .and_then(|()| pipe.flush())
            .is_err()
        {
            return;
        }
    }
}

/// Starts a writer, kills it after the wait, and returns what it was told is stored.
fn killed_writer(path: &Path, wait: Duration) -> Vec<Acknowledged> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "writer", "--nocapture"])
        .env(PATH, path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut pipe = child.stdout.take().unwrap();
    let reader = thread::spawn(move || {
        let mut said = String::new();
        pipe.read_to_string(&mut said).unwrap();
        said
    });
    thread::sleep(wait);
    assert!(
        child.try_wait().unwrap().is_none(),
        "the writer stopped by itself"
    );
    child.kill().unwrap();
    child.wait().unwrap();
    let said = reader.join().unwrap();
    // The last line may have been cut short by the kill.
    let whole = said.rfind('\n').map_or("", |end| &said[..end]);
    whole.lines().filter_map(Acknowledged::from_line).collect()
}

#[derive(Clone, Copy)]
enum Acknowledged {
    Change {
        revision: i64,
        based_on: i64,
        number: u64,
    },
    Stage {
        log_id: i64,
        commission: i64,
        number: u64,
    },
}

impl Acknowledged {
    fn from_line(line: &str) -> Option<Acknowledged> {
        let words: Vec<&str> = line.split(' ').collect();
        let [kind @ ("change" | "stage"), first, second, third] = words[..] else {
            return None;
        };
        let (first, second) = (first.parse().unwrap(), second.parse().unwrap());
        let number = third.parse().unwrap();
        Some(match kind {
            "change" => Acknowledged::Change {
                revision: first,
                based_on: second,
                number,
            },
            _ => Acknowledged::Stage {
                log_id: first,
                commission: second,
                number,
            },
        })
    }

    fn assert_kept(self, book: &Book) {
        match self {
            Acknowledged::Change {
                revision,
                based_on,
                number,
            } => {
                let text = book.revision_text(RevisionId(revision)).unwrap();
                assert_eq!(text, text_of(based_on, number));
            }
            Acknowledged::Stage {
                log_id,
                commission,
                number,
            } => {
                let logs = book.stage_logs(EntryId(commission)).unwrap();
                let log = logs.iter().find(|log| log.id == Some(log_id)).unwrap();
                assert_eq!(log.at, number as i64);
            }
        }
    }
}

fn kills() -> usize {
    std::env::var(KILLS).map_or(20, |count| count.parse().unwrap())
}

#[test]
fn every_acknowledged_change_survives_a_kill() {
    let scratch = Scratch::new("crash");
    let mut chance = Chance(11);
    let mut acknowledged = Vec::new();
    let mut total = 0;
    let mut path = PathBuf::new();
    for kill in 0..kills() {
        if kill % KILLS_PER_BOOK == 0 {
            path = scratch.path(&format!("{kill}.book"));
            acknowledged.clear();
        }
        // Short waits fall into opening and making the book, long ones among the edits.
        let longest_ms = if kill % 4 == 0 { 12 } else { 120 };
        let wait = Duration::from_micros(chance.below(longest_ms * 1_000));
        let told = killed_writer(&path, wait);
        total += told.len();
        acknowledged.extend(told);
        let book = Book::open(&path).unwrap();
        for change in &acknowledged {
            change.assert_kept(&book);
        }
        drop(book);
        assert_sound(&path);
    }
    println!("{} kills, {total} acknowledged writes, all kept", kills());
    assert!(total > 0, "no writer came as far as a change");
}
