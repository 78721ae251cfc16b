//! The demo in an empty book.

use book::{Book, BookError, EntryId, Kind, NewReadings};

use super::change::now;
use crate::demo;
use crate::edit::title_of;

/// Puts the demo kit and commissions into a book, when it is empty; a book in use is left alone.
pub(crate) fn put_demo(book: &Book) -> Result<(), BookError> {
    if !book.is_empty()? {
        return Ok(());
    }
    let kit = put(book, Kind::Kit, demo::KIT.text)?;
    for text in demo::COMMISSIONS.iter().rev() {
        let commission = put(book, Kind::Commission, text.text)?;
        book.set_kit(commission, Some(kit), now())?;
        if text.file == "heron.toml" {
            put_readings(book, commission)?;
        }
    }
    Ok(())
}

/// The demo's readings, each visit with its own lines under the table's head.
fn put_readings(book: &Book, commission: EntryId) -> Result<(), BookError> {
    let mut lines = demo::READINGS
        .text
        .lines()
        .filter(|line| !line.starts_with('#'));
    let head = lines.next().unwrap_or_default();
    let mut visits: Vec<(&str, &str, &str, String)> = Vec::new();
    for line in lines {
        // The demo's first cells hold no quotes.
        let mut cells = line.split(',');
        let mut cell = || cells.next().unwrap_or_default();
        let (name, date, stage) = (cell(), cell(), cell());
        match visits.last_mut() {
            Some(last) if last.0 == name => last.3.push_str(&format!("{line}\n")),
            _ => visits.push((name, date, stage, format!("{head}\n{line}\n"))),
        }
    }
    for (name, date, stage, text) in visits {
        let visit = book.add_visit(commission, name, date, stage, now())?;
        book.add_readings(&NewReadings {
            visit,
            text: &text,
            source: demo::READINGS.file,
            sent_key: None,
            at: now(),
        })?;
    }
    Ok(())
}

fn put(book: &Book, kind: Kind, text: &str) -> Result<EntryId, BookError> {
    let title = title_of(text).unwrap_or_else(|| "without a title".into());
    book.create(kind, &title, text, "from the demo", now())
}
