//! The handle on an open book: opening it, and the one way in for every read and every write.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, Params, Row, Transaction, TransactionBehavior};

use crate::error::{BookError, Fault};
use crate::limits::BUSY_WAIT;
use crate::open_books::{OpenBooks, Registration};
use crate::{door, format};

/// Every statement of this room fits, so that each is prepared once.
const STATEMENTS_KEPT: usize = 64;

/// An open book.
///
/// It may be shared between threads, and several handles, in one program or in several, may be
/// open on one file: writers wait for each other, and [`Change::based_on`](crate::Change) keeps
/// them from overwriting each other.
/// A change for which a function here has returned `Ok` is on the disk.
#[derive(Debug)]
pub struct Book {
    connection: Mutex<Connection>,
    /// Stands after the connection because fields are dropped in this order.
    #[expect(dead_code, reason = "it works by being dropped")]
    registration: Registration,
    path: PathBuf,
}

impl Book {
    /// Opens the book at this path, and makes it, with its folder, when there is none.
    ///
    /// An older format is brought to [`FORMAT_VERSION`](crate::FORMAT_VERSION) first.
    ///
    /// # Errors
    /// [`BookError::NotABook`], [`Foreign`](BookError::Foreign),
    /// [`NewerFormat`](BookError::NewerFormat), [`IsFolder`](BookError::IsFolder),
    /// [`NotAFile`](BookError::NotAFile), [`NotWritable`](BookError::NotWritable),
    /// [`Unreadable`](BookError::Unreadable), [`StrayLog`](BookError::StrayLog) and
    /// [`Damaged`](BookError::Damaged); what stands at the path is left untouched then.
    pub fn open(path: &Path) -> Result<Book, BookError> {
        // Made absolute, no path can mean SQLite's own special names, such as `:memory:`.
        let path = std::path::absolute(path).map_err(|error| BookError::Unreadable {
            path: path.into(),
            detail: error.to_string(),
        })?;
        let open_books = OpenBooks::hold();
        if !open_books.has(&path) {
            door::check(&path)?;
        }
        let connection = open_connection(&path).map_err(|fault| fault.at(&path))?;
        let registration = open_books.register(&path);
        Ok(Book {
            connection: Mutex::new(connection),
            registration,
            path,
        })
    }

    /// A book that lives in memory only and is gone when it is dropped: for trials and tests.
    ///
    /// # Errors
    /// [`BookError::Storage`] when there is no memory for it.
    pub fn open_in_memory() -> Result<Book, BookError> {
        let path = PathBuf::from("in memory");
        let prepare = || -> Result<Connection, Fault> {
            let mut connection = Connection::open_in_memory()?;
            set_up(&connection)?;
            migrate(&mut connection, &path)?;
            Ok(connection)
        };
        let connection = prepare().map_err(|fault| fault.at(&path))?;
        let registration = Registration::none();
        Ok(Book {
            connection: Mutex::new(connection),
            registration,
            path,
        })
    }

    pub(crate) fn own_path(&self) -> &Path {
        &self.path
    }

    /// Runs something that only reads.
    pub(crate) fn read<T>(
        &self,
        deed: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, BookError> {
        deed(&self.lock()).map_err(|fault| fault.at(&self.path))
    }

    /// Runs something that writes: all of it is stored, or, after an error, none of it.
    pub(crate) fn write<T>(
        &self,
        deed: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>,
    ) -> Result<T, BookError> {
        in_transaction(&mut self.lock(), deed).map_err(|fault| fault.at(&self.path))
    }

    /// A thread that panicked while it held the book left no half-done change behind: its
    /// transaction was rolled back on the way out, so the connection is fit for use.
    pub(crate) fn lock(&self) -> MutexGuard<'_, Connection> {
        self.connection
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }
}

/// All rows that answer a question, each as one record.
pub(crate) fn collect<T>(
    connection: &Connection,
    question: &str,
    values: impl Params,
    from_row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Vec<T>, Fault> {
    let mut statement = connection.prepare_cached(question)?;
    let rows = statement.query_map(values, from_row)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// The write lock is taken at the start, so that what the deed reads cannot change under it.
fn in_transaction<T>(
    connection: &mut Connection,
    deed: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>,
) -> Result<T, Fault> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let outcome = deed(&transaction)?;
    transaction.commit()?;
    Ok(outcome)
}

fn open_connection(path: &Path) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(path, flags)?;
    // Until the file is known to be ours, closing it again must not move a log into it.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    set_up(&connection)?;
    // One transaction, so that a book another program is just making is not seen half-made.
    format::check_marks(&*connection.transaction()?, path)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
    // The tables are made before the log is switched on: the header of a book then always
    // carries our mark, whatever moment a crash chooses.
    migrate(&mut connection, path)?;
    switch_to_log(&connection)?;
    Ok(connection)
}

/// What SQLite keeps per connection, not in the file.
pub(crate) fn set_up(connection: &Connection) -> Result<(), Fault> {
    connection.busy_timeout(BUSY_WAIT)?;
    connection.set_prepared_statement_cache_capacity(STATEMENTS_KEPT);
    // A statement that is kept keeps its plan. Else SQLite, as it is built in here (with STAT4),
    // looks whether each new value calls for another plan and prepares the statement anew: half the
    // time of a list went there. There are no such figures on our tables, so nothing is lost.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // A book may come from someone else: what its schema says is not to be trusted with more
    // than plain functions.
    connection.pragma_update(None, "trusted_schema", false)?;
    Ok(())
}

fn migrate(connection: &mut Connection, path: &Path) -> Result<(), Fault> {
    let (_, found) = format::marks(connection)?;
    if found == format::FORMAT_VERSION {
        return Ok(());
    }
    in_transaction(connection, |transaction| {
        // Checked again: another program may have written since the file was found blank.
        format::check_marks(transaction, path)?;
        format::bring_up_to_date(transaction)
    })
}

/// Switches to write-ahead logging, which the file then remembers.
///
/// SQLite does not always wait by itself here when two programs open a new book at once.
fn switch_to_log(connection: &Connection) -> Result<(), Fault> {
    const PAUSE: Duration = Duration::from_millis(20);
    let mut tries_left = BUSY_WAIT.as_millis() / PAUSE.as_millis();
    loop {
        let outcome = connection
            .pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get::<_, String>(0))
            .map_err(Fault::from);
        match outcome {
            Ok(_) => return Ok(()),
            Err(fault) if fault.is_busy() && tries_left > 0 => thread::sleep(PAUSE),
            Err(fault) => return Err(fault),
        }
        tries_left -= 1;
    }
}

#[cfg(test)]
mod tests;
