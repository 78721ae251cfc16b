//! Readings of the wood: keeping them batch by batch, setting lines aside and taking them back.
//!
//! A batch is kept as it came and never changes.
//! Setting aside and taking back in are events beside it, and the one added last counts, for each
//! line and for the batch as a whole by itself.

use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use crate::entries::mark_changed;
use crate::error::{BookError, Fault};
use crate::limits::{check_filled, check_note, check_readings, check_short};
use crate::records::{BatchId, EntryId, NewReadings, ReadingsBatch, SetAsideLine, VisitId};
use crate::store::{Book, collect};
use crate::visits::commission_of;

impl Book {
    /// Stores a batch of readings and returns its number.
    ///
    /// When a batch with the same [`sent_key`](NewReadings::sent_key) is in the book, the same
    /// text for the same visit, its number is returned and nothing is written, so that a sender
    /// who never saw the answer may send again.
    ///
    /// # Errors
    /// [`BookError::ReadingsTooLong`], [`BookError::TooLong`] for the source or the key,
    /// [`BookError::Empty`] for the text or the key, [`BookError::NoSuchVisit`], [`BookError::SentKeyUsed`]
    /// when other readings or readings of another visit came with the key before, or those of
    /// the file itself.
    pub fn add_readings(&self, batch: &NewReadings<'_>) -> Result<BatchId, BookError> {
        check(batch)?;
        self.write(|transaction| {
            let commission = commission_of(transaction, batch.visit)?;
            if let Some(earlier) = sent_before(transaction, batch)? {
                return Ok(earlier);
            }
            transaction
                .prepare_cached(
                    "INSERT INTO readings_batch (visit, source, sent_key, at, text)
                     VALUES (?1, ?2, ?3, ?4, ?5)",
                )?
                .execute(params![
                    batch.visit.0,
                    batch.source,
                    batch.sent_key,
                    batch.at,
                    batch.text
                ])?;
            let id = BatchId(transaction.last_insert_rowid());
            mark_changed(transaction, commission, batch.at)?;
            Ok(id)
        })
    }

    /// The batches of a visit in the order they were stored, each with what is set aside of it
    /// now.
    ///
    /// # Errors
    /// [`BookError::NoSuchVisit`], or those of the file itself.
    pub fn readings(&self, visit: VisitId) -> Result<Vec<ReadingsBatch>, BookError> {
        self.read(|connection| {
            commission_of(connection, visit)?;
            let question =
                "SELECT id, text, source, at FROM readings_batch WHERE visit = ?1 ORDER BY id";
            let mut batches = collect(connection, question, [visit.0], batch_from_row)?;
            for (batch, line) in set_aside_of(connection, visit)? {
                // Another program may have added a batch in between; it is not in the answer.
                if let Ok(place) = batches.binary_search_by_key(&batch, |batch| batch.id) {
                    batches[place].set_aside.push(line);
                }
            }
            Ok(batches)
        })
    }

    /// Sets a line of a batch aside with a reason, or, without a line, the whole batch; it stays
    /// in the book and can be taken back in.
    ///
    /// Lines are counted from 1.
    /// A further reason takes the place of the one before, which is kept; the same once more
    /// changes nothing.
    ///
    /// # Errors
    /// [`BookError::Empty`] and [`BookError::TooLong`] for the reason, which may have
    /// [`MAX_NOTE_CHARS`](crate::MAX_NOTE_CHARS) characters, [`BookError::NoSuchBatch`],
    /// [`BookError::NoSuchLine`], or those of the file itself.
    pub fn set_aside_readings(
        &self,
        batch: BatchId,
        line: Option<u32>,
        reason: &str,
        at: i64,
    ) -> Result<(), BookError> {
        check_filled("reason", reason)?;
        check_note("reason", reason)?;
        let place = Place { batch, line };
        self.write(|transaction| place.mark(transaction, Some(reason), at))
    }

    /// Takes a line of a batch back in that was set aside, or, without a line, the whole batch.
    ///
    /// One that is not set aside stays as it is.
    /// Lines set aside by themselves stay so when the whole batch is taken back in.
    ///
    /// # Errors
    /// [`BookError::NoSuchBatch`], [`BookError::NoSuchLine`], or those of the file itself.
    pub fn take_back_in(
        &self,
        batch: BatchId,
        line: Option<u32>,
        at: i64,
    ) -> Result<(), BookError> {
        let place = Place { batch, line };
        self.write(|transaction| place.mark(transaction, None, at))
    }
}

fn check(batch: &NewReadings<'_>) -> Result<(), BookError> {
    check_filled("text of the readings", batch.text)?;
    check_readings(batch.text)?;
    check_short("source of the readings", batch.source)?;
    if let Some(sent_key) = batch.sent_key {
        check_filled("key of the readings", sent_key)?;
        check_short("key of the readings", sent_key)?;
    }
    Ok(())
}

/// The batch that came with the same key before, if any; it must be the same batch.
fn sent_before(connection: &Connection, batch: &NewReadings<'_>) -> Result<Option<BatchId>, Fault> {
    let Some(sent_key) = batch.sent_key else {
        return Ok(None);
    };
    let earlier: Option<(BatchId, VisitId, bool)> = connection
        .prepare_cached("SELECT id, visit, text = ?2 FROM readings_batch WHERE sent_key = ?1")?
        .query_row([sent_key, batch.text], |row| {
            Ok((BatchId(row.get(0)?), VisitId(row.get(1)?), row.get(2)?))
        })
        .optional()?;
    match earlier {
        Some((id, visit, is_same_text)) if !is_same_text || visit != batch.visit => {
            Err(BookError::SentKeyUsed {
                sent_key: sent_key.into(),
                batch: id,
                visit,
            }
            .into())
        }
        earlier => Ok(earlier.map(|(id, ..)| id)),
    }
}

/// What is set aside or taken back in: a line of a batch, or all of it.
#[derive(Clone, Copy)]
struct Place {
    batch: BatchId,
    line: Option<u32>,
}

impl Place {
    /// Adds the event that sets the place aside, or takes it back in when there is no reason;
    /// nothing is written when it stands like that already.
    fn mark(
        self,
        transaction: &Transaction<'_>,
        reason: Option<&str>,
        at: i64,
    ) -> Result<(), Fault> {
        let commission = self.commission(transaction)?;
        self.require_line(transaction)?;
        if self.standing_reason(transaction)?.as_deref() == reason {
            return Ok(());
        }
        transaction
            .prepare_cached(
                "INSERT INTO readings_set_aside (batch, line, reason, at, taken_back)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![
                self.batch.0,
                self.line,
                reason,
                at,
                reason.is_none()
            ])?;
        mark_changed(transaction, commission, at)
    }

    fn commission(self, connection: &Connection) -> Result<EntryId, Fault> {
        let commission = connection
            .prepare_cached(
                "SELECT v.commission FROM readings_batch b JOIN visit v ON v.id = b.visit
                 WHERE b.id = ?1",
            )?
            .query_row([self.batch.0], |row| row.get(0).map(EntryId))
            .optional()?;
        Ok(commission.ok_or(BookError::NoSuchBatch { batch: self.batch })?)
    }

    /// A line that is not there would be set aside without any effect, and nobody would notice.
    fn require_line(self, connection: &Connection) -> Result<(), Fault> {
        let Some(line) = self.line else {
            return Ok(());
        };
        let lines = connection
            .prepare_cached("SELECT text FROM readings_batch WHERE id = ?1")?
            .query_row([self.batch.0], |row| {
                Ok(row.get_ref(0)?.as_str()?.lines().count())
            })?;
        if (1..=lines).contains(&(line as usize)) {
            return Ok(());
        }
        let batch = self.batch;
        Err(BookError::NoSuchLine { batch, line, lines }.into())
    }

    /// The reason of the last event, which is nothing for one that took the place back in.
    fn standing_reason(self, connection: &Connection) -> Result<Option<String>, Fault> {
        let last: Option<Option<String>> = connection
            .prepare_cached(
                "SELECT reason FROM readings_set_aside WHERE batch = ?1 AND line IS ?2
                 ORDER BY id DESC LIMIT 1",
            )?
            .query_row(params![self.batch.0, self.line], |row| row.get(0))
            .optional()?;
        Ok(last.flatten())
    }
}

/// What is set aside now in all batches of a visit; SQLite sorts nothing before every number.
fn set_aside_of(
    connection: &Connection,
    visit: VisitId,
) -> Result<Vec<(BatchId, SetAsideLine)>, Fault> {
    let question = "SELECT a.batch, a.line, a.reason, a.at FROM readings_set_aside a
         WHERE a.taken_back = 0 AND a.id IN (
             SELECT max(l.id) FROM readings_set_aside l
             JOIN readings_batch b ON b.id = l.batch
             WHERE b.visit = ?1 GROUP BY l.batch, l.line)
         ORDER BY a.batch, a.line";
    collect(connection, question, [visit.0], |row| {
        let line = SetAsideLine {
            line: row.get(1)?,
            reason: row.get(2)?,
            at: row.get(3)?,
        };
        Ok((BatchId(row.get(0)?), line))
    })
}

fn batch_from_row(row: &Row<'_>) -> rusqlite::Result<ReadingsBatch> {
    Ok(ReadingsBatch {
        id: BatchId(row.get(0)?),
        text: row.get(1)?,
        source: row.get(2)?,
        at: row.get(3)?,
        set_aside: Vec::new(),
    })
}
