//! The history of an entry: undo, redo, and the way back to any moment.
//!
//! The revisions of an entry form a tree, and the entry points at one of them.
//! Undo follows the parent; redo follows the child made last, which is the one just undone or,
//! after a change, the new branch.
//! No revision is ever changed or removed, so a branch that redo no longer finds is still in the
//! history, and [`Book::go_to`] brings it back.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::entries::{NewRevision, current_revision, point_at};
use crate::error::{BookError, Fault};
use crate::limits::MAX_TITLE_CHARS;
use crate::records::{EntryId, Moment, RevisionId, RevisionSummary};
use crate::store::Book;

/// Begins the description of a return, once, however often one returns to a return.
const RETURN_PREFIX: &str = "back to: ";

impl Book {
    /// Takes the last change back and says where the entry stands then.
    ///
    /// # Errors
    /// [`BookError::NothingToUndo`], [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn undo(&self, id: EntryId, at: i64) -> Result<RevisionId, BookError> {
        self.write(|transaction| {
            let current = current_revision(transaction, id)?;
            let parent: Option<i64> = transaction
                .prepare_cached("SELECT parent FROM revision WHERE id = ?1")?
                .query_row([current.0], |row| row.get(0))?;
            let parent = parent.map(RevisionId).ok_or(BookError::NothingToUndo)?;
            point_at(transaction, id, parent, at)?;
            Ok(parent)
        })
    }

    /// Brings back the change undone last and says where the entry stands then.
    ///
    /// # Errors
    /// [`BookError::NothingToRedo`], [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn redo(&self, id: EntryId, at: i64) -> Result<RevisionId, BookError> {
        self.write(|transaction| {
            let current = current_revision(transaction, id)?;
            let child: Option<i64> = transaction
                .prepare_cached("SELECT max(id) FROM revision WHERE entry = ?1 AND parent = ?2")?
                .query_row([id.0, current.0], |row| row.get(0))?;
            let child = child.map(RevisionId).ok_or(BookError::NothingToRedo)?;
            point_at(transaction, id, child, at)?;
            Ok(child)
        })
    }

    /// Every revision of an entry, newest first, those on undone branches included.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn history(&self, id: EntryId) -> Result<Vec<RevisionSummary>, BookError> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT r.id, r.parent, r.what, r.at, r.id = e.current
                 FROM entry e JOIN revision r ON r.entry = e.id
                 WHERE e.id = ?1 ORDER BY r.id DESC",
            )?;
            let rows = statement.query_map([id.0], summary_from_row)?;
            let mut moments = rows.collect::<Result<Vec<_>, _>>()?;
            if moments.is_empty() {
                return Err(BookError::NoSuchEntry { id }.into());
            }
            mark_undo_line(&mut moments);
            Ok(moments)
        })
    }

    /// The text of a revision, whether current or long undone.
    ///
    /// # Errors
    /// [`BookError::NoSuchRevision`], or those of the file itself.
    pub fn revision_text(&self, revision: RevisionId) -> Result<String, BookError> {
        self.read(|connection| {
            let mut statement =
                connection.prepare_cached("SELECT text FROM revision WHERE id = ?1")?;
            let text = statement
                .query_row([revision.0], |row| row.get(0))
                .optional()?;
            Ok(text.ok_or(BookError::NoSuchRevision { revision })?)
        })
    }

    /// One moment of an entry with its title and text.
    ///
    /// # Errors
    /// [`BookError::NoSuchRevision`] when the revision is not one of this entry, or those of the
    /// file itself.
    pub fn moment(&self, id: EntryId, revision: RevisionId) -> Result<Moment, BookError> {
        self.read(|connection| moment(connection, id, revision))
    }

    /// Makes an old moment the current one: title and text are copied into a new revision, so
    /// that undo leads back to where the entry stood.
    ///
    /// When the entry stands at that moment already, nothing is written.
    ///
    /// # Errors
    /// [`BookError::NoSuchRevision`] when the revision is not one of this entry,
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn go_to(
        &self,
        id: EntryId,
        revision: RevisionId,
        at: i64,
    ) -> Result<RevisionId, BookError> {
        self.write(|transaction| {
            let current = current_revision(transaction, id)?;
            if revision == current {
                return Ok(current);
            }
            let Moment {
                title, text, what, ..
            } = moment(transaction, id, revision)?;
            let what = return_to(&what);
            NewRevision {
                parent: Some(current),
                title: &title,
                text: &text,
                what: &what,
                at,
            }
            .add_to(transaction, id)
        })
    }
}

fn moment(connection: &Connection, id: EntryId, revision: RevisionId) -> Result<Moment, Fault> {
    let found = connection
        .prepare_cached("SELECT title, text, what, at FROM revision WHERE entry = ?1 AND id = ?2")?
        .query_row(params![id.0, revision.0], |row| {
            Ok(Moment {
                title: row.get(0)?,
                text: row.get(1)?,
                what: row.get(2)?,
                at: row.get(3)?,
            })
        })
        .optional()?;
    Ok(found.ok_or(BookError::NoSuchRevision { revision })?)
}

fn return_to(what: &str) -> String {
    let what = what.strip_prefix(RETURN_PREFIX).unwrap_or(what);
    RETURN_PREFIX
        .chars()
        .chain(what.chars())
        .take(MAX_TITLE_CHARS)
        .collect()
}

/// Walks the moments, newest first, along the parents of the current one.
///
/// One pass is enough because a parent always has the smaller number.
fn mark_undo_line(moments: &mut [RevisionSummary]) {
    let mut awaited = None;
    for moment in moments {
        if moment.current {
            awaited = moment.parent;
        } else if awaited == Some(moment.revision) {
            moment.reachable_by_undo = true;
            awaited = moment.parent;
        }
    }
}

fn summary_from_row(row: &Row<'_>) -> rusqlite::Result<RevisionSummary> {
    Ok(RevisionSummary {
        revision: RevisionId(row.get(0)?),
        parent: row.get::<_, Option<i64>>(1)?.map(RevisionId),
        what: row.get(2)?,
        at: row.get(3)?,
        current: row.get(4)?,
        reachable_by_undo: false,
    })
}
