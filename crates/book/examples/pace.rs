//! Measures how long the book takes: in memory, which leaves out the disk, and in a file.
//!
//! Run `cargo run --release -p book --example pace -- a-new-file`.
#![allow(clippy::print_stdout, reason = "its output is what it is for")]

use std::path::Path;
use std::time::{Duration, Instant};

use book::{Book, BookError, Change, EntryId, Kind, NewReadings, VisitId};

const ROUNDS: usize = 1_000;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args_os()
        .nth(1)
        .ok_or("name a new file to measure with")?;
    let path = Path::new(&path);
    if path.exists() {
        return Err(format!("{} exists already; choose another name", path.display()).into());
    }
    measure("in memory", &Book::open_in_memory()?)?;
    measure("in a file", &Book::open(path)?)?;
    let began = Instant::now();
    Book::open(path)?;
    println!("opening again: {} µs", began.elapsed().as_micros());
    Ok(())
}

fn measure(place: &str, book: &Book) -> Result<(), BookError> {
    let text = "length = \"635 mm\" # a line of an ordinary commission\n".repeat(40);
    let id = book.create(Kind::Commission, "Heron", &text, "first wish", 0)?;
    show(place, "change", || change(book, id, &text))?;
    show(place, "entry", || book.entry(id).map(drop))?;
    show(place, "undo and redo", || {
        book.undo(id, 1).and(book.redo(id, 1)).map(drop)
    })?;
    show(place, "history of a thousand", || {
        book.history(id).map(drop)
    })?;
    let visit = book.add_visit(id, "1", "", "", 1)?;
    show(place, "a reading typed", || enter(book, visit))?;
    show(place, "a thousand readings", || {
        book.readings(visit).map(drop)
    })?;
    show(place, "visits", || book.visits(id).map(drop))
}

fn enter(book: &Book, visit: VisitId) -> Result<(), BookError> {
    book.add_readings(&NewReadings {
        visit,
        text: "height,fret 9,0.12",
        source: "keypad",
        sent_key: None,
        at: 1,
    })?;
    Ok(())
}

fn change(book: &Book, id: EntryId, text: &str) -> Result<(), BookError> {
    let based_on = book.entry(id)?.revision;
    book.change(&Change {
        id,
        based_on,
        title: "Heron",
        text,
        what: "scale",
        at: 1,
    })?;
    Ok(())
}

fn show(
    place: &str,
    name: &str,
    mut deed: impl FnMut() -> Result<(), BookError>,
) -> Result<(), BookError> {
    let mut times = Vec::with_capacity(ROUNDS);
    for _ in 0..ROUNDS {
        let began = Instant::now();
        deed()?;
        times.push(began.elapsed());
    }
    times.sort();
    let at = |place: usize| times.get(place).map_or(0, Duration::as_micros);
    let (median, slow) = (at(ROUNDS / 2), at(ROUNDS * 99 / 100));
    println!("{place}, {name}: {median} µs (median), {slow} µs (99th of 100)");
    Ok(())
}
