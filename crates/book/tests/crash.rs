//! A writer killed at any moment: every change it was told is stored is there afterwards.
//!
//! The kill ends the program, not the machine: what a power cut does is SQLite's promise for
//! `synchronous=FULL`, <https://www.sqlite.org/pragma.html#pragma_synchronous>, not tested here.
//! `BOOK_TEST_KILLS` sets how many kills a run makes.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::collections::BTreeMap;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use book::{BatchId, Book, Change, EntryId, Kind, NewReadings, RevisionId, VisitId};
use common::{Chance, Scratch, assert_sound, copy_of_format, stage, visit};

const PATH: &str = "BOOK_TEST_CRASH_PATH";
const KILLS: &str = "BOOK_TEST_KILLS";
/// Kills on one book before the next is begun, so that making a book is interrupted as well.
const KILLS_PER_BOOK: usize = 5;

/// A text of several pages, so that one change touches many places in the file.
fn text_of(revision_before: i64, number: u64) -> String {
    format!("after revision {revision_before}, edit {number}: ").repeat(1 + number as usize % 400)
}

/// Readings of several pages, sent under a key of their own.
fn readings_of(revision: i64) -> String {
    format!("height,fret 9,{revision}\n").repeat(1 + revision as usize % 700)
}

fn send(book: &Book, visit: VisitId, revision: i64) -> BatchId {
    book.add_readings(&NewReadings {
        visit,
        text: &readings_of(revision),
        source: "keypad",
        sent_key: Some(&format!("after {revision}")),
        at: revision,
    })
    .unwrap()
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
    let visit = match book.visits(id).unwrap().first() {
        Some(record) => record.id,
        None => visit(&book, id),
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
        if number % 2 == 0 {
            let batch = send(&book, visit, revision.0);
            line += &format!("\nreadings {} {} {}\n", batch.0, visit.0, revision.0);
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
    Readings {
        batch: i64,
        visit: i64,
        revision: i64,
    },
}

impl Acknowledged {
    fn from_line(line: &str) -> Option<Acknowledged> {
        let words: Vec<&str> = line.split(' ').collect();
        let [
            kind @ ("change" | "stage" | "readings"),
            first,
            second,
            third,
        ] = words[..]
        else {
            return None;
        };
        let (first, second) = (first.parse().unwrap(), second.parse().unwrap());
        let number: u64 = third.parse().unwrap();
        Some(match kind {
            "change" => Acknowledged::Change {
                revision: first,
                based_on: second,
                number,
            },
            "readings" => Acknowledged::Readings {
                batch: first,
                visit: second,
                revision: number as i64,
            },
            _ => Acknowledged::Stage {
                log_id: first,
                commission: second,
                number,
            },
        })
    }

    fn assert_kept(self, book: &Book, readings: &BTreeMap<i64, String>) {
        match self {
            Acknowledged::Readings {
                batch,
                visit,
                revision,
            } => {
                assert_eq!(readings[&batch], readings_of(revision));
                // Sent again by somebody who never saw the answer.
                assert_eq!(send(book, VisitId(visit), revision).0, batch);
            }
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

/// The texts of all batches by their numbers; more of them than were acknowledged may be there.
fn all_readings(book: &Book) -> BTreeMap<i64, String> {
    let mut all = BTreeMap::new();
    for commission in book.entries(Kind::Commission).unwrap() {
        for visit in book.visits(commission.id).unwrap() {
            let batches = book.readings(visit.id).unwrap();
            all.extend(batches.into_iter().map(|batch| (batch.id.0, batch.text)));
        }
    }
    all
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
        // Every other book is an old one, so that bringing it up is interrupted as well.
        let is_old = kill / KILLS_PER_BOOK % 2 == 1;
        if kill % KILLS_PER_BOOK == 0 {
            path = scratch.path(&format!("{kill}.book"));
            acknowledged.clear();
            if is_old {
                copy_of_format(1 + (kill / KILLS_PER_BOOK / 2 % 2) as u32, &path);
            }
        }
        // Short waits fall into opening, making and bringing up the book, long ones among the
        // edits.
        let is_short = kill % KILLS_PER_BOOK == 0 || kill % 4 == 0;
        let longest_ms = if is_short { 12 } else { 120 };
        let wait = Duration::from_micros(chance.below(longest_ms * 1_000));
        let told = killed_writer(&path, wait);
        total += told.len();
        acknowledged.extend(told);
        let book = Book::open(&path).unwrap();
        if is_old {
            let written_then = book.revision_text(RevisionId(3)).unwrap();
            assert_eq!(written_then, "length = \"640 mm\"\n");
        }
        let readings = all_readings(&book);
        for change in &acknowledged {
            change.assert_kept(&book, &readings);
        }
        assert_eq!(all_readings(&book), readings, "nothing was entered twice");
        drop(book);
        assert_sound(&path);
    }
    println!("{} kills, {total} acknowledged writes, all kept", kills());
    assert!(total > 0, "no writer came as far as a change");
}
