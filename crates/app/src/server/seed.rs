//! The demo in an empty book.

use book::{Book, BookError, EntryId, Kind};

use super::change::{now, title_of};
use crate::demo;

/// Puts the demo kit and commissions into a book, when it is empty; a book in use is left alone.
pub(super) fn put_demo(book: &Book) -> Result<(), BookError> {
    if !book.is_empty()? {
        return Ok(());
    }
    let kit = put(book, Kind::Kit, demo::KIT.text)?;
    for text in demo::COMMISSIONS.iter().rev() {
        let commission = put(book, Kind::Commission, text.text)?;
        book.set_kit(commission, Some(kit), now())?;
    }
    Ok(())
}

fn put(book: &Book, kind: Kind, text: &str) -> Result<EntryId, BookError> {
    let title = title_of(text).unwrap_or_else(|| "without a title".into());
    book.create(kind, &title, text, "from the demo", now())
}
