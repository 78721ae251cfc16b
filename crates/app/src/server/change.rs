//! Changes to an entry: each builds on a moment, and another window's change in between is never
//! overwritten unseen.

use book::{Book, BookError, Change, Entry, EntryId, RevisionId};
use instrument::format::{Faults, Table};

use super::answer::Trouble;
use super::form::Fields;
use super::meanwhile::Meanwhile;
use crate::edit::{self, Direction, EditFault, title_of};
use crate::pages::Clash;
pub(super) use crate::show::now;
use crate::show::spoken_place;
use crate::values;

/// What became of a change.
pub(super) enum Outcome {
    /// It is stored.
    Stored,
    /// It is stored on top of what another window had changed in the meantime.
    Merged(Merged),
    /// It would change nothing.
    Same,
    /// It is not stored, and why.
    NotStored(String),
    /// What was typed into a field is not stored, and why.
    Refused {
        /// The path of the field's value, or its name in its form.
        field: String,
        /// Why.
        words: String,
    },
    /// It is not stored, because another window changed the same: the maker is to choose.
    Clash(Clash),
    /// A whole text is not stored for that reason.
    TextClash(String, Clash),
}

impl Outcome {
    /// What was typed into that field is refused.
    pub fn refused(field: &str, words: impl ToString) -> Self {
        Self::Refused {
            field: field.to_owned(),
            words: words.to_string(),
        }
    }
}

/// The part of an address that leads back to the field of a value just stored, when the text is
/// not sound because of it: it has a fault there, or had none at all before.
pub(super) fn mend_address(
    book: &Book,
    id: EntryId,
    form: &Fields,
    faults_of: impl Fn(&str) -> Faults,
) -> Result<Option<String>, Trouble> {
    let (Some(path), Some(_)) = (form.get("path"), form.get("value")) else {
        return Ok(None);
    };
    let entry = book.entry(id)?;
    let faults = faults_of(&entry.text);
    let was_sound = || -> Result<bool, Trouble> {
        let before = entry.previous.map(|before| book.revision_text(before));
        Ok(before
            .transpose()?
            .is_some_and(|text| faults_of(&text).is_empty()))
    };
    if faults.is_empty() || (faults.at(path).next().is_none() && !was_sound()?) {
        return Ok(None);
    }
    Ok(Some(format!("mend={}", coded(path))))
}

/// A text fit for an address.
pub(super) fn coded(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => {
                char::from(byte).to_string()
            }
            other => format!("%{other:02X}"),
        })
        .collect()
}

/// The moments of a merge.
#[derive(Clone, Copy)]
pub(super) struct Merged {
    /// The moment the window had shown.
    pub since: RevisionId,
    /// The moment that holds both.
    pub stored: RevisionId,
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
    let meanwhile = Meanwhile::since(book, &entry, form.based_on()?)?;
    if !meanwhile.leads_to_the_same(path) {
        return Ok(Outcome::Clash(Clash::moved(path, &typed)));
    }
    // Two windows that say the same do not contradict each other.
    let was = edit::shown(&entry.text, path).unwrap_or_default();
    if was == typed.trim() {
        return Ok(Outcome::Same);
    }
    if let Some(change) = meanwhile.change_of(path) {
        return Ok(Outcome::Clash(Clash::value(change, &typed)));
    }
    let place = spoken_place(path);
    let what = match (was.as_str(), typed.trim()) {
        ("", value) => format!("{place}: {value}"),
        (was, "") => format!("{place}: {was} taken away"),
        (was, value) => format!("{place}: {was} → {value}"),
    };
    let text = match edit::set(&entry.text, keys, path, &typed) {
        Ok(text) => text,
        Err(fault) => return Ok(Outcome::refused(path, fault)),
    };
    let outcome = store_text(book, &entry, &text, &what)?;
    meanwhile.told(book, outcome)
}

/// Adds an entry to a list: nothing of another window stands in its way.
pub(super) fn add_entry(
    book: &Book,
    id: EntryId,
    keys: &'static Table,
    form: &Fields,
    fresh: &str,
    what: &str,
) -> Result<Outcome, Trouble> {
    let entry = book.entry(id)?;
    let meanwhile = Meanwhile::since(book, &entry, form.based_on()?)?;
    let edited = edit::add(&entry.text, keys, form.need("path")?, fresh);
    let outcome = store(book, &entry, edited, what)?;
    meanwhile.told(book, outcome)
}

/// Takes an entry of a list away, when it is still the one that the window showed.
pub(super) fn take_entry(book: &Book, id: EntryId, form: &Fields) -> Result<Outcome, Trouble> {
    let path = form.need("path")?;
    let entry = book.entry(id)?;
    let meanwhile = Meanwhile::since(book, &entry, form.based_on()?)?;
    if !meanwhile.is_untouched(path) {
        return Ok(Outcome::NotStored(format!(
            "another window changed this list meanwhile, and {} may be another line now; look at it again before taking it away",
            spoken_place(path)
        )));
    }
    let edited = edit::take_away(&entry.text, path);
    let outcome = store(book, &entry, edited, &format!("{path} taken away"))?;
    meanwhile.told(book, outcome)
}

/// Stores a whole text. What another window changed meanwhile is kept where the two do not
/// contradict each other; where they do, nothing is stored and nothing lost.
pub(super) fn set_text(
    book: &Book,
    id: EntryId,
    keys: &'static Table,
    form: &Fields,
) -> Result<Outcome, Trouble> {
    let entry = book.entry(id)?;
    let mine = form.need("text")?.replace("\r\n", "\n");
    let meanwhile = Meanwhile::since(book, &entry, form.based_on()?)?;
    if mine == entry.text {
        return Ok(Outcome::Same);
    }
    let Some(then) = &meanwhile.then else {
        return store_text(book, &entry, &mine, "as text");
    };
    let Some(merged) = values::merge(then, &mine, &entry.text, keys) else {
        let clash = Clash::text(then, &mine, &entry.text);
        return Ok(Outcome::TextClash(mine, clash));
    };
    let outcome = store_text(book, &entry, &merged, "as text")?;
    meanwhile.told(book, outcome)
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

/// Moves along the history; a word when there is nothing to move to, or when another window has
/// moved it meanwhile and the button would not do what it said.
pub(super) fn undo_or_redo(
    book: &Book,
    id: EntryId,
    action: &str,
    form: &Fields,
) -> Result<Outcome, Trouble> {
    let entry = book.entry(id)?;
    if form.get("based_on").is_some() && form.based_on()? != entry.revision {
        let what = if action == "undo" {
            entry.undo_what
        } else {
            entry.redo_what
        };
        return Ok(Outcome::NotStored(format!(
            "another window changed this entry meanwhile, and {action} would now {}; look at it, and press {action} again when that is meant",
            match (action, what) {
                (_, None) => "do nothing".to_owned(),
                ("undo", Some(what)) => format!("take back \"{what}\""),
                (_, Some(what)) => format!("bring back \"{what}\""),
            }
        )));
    }
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
