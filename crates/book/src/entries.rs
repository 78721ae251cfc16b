//! Commissions and kits: making, listing, reading and changing them.

use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use crate::error::{BookError, Fault};
use crate::limits::{check_short, check_text};
use crate::records::{Change, Entry, EntryId, EntrySummary, Kind, RevisionId};
use crate::store::Book;

impl Book {
    /// All entries of a kind, those put away included, the one changed last first.
    ///
    /// # Errors
    /// Only those of the file itself, such as [`BookError::Damaged`].
    pub fn entries(&self, kind: Kind) -> Result<Vec<EntrySummary>, BookError> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT e.id, e.kind, r.title, r.id, e.changed_at, e.made_at,
                        e.put_away_at IS NOT NULL, e.kit
                 FROM entry e JOIN revision r ON r.id = e.current
                 WHERE e.kind = ?1 ORDER BY e.changed_at DESC, e.id DESC",
            )?;
            let rows = statement.query_map([kind.stored()], summary_from_row)?;
            Ok(rows.collect::<Result<_, _>>()?)
        })
    }

    /// Makes an entry with its first revision.
    ///
    /// # Errors
    /// [`BookError::TooLong`] and [`BookError::TextTooLong`], or those of the file itself, such
    /// as [`BookError::Full`].
    pub fn create(
        &self,
        kind: Kind,
        title: &str,
        text: &str,
        what: &str,
        at: i64,
    ) -> Result<EntryId, BookError> {
        let first = NewRevision {
            parent: None,
            title,
            text,
            what,
            at,
        };
        first.check()?;
        self.write(|transaction| {
            // The pointer is right before the transaction ends; only then is it checked.
            transaction
                .prepare_cached(
                    "INSERT INTO entry (kind, current, made_at, changed_at) VALUES (?1, 0, ?2, ?2)",
                )?
                .execute(params![kind.stored(), at])?;
            let id = EntryId(transaction.last_insert_rowid());
            first.add_to(transaction, id)?;
            Ok(id)
        })
    }

    /// One entry as it stands now.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn entry(&self, id: EntryId) -> Result<Entry, BookError> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT e.id, e.kind, r.title, r.text, r.id, r.parent, r.what,
                        (SELECT c.what FROM revision c WHERE c.entry = e.id AND c.parent = r.id
                         ORDER BY c.id DESC LIMIT 1),
                        e.kit
                 FROM entry e JOIN revision r ON r.id = e.current WHERE e.id = ?1",
            )?;
            let found = statement.query_row([id.0], entry_from_row).optional()?;
            Ok(found.ok_or(BookError::NoSuchEntry { id })?)
        })
    }

    /// Stores a change as a new revision and makes it the current one.
    ///
    /// Revisions that were undone before stay in the history, beside the new one.
    ///
    /// # Errors
    /// [`BookError::Stale`] when the entry no longer stands at the revision the change is based
    /// on, [`BookError::NoSuchEntry`], [`BookError::TooLong`], [`BookError::TextTooLong`], or
    /// those of the file itself; nothing is written then.
    pub fn change(&self, change: &Change<'_>) -> Result<RevisionId, BookError> {
        let parent = Some(change.based_on);
        let Change {
            id,
            title,
            text,
            what,
            at,
            ..
        } = *change;
        let next = NewRevision {
            parent,
            title,
            text,
            what,
            at,
        };
        next.check()?;
        self.write(|transaction| {
            let current = current_revision(transaction, id)?;
            if current != change.based_on {
                return Err(BookError::Stale { current }.into());
            }
            next.add_to(transaction, id)
        })
    }

    /// Chooses the kit a commission is worked with, or none.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], [`BookError::WrongKind`], or those of the file itself.
    pub fn set_kit(
        &self,
        commission: EntryId,
        kit: Option<EntryId>,
        at: i64,
    ) -> Result<(), BookError> {
        self.write(|transaction| {
            require_kind(transaction, commission, Kind::Commission)?;
            if let Some(kit) = kit {
                require_kind(transaction, kit, Kind::Kit)?;
            }
            transaction
                .prepare_cached("UPDATE entry SET kit = ?2, changed_at = ?3 WHERE id = ?1")?
                .execute(params![commission.0, kit.map(|kit| kit.0), at])?;
            Ok(())
        })
    }

    /// Hides an entry from the usual lists; it keeps everything and can be taken out again.
    ///
    /// An entry that is put away already stays as it is.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn put_away(&self, id: EntryId, at: i64) -> Result<(), BookError> {
        self.write(|transaction| {
            current_revision(transaction, id)?;
            transaction
                .prepare_cached(
                    "UPDATE entry SET put_away_at = ?2, changed_at = ?2
                     WHERE id = ?1 AND put_away_at IS NULL",
                )?
                .execute(params![id.0, at])?;
            Ok(())
        })
    }

    /// Shows an entry again that was put away; one that was not stays as it is.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn take_out(&self, id: EntryId, at: i64) -> Result<(), BookError> {
        self.write(|transaction| {
            current_revision(transaction, id)?;
            transaction
                .prepare_cached(
                    "UPDATE entry SET put_away_at = NULL, changed_at = ?2
                     WHERE id = ?1 AND put_away_at IS NOT NULL",
                )?
                .execute(params![id.0, at])?;
            Ok(())
        })
    }

    /// Whether the book holds no entry at all, not even one put away.
    ///
    /// # Errors
    /// Only those of the file itself.
    pub fn is_empty(&self) -> Result<bool, BookError> {
        self.read(|connection| {
            let mut statement =
                connection.prepare_cached("SELECT NOT EXISTS (SELECT 1 FROM entry)")?;
            Ok(statement.query_row([], |row| row.get(0))?)
        })
    }
}

/// A revision on its way into the book.
pub(crate) struct NewRevision<'a> {
    pub(crate) parent: Option<RevisionId>,
    pub(crate) title: &'a str,
    pub(crate) text: &'a str,
    pub(crate) what: &'a str,
    pub(crate) at: i64,
}

impl NewRevision<'_> {
    fn check(&self) -> Result<(), BookError> {
        check_short("title", self.title)?;
        check_short("description of the change", self.what)?;
        check_text("text", self.text)
    }

    /// Writes the revision and points the entry at it.
    pub(crate) fn add_to(
        &self,
        transaction: &Transaction<'_>,
        entry: EntryId,
    ) -> Result<RevisionId, Fault> {
        let parent = self.parent.map(|parent| parent.0);
        transaction
            .prepare_cached(
                "INSERT INTO revision (entry, parent, title, text, what, at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![
                entry.0, parent, self.title, self.text, self.what, self.at
            ])?;
        let revision = RevisionId(transaction.last_insert_rowid());
        point_at(transaction, entry, revision, self.at)?;
        Ok(revision)
    }
}

/// Moves the pointer of an entry.
pub(crate) fn point_at(
    transaction: &Transaction<'_>,
    entry: EntryId,
    revision: RevisionId,
    at: i64,
) -> Result<(), Fault> {
    transaction
        .prepare_cached("UPDATE entry SET current = ?2, changed_at = ?3 WHERE id = ?1")?
        .execute(params![entry.0, revision.0, at])?;
    Ok(())
}

/// Notes that something about an entry changed that is not a revision.
pub(crate) fn mark_changed(
    transaction: &Transaction<'_>,
    entry: EntryId,
    at: i64,
) -> Result<(), Fault> {
    transaction
        .prepare_cached("UPDATE entry SET changed_at = ?2 WHERE id = ?1")?
        .execute(params![entry.0, at])?;
    Ok(())
}

/// Where an entry stands, or that there is no such entry.
pub(crate) fn current_revision(connection: &Connection, id: EntryId) -> Result<RevisionId, Fault> {
    let mut statement = connection.prepare_cached("SELECT current FROM entry WHERE id = ?1")?;
    let current = statement
        .query_row([id.0], |row| row.get(0).map(RevisionId))
        .optional()?;
    Ok(current.ok_or(BookError::NoSuchEntry { id })?)
}

pub(crate) fn require_kind(
    connection: &Connection,
    id: EntryId,
    wanted: Kind,
) -> Result<(), Fault> {
    let mut statement = connection.prepare_cached("SELECT kind FROM entry WHERE id = ?1")?;
    let word: Option<String> = statement.query_row([id.0], |row| row.get(0)).optional()?;
    let word = word.ok_or(BookError::NoSuchEntry { id })?;
    if Kind::from_stored(&word) == wanted {
        return Ok(());
    }
    Err(BookError::WrongKind { id, wanted }.into())
}

pub(crate) fn kind_from_row(row: &Row<'_>, column: usize) -> rusqlite::Result<Kind> {
    Ok(Kind::from_stored(row.get_ref(column)?.as_str()?))
}

fn summary_from_row(row: &Row<'_>) -> rusqlite::Result<EntrySummary> {
    Ok(EntrySummary {
        id: EntryId(row.get(0)?),
        kind: kind_from_row(row, 1)?,
        title: row.get(2)?,
        revision: RevisionId(row.get(3)?),
        changed_at: row.get(4)?,
        made_at: row.get(5)?,
        put_away: row.get(6)?,
        kit: row.get::<_, Option<i64>>(7)?.map(EntryId),
    })
}

fn entry_from_row(row: &Row<'_>) -> rusqlite::Result<Entry> {
    let previous: Option<i64> = row.get(5)?;
    let what: String = row.get(6)?;
    Ok(Entry {
        id: EntryId(row.get(0)?),
        kind: kind_from_row(row, 1)?,
        title: row.get(2)?,
        text: row.get(3)?,
        revision: RevisionId(row.get(4)?),
        previous: previous.map(RevisionId),
        undo_what: previous.map(|_| what),
        redo_what: row.get(7)?,
        kit: row.get::<_, Option<i64>>(8)?.map(EntryId),
    })
}
