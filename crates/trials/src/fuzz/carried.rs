//! Books as text: sound ones, and what must hold of every one that is taken in.
//!
//! An input is the files one after the other, each under a line with its name.

use book::{Book, BookError, BookState, Change, Kind, NewReadings, StageRecord};
use camberwright::carry::{CarriedFile, CarryFault, bring, take_all};

use super::Answered;
use super::enter::{heard, said};

/// The line before a file begins so; its name follows.
const MARK: &[u8] = b"=== ";
/// When everything is taken in, in seconds since 1970.
const NOW: i64 = 1_777_627_800;
/// A book with so many entries is full, and the next is begun: each that comes is held against those
/// that are there.
const FULL: usize = 100;
/// One refused input in so many is held against the book: it must be as it was.
const TO_STATE: u64 = 16;
/// One input in so many that was taken in goes out, into another book, and out again.
const TO_CARRY: u64 = 32;

/// Names, lines, keys and words of the format.
pub const WORDS: [&str; 40] = [
    "\n=== ",
    "\n=== book.toml\n",
    "\n=== 1/entry.toml\n",
    "\n=== 1/history.toml\n",
    "\n=== 1/stages.toml\n",
    "\n=== 1/commission.toml\n",
    "\n=== 1/kit.toml\n",
    "\n=== 1/visit-1-readings-1.csv\n",
    "\n=== 001-h/",
    "\n=== 002-n/",
    "camberwright_book = 1\n",
    "\n[[setting]]\nname = \"length unit\"\nvalue = \"in\"\nchanged_at = 1\n",
    "\n[[moment]]\n",
    "\n[[stage]]\n",
    "\n[[tag]]\n",
    "\n[[visit]]\n",
    "\n[[visit.detail]]\n",
    "\n[[visit.readings]]\n",
    "\n[[visit.readings.set_aside]]\n",
    "made_from = ",
    "stands_at = ",
    "kind = ",
    "kit = ",
    "\"commission\"",
    "\"kit\"",
    "made_at = ",
    "changed_at = ",
    "put_away_at = ",
    "at = ",
    "title = ",
    "what = ",
    "text = ",
    "file = ",
    "sent_key = ",
    "line = ",
    "reason = ",
    "minutes = ",
    "taken_off = true\n",
    "2026-05-01T09:30:00Z",
    "-9223372036854775808",
];

/// Books with nothing, a kit, a commission, and one of everything.
pub(super) fn sound() -> Vec<Vec<u8>> {
    let fits = "a book in memory takes it";
    let empty = empty();
    let kit = self::empty();
    kit.create(Kind::Kit, "N", "a = 1\n", "made", 1)
        .expect(fits);
    let board = self::empty();
    board
        .create(Kind::Commission, "H", "b = 1\n", "made", 2)
        .expect(fits);
    board.set_setting("length unit", "in", 3).expect(fits);
    [empty, kit, board, full()]
        .map(|book| joined(&take_all(&book).expect(fits)))
        .into()
}

fn empty() -> Book {
    Book::open_in_memory().expect("there is memory for it")
}

fn full() -> Book {
    let fits = "a book in memory takes it";
    let book = empty();
    let kit = book
        .create(Kind::Kit, "N", "a = 1\n", "made", 1)
        .expect(fits);
    let board = book
        .create(Kind::Commission, "H", "b = 1\n", "made", 2)
        .expect(fits);
    book.set_kit(board, Some(kit), 3).expect(fits);
    let change = Change {
        id: board,
        based_on: book.entry(board).expect(fits).revision,
        title: "H",
        text: "b = 2\n",
        what: "b",
        at: 4,
    };
    book.change(&change).expect(fits);
    book.undo(board, 5).expect(fits);
    book.put_on_tag(board, "t", 6).expect(fits);
    let stage = StageRecord {
        id: None,
        commission: board,
        stage: "s".into(),
        tool: "16 in".into(),
        grade: "P80".into(),
        wood: "ebony".into(),
        volume_mm3: 0.5,
        minutes: 7.0,
        force_n: Some(10.0),
        note: "n".into(),
        at: 7,
        sent_key: Some("k".into()),
    };
    book.log_stage(&stage).expect(fits);
    let visit = book.add_visit(board, "v", "", "", 8).expect(fits);
    let readings = NewReadings {
        visit,
        text: "kind,at\nx,y\n",
        source: "typed",
        sent_key: Some("r"),
        at: 9,
    };
    let batch = book.add_readings(&readings).expect(fits);
    book.set_aside_readings(batch, Some(2), "slip", 10)
        .expect(fits);
    book
}

fn joined(files: &[CarriedFile]) -> Vec<u8> {
    let mut input = Vec::new();
    for (name, content) in files {
        input.extend([MARK, name.as_bytes(), b"\n", content].concat());
        if !content.ends_with(b"\n") {
            input.push(b'\n');
        }
    }
    input
}

fn files(input: &[u8]) -> Vec<CarriedFile> {
    let mut files: Vec<CarriedFile> = Vec::new();
    for line in input.split_inclusive(|byte| *byte == b'\n') {
        match (line.strip_prefix(MARK), files.last_mut()) {
            (Some(name), _) => {
                let name = String::from_utf8_lossy(name);
                files.push((name.trim_end_matches('\n').to_owned(), Vec::new()));
            }
            (None, Some((_, content))) => content.extend(line),
            (None, None) => {}
        }
    }
    files
}

/// The book that carried books are taken into.
pub(super) struct Shelf {
    book: Book,
    /// As it stood after the last that was taken in.
    state: BookState,
    entries: usize,
}

impl Shelf {
    pub fn new() -> Self {
        let book = empty();
        Self {
            state: book.state().expect("a new book can be read"),
            book,
            entries: 0,
        }
    }

    /// Takes a carried book in: all of it or nothing, and not twice.
    pub fn enter(&mut self, input: &[u8], deep: u64) -> Result<Answered, String> {
        let files = files(input);
        let brought = match bring(&self.book, &files, NOW) {
            Ok(brought) => brought,
            Err(fault) => return self.refused(&fault, deep),
        };
        let again =
            bring(&self.book, &files, NOW).map_err(|fault| format!("not twice: {fault}"))?;
        if !again.added.is_empty() {
            return Err(format!("{} entries came in twice", again.added.len()));
        }
        if deep.is_multiple_of(TO_CARRY) {
            carried_on(&files)?;
        }
        let said = heard(brought.added.len() as u64, &brought.words());
        self.entries += brought.added.len();
        if self.entries >= FULL {
            *self = Self::new();
        }
        self.state = self.state_now()?;
        Ok(Answered {
            kind: said ^ (files.len() as u64) << 8,
            sound: true,
        })
    }

    fn state_now(&self) -> Result<BookState, String> {
        self.book.state().map_err(|error| error.to_string())
    }

    fn refused(&self, fault: &CarryFault, deep: u64) -> Result<Answered, String> {
        let of_the_book = match fault {
            // What comes in may be wrong; it may not make the book's own file fail.
            CarryFault::Book(
                error @ (BookError::Damaged { .. }
                | BookError::Full { .. }
                | BookError::Busy { .. }
                | BookError::Storage { .. }),
            ) => return Err(format!("the book fails: {error}")),
            CarryFault::Book(_) => true,
            CarryFault::Bad { .. } | CarryFault::Stopped => false,
        };
        if (of_the_book || deep.is_multiple_of(TO_STATE)) && self.state_now()? != self.state {
            return Err("something was left behind of what was refused".into());
        }
        said(&fault.to_string(), 23)
    }
}

/// Out of a book, into an empty one and out again: the same bytes.
fn carried_on(files: &[CarriedFile]) -> Result<(), String> {
    let words = |fault: CarryFault| format!("not carried on: {fault}");
    let (first, second) = (empty(), empty());
    bring(&first, files, NOW).map_err(words)?;
    let out = take_all(&first).map_err(words)?;
    bring(&second, &out, NOW).map_err(words)?;
    match take_all(&second).map_err(words)? == out {
        true => Ok(()),
        false => Err("carried on it is not the same".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_called_sound_is_taken_in_whole() {
        let full = full();
        let out = take_all(&full).expect("can be taken out");
        assert_eq!(files(&joined(&out)), out);
        for input in sound() {
            let answered = Shelf::new().enter(&input, 0).expect("holds");
            assert!(answered.sound);
        }
    }
}
