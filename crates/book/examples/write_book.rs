//! Writes the small book that `tests/books/` keeps for the present format.
//!
//! Run `cargo run -p book --example write_book -- crates/book/tests/books/format-1.book` once
//! when a format is new; the file of an earlier format is never written again.

use std::path::Path;

use book::{Book, BookError, Change, EntryId, Kind, StageRecord};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args_os().nth(1).ok_or("name the file to write")?;
    let path = Path::new(&path);
    if path.exists() {
        return Err(format!("{} exists already; choose another name", path.display()).into());
    }
    Ok(fill(&Book::open(path)?)?)
}

/// One of everything a book can hold; `tests/formats.rs` knows it by heart.
fn fill(book: &Book) -> Result<(), BookError> {
    let kit = book.create(
        Kind::Kit,
        "North bench",
        "camberwright_kit = 1\n",
        "first tools",
        1_000,
    )?;
    let heron = book.create(
        Kind::Commission,
        "Heron",
        "length = \"635 mm\"\n",
        "first wish",
        1_100,
    )?;
    change(book, heron, "length = \"640 mm\"\n", "longer scale", 1_200)?;
    book.undo(heron, 1_300)?;
    change(book, heron, "length = \"630 mm\"\n", "shorter scale", 1_400)?;
    change(book, heron, "length = \"628 mm\"\n", "shorter still", 1_500)?;
    book.undo(heron, 1_600)?;
    book.set_kit(heron, Some(kit), 1_700)?;
    let old = book.create(
        Kind::Commission,
        "Sandpiper",
        "length = \"604 mm\"\n",
        "first wish",
        1_800,
    )?;
    book.put_away(old, 1_900)?;
    book.log_stage(&stage(heron, 2_000, Some(22.5)))?;
    let mistaken = book.log_stage(&stage(heron, 2_100, None))?;
    book.set_aside_log(mistaken, "logged twice", 2_200)?;
    book.set_setting("display unit", "mm", 2_300)
}

fn change(book: &Book, id: EntryId, text: &str, what: &str, at: i64) -> Result<(), BookError> {
    let based_on = book.entry(id)?.revision;
    book.change(&Change {
        id,
        based_on,
        title: "Heron",
        text,
        what,
        at,
    })?;
    Ok(())
}

fn stage(commission: EntryId, at: i64, force_n: Option<f64>) -> StageRecord {
    StageRecord {
        id: None,
        commission,
        stage: "block-406-p120".into(),
        tool: "block 406 mm".into(),
        grade: "P120".into(),
        wood: "East Indian rosewood".into(),
        volume_mm3: 812.5,
        minutes: 7.5,
        force_n,
        note: "chalk stayed at the crown near fret 9".into(),
        at,
    }
}
