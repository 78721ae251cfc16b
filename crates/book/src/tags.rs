//! Tags: a few words of the maker's own by which entries are found again.
//!
//! Putting a tag on and taking it off are events, and for each tag of an entry the one added last
//! counts, so that two windows that tag one entry never undo each other.

use rusqlite::{Connection, Transaction, params};

use crate::entries::{current_revision, mark_changed};
use crate::error::{BookError, Fault};
use crate::limits::{MAX_TAGS, tidy_tag};
use crate::records::EntryId;
use crate::store::{Book, collect};

const STANDING: &str = "SELECT t.entry, t.tag FROM tag t
    WHERE t.taken_off = 0
      AND t.id = (SELECT max(l.id) FROM tag l WHERE l.entry = t.entry AND l.tag = t.tag)";

impl Book {
    /// Puts a tag on an entry and returns it as it is kept: with single blanks between its words.
    ///
    /// Large and small letters do not tell tags apart: when the entry has the tag already, in
    /// whatever letters, nothing is written and the tag that is there is returned.
    ///
    /// # Errors
    /// [`BookError::Empty`], [`BookError::TooLong`] past
    /// [`MAX_TAG_CHARS`](crate::MAX_TAG_CHARS) characters, [`BookError::BadTag`] for a comma or a
    /// line break, [`BookError::TooManyTags`] past [`MAX_TAGS`](crate::MAX_TAGS),
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn put_on_tag(&self, entry: EntryId, tag: &str, at: i64) -> Result<String, BookError> {
        let tag = tidy_tag(tag)?;
        self.write(|transaction| {
            current_revision(transaction, entry)?;
            let standing = tags_of(transaction, entry)?;
            if let Some(same) = standing.iter().find(|other| is_same(other, &tag)) {
                return Ok(same.clone());
            }
            if standing.len() >= MAX_TAGS {
                return Err(BookError::TooManyTags { limit: MAX_TAGS }.into());
            }
            add_event(transaction, entry, &tag, Event::PutOn, at)?;
            Ok(tag)
        })
    }

    /// Takes a tag off an entry; one that it does not have stays off, and nothing is written.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn take_off_tag(&self, entry: EntryId, tag: &str, at: i64) -> Result<(), BookError> {
        self.write(|transaction| {
            current_revision(transaction, entry)?;
            let standing = tags_of(transaction, entry)?;
            match standing.iter().find(|other| is_same(other, tag.trim())) {
                Some(same) => add_event(transaction, entry, same, Event::TakenOff, at),
                None => Ok(()),
            }
        })
    }

    /// The tags an entry has now, in the order of the alphabet.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn tags(&self, entry: EntryId) -> Result<Vec<String>, BookError> {
        self.read(|connection| {
            current_revision(connection, entry)?;
            tags_of(connection, entry)
        })
    }

    /// Every tag that stands anywhere in the book, by entry, and for each entry in the order of
    /// the alphabet.
    ///
    /// # Errors
    /// Only those of the file itself.
    pub fn all_tags(&self) -> Result<Vec<(EntryId, String)>, BookError> {
        self.read(|connection| {
            let mut tags = collect(connection, STANDING, [], |row| {
                Ok((EntryId(row.get(0)?), row.get::<_, String>(1)?))
            })?;
            tags.sort_by_cached_key(|(entry, tag)| (*entry, tag.to_lowercase()));
            Ok(tags)
        })
    }
}

/// What happens to a tag.
#[derive(Clone, Copy)]
enum Event {
    PutOn,
    TakenOff,
}

fn add_event(
    transaction: &Transaction<'_>,
    entry: EntryId,
    tag: &str,
    event: Event,
    at: i64,
) -> Result<(), Fault> {
    transaction
        .prepare_cached("INSERT INTO tag (entry, tag, at, taken_off) VALUES (?1, ?2, ?3, ?4)")?
        .execute(params![entry.0, tag, at, matches!(event, Event::TakenOff)])?;
    mark_changed(transaction, entry, at)
}

fn tags_of(connection: &Connection, entry: EntryId) -> Result<Vec<String>, Fault> {
    let question = format!("{STANDING} AND t.entry = ?1");
    let mut tags: Vec<String> = collect(connection, &question, [entry.0], |row| row.get(1))?;
    tags.sort_by_cached_key(|tag| tag.to_lowercase());
    Ok(tags)
}

fn is_same(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}
