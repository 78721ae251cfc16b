//! Stages done at the bench: logging them, reading them back, and setting one aside.

use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use crate::entries::{current_revision, require_kind};
use crate::error::{BookError, Fault};
use crate::limits::{check_figure, check_filled, check_note, check_short};
use crate::records::{EntryId, Kind, SetAsideLog, StageRecord};
use crate::store::{Book, collect};

pub(crate) const COLUMNS: &str =
    "SELECT id, commission, stage, tool, grade, wood, volume_mm3, minutes,
    force_n, note, at, sent_key, set_aside_reason, set_aside_at FROM stage_log";

impl Book {
    /// Stores a stage done and returns the number of its record.
    ///
    /// When a record with the same [`sent_key`](StageRecord::sent_key) is in the book, and the
    /// maker said the same there (the same commission, stage, minutes and note), its number is
    /// returned and nothing is written, so that a sender who never saw the answer may send again.
    /// The time and what follows from the plan may differ then: the plan may have changed in
    /// between, and what was stored first stands.
    ///
    /// # Errors
    /// [`BookError::TooLong`], [`BookError::Empty`] and [`BookError::BadFigure`] when the record
    /// is not as [`StageRecord`] says, [`BookError::NoSuchEntry`], [`BookError::WrongKind`] when
    /// the entry is a kit, [`BookError::StageKeyUsed`] when another record came with the key
    /// before, or those of the file itself.
    pub fn log_stage(&self, log: &StageRecord) -> Result<i64, BookError> {
        check(log)?;
        self.write(|transaction| {
            require_kind(transaction, log.commission, Kind::Commission)?;
            if let Some(earlier) = sent_before(transaction, log)? {
                return Ok(earlier);
            }
            insert(transaction, log.commission, log, log.sent_key.as_deref())
        })
    }

    /// The stages done on a commission, in the order they were logged, without those set aside.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn stage_logs(&self, commission: EntryId) -> Result<Vec<StageRecord>, BookError> {
        self.read(|connection| {
            current_revision(connection, commission)?;
            let question =
                format!("{COLUMNS} WHERE commission = ?1 AND set_aside_at IS NULL ORDER BY id");
            collect(connection, &question, [commission.0], record_from_row)
        })
    }

    /// The stages done on all commissions, in the order they were logged, without those set aside.
    ///
    /// # Errors
    /// Only those of the file itself.
    pub fn all_stage_logs(&self) -> Result<Vec<StageRecord>, BookError> {
        self.read(|connection| {
            let question = format!("{COLUMNS} WHERE set_aside_at IS NULL ORDER BY id");
            collect(connection, &question, [], record_from_row)
        })
    }

    /// The stage records of a commission that were set aside, with the reasons.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn set_aside_logs(&self, commission: EntryId) -> Result<Vec<SetAsideLog>, BookError> {
        self.read(|connection| {
            current_revision(connection, commission)?;
            let question =
                format!("{COLUMNS} WHERE commission = ?1 AND set_aside_at IS NOT NULL ORDER BY id");
            collect(connection, &question, [commission.0], |row| {
                Ok(SetAsideLog {
                    record: record_from_row(row)?,
                    reason: row.get(12)?,
                    at: row.get(13)?,
                })
            })
        })
    }

    /// Takes a stage record out of the reckoning, with a reason; it stays in the book.
    ///
    /// # Errors
    /// [`BookError::NoSuchLog`], [`BookError::AlreadySetAside`], [`BookError::TooLong`], or those
    /// of the file itself.
    pub fn set_aside_log(&self, log_id: i64, reason: &str, at: i64) -> Result<(), BookError> {
        check_note("reason", reason)?;
        self.write(|transaction| {
            let earlier: Option<Option<String>> = transaction
                .prepare_cached("SELECT set_aside_reason FROM stage_log WHERE id = ?1")?
                .query_row([log_id], |row| row.get(0))
                .optional()?;
            if let Some(reason) = earlier.ok_or(BookError::NoSuchLog { log_id })? {
                return Err(BookError::AlreadySetAside { log_id, reason }.into());
            }
            mark_set_aside(transaction, log_id, reason, at)
        })
    }
}

pub(crate) fn check(log: &StageRecord) -> Result<(), BookError> {
    check_short("stage", &log.stage)?;
    check_short("tool", &log.tool)?;
    check_short("grade", &log.grade)?;
    check_short("wood", &log.wood)?;
    check_note("note", &log.note)?;
    if let Some(sent_key) = &log.sent_key {
        check_filled("key of the stage", sent_key)?;
        check_short("key of the stage", sent_key)?;
    }
    check_figure("volume taken off", log.volume_mm3, "mm³")?;
    check_figure("time", log.minutes, "min")?;
    check_figure("force", log.force_n.unwrap_or_default(), "N")
}

/// Writes a record and returns its number.
pub(crate) fn insert(
    transaction: &Transaction<'_>,
    commission: EntryId,
    log: &StageRecord,
    sent_key: Option<&str>,
) -> Result<i64, Fault> {
    transaction
        .prepare_cached(
            "INSERT INTO stage_log (commission, stage, tool, grade, wood, volume_mm3,
                                    minutes, force_n, note, at, sent_key)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
        )?
        .execute(params![
            commission.0,
            log.stage,
            log.tool,
            log.grade,
            log.wood,
            log.volume_mm3,
            log.minutes,
            log.force_n,
            log.note,
            log.at,
            sent_key
        ])?;
    Ok(transaction.last_insert_rowid())
}

pub(crate) fn mark_set_aside(
    transaction: &Transaction<'_>,
    log_id: i64,
    reason: &str,
    at: i64,
) -> Result<(), Fault> {
    transaction
        .prepare_cached(
            "UPDATE stage_log SET set_aside_reason = ?2, set_aside_at = ?3 WHERE id = ?1",
        )?
        .execute(params![log_id, reason, at])?;
    Ok(())
}

/// The record that came with the same key before, if any; the maker must have said the same.
fn sent_before(connection: &Connection, log: &StageRecord) -> Result<Option<i64>, Fault> {
    let Some(sent_key) = &log.sent_key else {
        return Ok(None);
    };
    let earlier = connection
        .prepare_cached(&format!("{COLUMNS} WHERE sent_key = ?1"))?
        .query_row([sent_key], record_from_row)
        .optional()?;
    match earlier {
        Some(earlier) if said(&earlier) != said(log) => Err(BookError::StageKeyUsed {
            sent_key: sent_key.clone(),
            log_id: earlier.id.unwrap_or_default(),
            commission: earlier.commission,
        }
        .into()),
        earlier => Ok(earlier.and_then(|earlier| earlier.id)),
    }
}

/// What the maker said of a stage done; all else follows from the plan and the clock.
fn said(log: &StageRecord) -> (EntryId, &str, f64, &str) {
    (log.commission, &log.stage, log.minutes, &log.note)
}

pub(crate) fn record_from_row(row: &Row<'_>) -> rusqlite::Result<StageRecord> {
    Ok(StageRecord {
        id: row.get(0)?,
        commission: EntryId(row.get(1)?),
        stage: row.get(2)?,
        tool: row.get(3)?,
        grade: row.get(4)?,
        wood: row.get(5)?,
        volume_mm3: row.get(6)?,
        minutes: row.get(7)?,
        force_n: row.get(8)?,
        note: row.get(9)?,
        at: row.get(10)?,
        sent_key: row.get(11)?,
    })
}
