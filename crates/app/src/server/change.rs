//! Changes to an entry: each builds on a moment, and another window's change in between is never
//! overwritten unseen.

use std::time::{SystemTime, UNIX_EPOCH};

use book::{Book, BookError, Change, Entry, EntryId};
use instrument::format::Table;

use super::answer::Trouble;
use super::form::Fields;
use crate::edit::{self, Direction, EditFault, Shown};
use crate::show::spoken_place;

/// What became of a change.
pub(super) enum Outcome {
    /// It is stored.
    Stored,
    /// It would change nothing.
    Same,
    /// It is not stored, and why.
    NotStored(String),
}

/// Now, in seconds since 1970.
pub(super) fn now() -> i64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |past| i64::try_from(past.as_secs()).unwrap_or(i64::MAX))
}

/// Sets one value of an entry's text, as a form asks.
pub(super) fn set_value(
    book: &Book,
    id: EntryId,
    keys: &'static Table,
    form: &Fields,
) -> Result<Outcome, Trouble> {
    let path = form.need("path")?;
    let entry = book.entry(id)?;
    let typed = typed_value(form)?;
    // Two windows that say the same do not contradict each other.
    let was = edit::shown(&entry.text, path).unwrap_or_default();
    if was == typed.trim() {
        return Ok(Outcome::Same);
    }
    if let Some(words) = changed_elsewhere(book, &entry, form, path)? {
        return Ok(Outcome::NotStored(words));
    }
    let place = spoken_place(path);
    let what = match (was.as_str(), typed.trim()) {
        ("", value) => format!("{place}: {value}"),
        (was, "") => format!("{place}: {was} taken away"),
        (was, value) => format!("{place}: {was} → {value}"),
    };
    store(
        book,
        &entry,
        edit::set(&entry.text, keys, path, &typed),
        &what,
    )
}

/// The value typed, moved by a step when a step's button was pressed.
pub(super) fn typed_value(form: &Fields) -> Result<String, Trouble> {
    let typed = form.need("value")?;
    let direction = match form.get("step") {
        Some("up") => Direction::Up,
        Some("down") => Direction::Down,
        _ => return Ok(typed.to_owned()),
    };
    Ok(edit::stepped(typed, direction).unwrap_or_else(|| typed.to_owned()))
}

/// When the entry has moved on since the form's moment and this very value with it, the words
/// that say so.
fn changed_elsewhere(
    book: &Book,
    entry: &Entry,
    form: &Fields,
    path: &str,
) -> Result<Option<String>, Trouble> {
    let based_on = form.based_on()?;
    if based_on == entry.revision {
        return Ok(None);
    }
    let before = Shown::new(&book.revision_text(based_on)?).value(path);
    let after = Shown::new(&entry.text).value(path);
    if before == after {
        return Ok(None);
    }
    let gone = || "taken away".to_owned();
    Ok(Some(format!(
        "{path} was changed in another window meanwhile, from {} to {}; what you typed, {}, is not stored. The page now shows the newer value: type yours again if it shall hold.",
        before.unwrap_or_else(gone),
        after.unwrap_or_else(gone),
        form.get("value").unwrap_or("")
    )))
}

/// Stores an edited text, unless the edit failed.
pub(super) fn store(
    book: &Book,
    entry: &Entry,
    edited: Result<String, EditFault>,
    what: &str,
) -> Result<Outcome, Trouble> {
    match edited {
        Ok(text) => store_text(book, entry, &text, what),
        Err(fault) => Ok(Outcome::NotStored(fault.to_string())),
    }
}

/// Stores a whole text as the entry's next moment.
pub(super) fn store_text(
    book: &Book,
    entry: &Entry,
    text: &str,
    what: &str,
) -> Result<Outcome, Trouble> {
    if text == entry.text {
        return Ok(Outcome::Same);
    }
    let title = title_of(text).unwrap_or_else(|| entry.title.clone());
    let what: String = what.chars().take(200).collect();
    let change = Change {
        id: entry.id,
        based_on: entry.revision,
        title: &title,
        text,
        what: &what,
        at: now(),
    };
    match book.change(&change) {
        Ok(_) => Ok(Outcome::Stored),
        Err(BookError::Stale { .. }) => Ok(Outcome::NotStored(
            "another window changed this entry at the same moment; send it once more".into(),
        )),
        Err(error @ (BookError::TextTooLong { .. } | BookError::TooLong { .. })) => {
            Ok(Outcome::NotStored(error.to_string()))
        }
        Err(error) => Err(error.into()),
    }
}

/// The title that a text gives itself.
pub(super) fn title_of(text: &str) -> Option<String> {
    let title = edit::shown(text, "title")?;
    let title: String = title.trim().chars().take(book::MAX_TITLE_CHARS).collect();
    (!title.is_empty()).then_some(title)
}

/// Moves along the history; a word when there is nothing to move to.
pub(super) fn undo_or_redo(book: &Book, id: EntryId, action: &str) -> Result<Outcome, Trouble> {
    let moved = if action == "undo" {
        book.undo(id, now())
    } else {
        book.redo(id, now())
    };
    match moved {
        Ok(_) => Ok(Outcome::Stored),
        Err(error @ (BookError::NothingToUndo | BookError::NothingToRedo)) => {
            Ok(Outcome::NotStored(error.to_string()))
        }
        Err(error) => Err(error.into()),
    }
}
