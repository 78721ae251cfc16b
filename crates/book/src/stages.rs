//! Stages done at the bench: logging them, reading them back, and setting one aside.

use rusqlite::{OptionalExtension, Row, params};

use crate::entries::{current_revision, require_kind};
use crate::error::BookError;
use crate::limits::{check_figure, check_note, check_short};
use crate::records::{EntryId, Kind, SetAsideLog, StageRecord};
use crate::store::{Book, collect};

const COLUMNS: &str = "SELECT id, commission, stage, tool, grade, wood, volume_mm3, minutes,
    force_n, note, at, set_aside_reason, set_aside_at FROM stage_log";

impl Book {
    /// Stores a stage done and returns the number of its record.
    ///
    /// # Errors
    /// [`BookError::TooLong`] and [`BookError::BadFigure`] when the record is not as
    /// [`StageRecord`] says, [`BookError::NoSuchEntry`], [`BookError::WrongKind`] when the entry
    /// is a kit, or those of the file itself.
    pub fn log_stage(&self, log: &StageRecord) -> Result<i64, BookError> {
        check(log)?;
        self.write(|transaction| {
            require_kind(transaction, log.commission, Kind::Commission)?;
            transaction
                .prepare_cached(
                    "INSERT INTO stage_log (commission, stage, tool, grade, wood, volume_mm3,
                                            minutes, force_n, note, at)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
                )?
                .execute(params![
                    log.commission.0,
                    log.stage,
                    log.tool,
                    log.grade,
                    log.wood,
                    log.volume_mm3,
                    log.minutes,
                    log.force_n,
                    log.note,
                    log.at
                ])?;
            Ok(transaction.last_insert_rowid())
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
                    reason: row.get(11)?,
                    at: row.get(12)?,
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
            transaction
                .prepare_cached(
                    "UPDATE stage_log SET set_aside_reason = ?2, set_aside_at = ?3 WHERE id = ?1",
                )?
                .execute(params![log_id, reason, at])?;
            Ok(())
        })
    }
}

fn check(log: &StageRecord) -> Result<(), BookError> {
    check_short("stage", &log.stage)?;
    check_short("tool", &log.tool)?;
    check_short("grade", &log.grade)?;
    check_short("wood", &log.wood)?;
    check_note("note", &log.note)?;
    check_figure("volume taken off", log.volume_mm3, "mm³")?;
    check_figure("time", log.minutes, "min")?;
    check_figure("force", log.force_n.unwrap_or_default(), "N")
}

fn record_from_row(row: &Row<'_>) -> rusqlite::Result<StageRecord> {
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
    })
}
