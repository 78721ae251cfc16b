//! Visits to the bench at which the wood was read: making, correcting and listing them.
//!
//! A visit itself never changes.
//! Its name, date and stage are details, and a correction adds a further version of them; the
//! one added last counts, and the ones before it stay.

use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use crate::entries::{mark_changed, require_kind};
use crate::error::{BookError, Fault};
use crate::limits::{check_filled, check_short};
use crate::records::{EntryId, Kind, VisitDetail, VisitId, VisitRecord};
use crate::store::{Book, collect};

const COLUMNS: &str = "SELECT v.id, v.commission, d.name, d.date, d.stage, v.made_at,
        (SELECT count(*) FROM readings_batch b WHERE b.visit = v.id)
    FROM visit v
    JOIN visit_detail d ON d.id = (SELECT max(l.id) FROM visit_detail l WHERE l.visit = v.id)";

impl Book {
    /// Enters a visit to the bench and returns its number.
    ///
    /// The date is kept as the maker writes it and may be empty, and so may the stage, the stable
    /// key of the stage of the bench plan after which the wood was read.
    ///
    /// # Errors
    /// [`BookError::Empty`] for the name, [`BookError::TooLong`], [`BookError::VisitNameTaken`],
    /// [`BookError::NoSuchEntry`], [`BookError::WrongKind`] when the entry is a kit, or those of
    /// the file itself.
    pub fn add_visit(
        &self,
        commission: EntryId,
        name: &str,
        date: &str,
        stage: &str,
        at: i64,
    ) -> Result<VisitId, BookError> {
        let detail = NewDetail {
            name,
            date,
            stage,
            at,
        };
        detail.check()?;
        self.write(|transaction| {
            require_kind(transaction, commission, Kind::Commission)?;
            require_free_name(transaction, commission, name, None)?;
            transaction
                .prepare_cached("INSERT INTO visit (commission, made_at) VALUES (?1, ?2)")?
                .execute(params![commission.0, at])?;
            let visit = VisitId(transaction.last_insert_rowid());
            detail.add_to(transaction, visit)?;
            mark_changed(transaction, commission, at)?;
            Ok(visit)
        })
    }

    /// Corrects the name, the date and the stage of a visit; what stood before is kept.
    ///
    /// When all three stand like that already, nothing is written.
    ///
    /// # Errors
    /// [`BookError::NoSuchVisit`], [`BookError::Empty`] for the name, [`BookError::TooLong`],
    /// [`BookError::VisitNameTaken`], or those of the file itself.
    pub fn change_visit(
        &self,
        visit: VisitId,
        name: &str,
        date: &str,
        stage: &str,
        at: i64,
    ) -> Result<(), BookError> {
        let detail = NewDetail {
            name,
            date,
            stage,
            at,
        };
        detail.check()?;
        self.write(|transaction| {
            let now = record(transaction, visit)?;
            if detail.says_the_same_as(&now) {
                return Ok(());
            }
            require_free_name(transaction, now.commission, name, Some(visit))?;
            detail.add_to(transaction, visit)?;
            mark_changed(transaction, now.commission, at)
        })
    }

    /// The visits of a commission, in the order they were entered.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], [`BookError::WrongKind`] when the entry is a kit, or those of
    /// the file itself.
    pub fn visits(&self, commission: EntryId) -> Result<Vec<VisitRecord>, BookError> {
        self.read(|connection| {
            require_kind(connection, commission, Kind::Commission)?;
            records(connection, commission)
        })
    }

    /// One visit as its details stand now.
    ///
    /// # Errors
    /// [`BookError::NoSuchVisit`], or those of the file itself.
    pub fn visit(&self, visit: VisitId) -> Result<VisitRecord, BookError> {
        self.read(|connection| record(connection, visit))
    }

    /// Every version of a visit's details, the newest, which counts, first.
    ///
    /// # Errors
    /// [`BookError::NoSuchVisit`], or those of the file itself.
    pub fn visit_details(&self, visit: VisitId) -> Result<Vec<VisitDetail>, BookError> {
        self.read(|connection| {
            let question =
                "SELECT name, date, stage, at FROM visit_detail WHERE visit = ?1 ORDER BY id DESC";
            let details = collect(connection, question, [visit.0], detail_from_row)?;
            if details.is_empty() {
                return Err(BookError::NoSuchVisit { visit }.into());
            }
            Ok(details)
        })
    }
}

/// The commission a visit belongs to, or that there is no such visit.
pub(crate) fn commission_of(connection: &Connection, visit: VisitId) -> Result<EntryId, Fault> {
    let mut statement = connection.prepare_cached("SELECT commission FROM visit WHERE id = ?1")?;
    let commission = statement
        .query_row([visit.0], |row| row.get(0).map(EntryId))
        .optional()?;
    Ok(commission.ok_or(BookError::NoSuchVisit { visit })?)
}

/// A version of the details on its way into the book.
struct NewDetail<'a> {
    name: &'a str,
    date: &'a str,
    stage: &'a str,
    at: i64,
}

impl NewDetail<'_> {
    fn check(&self) -> Result<(), BookError> {
        check_filled("name of the visit", self.name)?;
        check_short("name of the visit", self.name)?;
        check_short("date of the visit", self.date)?;
        check_short("stage of the visit", self.stage)
    }

    fn says_the_same_as(&self, now: &VisitRecord) -> bool {
        (self.name, self.date, self.stage) == (&now.name, &now.date, &now.stage)
    }

    fn add_to(&self, transaction: &Transaction<'_>, visit: VisitId) -> Result<(), Fault> {
        transaction
            .prepare_cached(
                "INSERT INTO visit_detail (visit, name, date, stage, at)
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![visit.0, self.name, self.date, self.stage, self.at])?;
        Ok(())
    }
}

/// Only names that stand now are taken; one that a correction has replaced is free again.
///
/// Blanks around a name do not tell it from another: nobody could see the difference.
fn require_free_name(
    connection: &Connection,
    commission: EntryId,
    name: &str,
    own: Option<VisitId>,
) -> Result<(), Fault> {
    let visits = records(connection, commission)?;
    let taken = visits
        .iter()
        .find(|other| Some(other.id) != own && other.name.trim() == name.trim());
    match taken {
        Some(other) => Err(BookError::VisitNameTaken {
            name: name.into(),
            visit: other.id,
        }
        .into()),
        None => Ok(()),
    }
}

fn records(connection: &Connection, commission: EntryId) -> Result<Vec<VisitRecord>, Fault> {
    let question = format!("{COLUMNS} WHERE v.commission = ?1 ORDER BY v.id");
    collect(connection, &question, [commission.0], record_from_row)
}

fn record(connection: &Connection, visit: VisitId) -> Result<VisitRecord, Fault> {
    let question = format!("{COLUMNS} WHERE v.id = ?1");
    let mut statement = connection.prepare_cached(&question)?;
    let found = statement.query_row([visit.0], record_from_row).optional()?;
    Ok(found.ok_or(BookError::NoSuchVisit { visit })?)
}

fn record_from_row(row: &Row<'_>) -> rusqlite::Result<VisitRecord> {
    Ok(VisitRecord {
        id: VisitId(row.get(0)?),
        commission: EntryId(row.get(1)?),
        name: row.get(2)?,
        date: row.get(3)?,
        stage: row.get(4)?,
        made_at: row.get(5)?,
        batches: row.get(6)?,
    })
}

fn detail_from_row(row: &Row<'_>) -> rusqlite::Result<VisitDetail> {
    Ok(VisitDetail {
        name: row.get(0)?,
        date: row.get(1)?,
        stage: row.get(2)?,
        at: row.get(3)?,
    })
}
