//! How long a text and how large a figure may be, checked once before anything is written.

use std::time::Duration;

use crate::error::BookError;

/// The most bytes one text may have: 1 MiB, some five hundred times an ordinary commission.
pub const MAX_TEXT_BYTES: usize = 1 << 20;

/// The most characters of a title, of the few words on a change, and of the other short texts.
pub const MAX_TITLE_CHARS: usize = 200;

/// The most characters of the note on a stage.
pub const MAX_NOTE_CHARS: usize = 10_000;

/// The most characters of a tag.
pub const MAX_TAG_CHARS: usize = 60;

/// The most tags an entry may have at a time.
pub const MAX_TAGS: usize = 50;

/// The most bytes one batch of readings may have: 64 MiB, some two million heights as a probe
/// writes them out.
pub const MAX_READINGS_BYTES: usize = 64 << 20;

/// How long to wait for another program that is writing to the same book.
pub(crate) const BUSY_WAIT: Duration = Duration::from_secs(5);

pub(crate) fn check_text(thing: &'static str, text: &str) -> Result<(), BookError> {
    if text.len() <= MAX_TEXT_BYTES {
        return Ok(());
    }
    Err(BookError::TextTooLong {
        thing,
        bytes: text.len(),
        limit: MAX_TEXT_BYTES,
    })
}

pub(crate) fn check_readings(text: &str) -> Result<(), BookError> {
    if text.len() <= MAX_READINGS_BYTES {
        return Ok(());
    }
    Err(BookError::ReadingsTooLong {
        bytes: text.len(),
        limit: MAX_READINGS_BYTES,
    })
}

/// Blanks alone say nothing, so they count as nothing.
pub(crate) fn check_filled(thing: &'static str, text: &str) -> Result<(), BookError> {
    if text.trim().is_empty() {
        Err(BookError::Empty { thing })
    } else {
        Ok(())
    }
}

pub(crate) fn check_short(thing: &'static str, text: &str) -> Result<(), BookError> {
    check_chars(thing, text, MAX_TITLE_CHARS)
}

pub(crate) fn check_note(thing: &'static str, text: &str) -> Result<(), BookError> {
    check_chars(thing, text, MAX_NOTE_CHARS)
}

/// Makes one tag of what was typed: blanks around it left out, and those between its words made
/// single, because nobody could tell such tags apart.
pub(crate) fn tidy_tag(typed: &str) -> Result<String, BookError> {
    check_filled("tag", typed)?;
    let tag = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    check_chars("tag", &tag, MAX_TAG_CHARS)?;
    if typed.contains([',', '\n', '\r']) || tag.contains(char::is_control) {
        return Err(BookError::BadTag { tag: typed.into() });
    }
    Ok(tag)
}

fn check_chars(thing: &'static str, text: &str, limit: usize) -> Result<(), BookError> {
    let chars = text.chars().count();
    if chars <= limit {
        Ok(())
    } else {
        Err(BookError::TooLong {
            thing,
            chars,
            limit,
        })
    }
}

/// SQLite would turn a NaN into "nothing" without a word, so figures are checked here.
pub(crate) fn check_figure(
    thing: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<(), BookError> {
    if value.is_finite() && value >= 0.0 {
        return Ok(());
    }
    Err(BookError::BadFigure {
        thing,
        value: value.to_string(),
        unit,
    })
}
