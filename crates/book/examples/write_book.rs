//! Writes the small book that `tests/books/` keeps for the present format.
//!
//! Run `cargo run -p book --example write_book -- crates/book/tests/books/format-3.book` once
//! when a format is new; the file of an earlier format is never written again.

use std::path::Path;

use book::{Book, BookError, Change, EntryId, Kind, NewReadings, StageRecord};

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
    book.set_setting("display unit", "mm", 2_300)?;
    read_the_wood(book, heron, old)?;
    tag_and_send(book, kit, heron)
}

/// Tags put on and taken off, and a stage done that came with a key.
fn tag_and_send(book: &Book, kit: EntryId, heron: EntryId) -> Result<(), BookError> {
    book.put_on_tag(heron, "for a player who bends", 3_500)?;
    book.put_on_tag(heron, "Spruce", 3_600)?;
    book.take_off_tag(heron, "Spruce", 3_700)?;
    book.put_on_tag(heron, "ebony", 3_800)?;
    book.put_on_tag(kit, "North bench", 3_900)?;
    book.log_stage(&StageRecord {
        sent_key: Some("tablet 9".into()),
        ..stage(heron, 4_000, None)
    })?;
    Ok(())
}

/// Two visits with readings, one of them corrected, and one visit of another commission.
fn read_the_wood(book: &Book, heron: EntryId, old: EntryId) -> Result<(), BookError> {
    let first = book.add_visit(heron, "1", "Tuesday", "", 2_400)?;
    book.change_visit(first, "rough", "Tuesday", "block-406-p120", 2_500)?;
    let second = book.add_visit(heron, "2", "", "", 2_600)?;
    book.add_visit(old, "1", "", "", 2_700)?;
    let typed = book.add_readings(&NewReadings {
        visit: first,
        text: "height,fret 9,0.12\nheight,fret 10,0.31\n",
        source: "keypad",
        sent_key: Some("tablet 7"),
        at: 2_800,
    })?;
    let pasted = book.add_readings(&NewReadings {
        visit: first,
        text: "½ turn too far\r\n",
        source: "pasted",
        sent_key: None,
        at: 2_900,
    })?;
    book.add_readings(&NewReadings {
        visit: second,
        text: "light,12 in,none",
        source: "heights.csv",
        sent_key: Some("tablet 8"),
        at: 3_000,
    })?;
    book.set_aside_readings(typed, Some(1), "dust under the foot", 3_100)?;
    book.set_aside_readings(typed, Some(2), "the wrong fret", 3_200)?;
    book.take_back_in(typed, Some(2), 3_300)?;
    book.set_aside_readings(pasted, None, "not a reading", 3_400)
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
        sent_key: None,
    }
}
