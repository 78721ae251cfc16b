//! Settings of the shop that belong to no entry, such as the unit lengths are shown in.

use rusqlite::{Connection, OptionalExtension, params};

use crate::error::{BookError, Fault};
use crate::limits::{check_short, check_text};
use crate::store::Book;

/// The setting under which it is kept which tablets are paired with the book, and when each was
/// seen. It is of one book at one time: writing it is no reason for a copy of the book, and a book
/// made of a copy begins without it.
pub const TABLETS_SETTING: &str = "tablets";

impl Book {
    /// The value of a setting; `None` when it was never set.
    ///
    /// # Errors
    /// Only those of the file itself.
    pub fn setting(&self, key: &str) -> Result<Option<String>, BookError> {
        self.read(|connection| {
            let mut statement =
                connection.prepare_cached("SELECT value FROM setting WHERE key = ?1")?;
            Ok(statement.query_row([key], |row| row.get(0)).optional()?)
        })
    }

    /// Sets a setting; its value before is not kept.
    ///
    /// # Errors
    /// [`BookError::TooLong`] for the key, [`BookError::TextTooLong`] for the value, or those of
    /// the file itself.
    pub fn set_setting(&self, key: &str, value: &str, at: i64) -> Result<(), BookError> {
        check_short("name of the setting", key)?;
        check_text("value of the setting", value)?;
        self.write(|transaction| store(transaction, key, value, at))
    }

    /// Changes a setting by what it was, so that two programs that change it at once both count.
    ///
    /// `deed` gets the value, `None` when it was never set, and returns the next one, or `None`
    /// to leave it as it is.
    ///
    /// # Errors
    /// As of [`Book::set_setting`].
    pub fn change_setting(
        &self,
        key: &str,
        at: i64,
        deed: impl FnOnce(Option<&str>) -> Option<String>,
    ) -> Result<(), BookError> {
        check_short("name of the setting", key)?;
        self.write(|transaction| {
            let was: Option<String> = transaction
                .prepare_cached("SELECT value FROM setting WHERE key = ?1")?
                .query_row([key], |row| row.get(0))
                .optional()?;
            let Some(value) = deed(was.as_deref()) else {
                return Ok(());
            };
            check_text("value of the setting", &value)?;
            store(transaction, key, &value, at)
        })
    }
}

fn store(connection: &Connection, key: &str, value: &str, at: i64) -> Result<(), Fault> {
    connection
        .prepare_cached(
            "INSERT INTO setting (key, value, changed_at) VALUES (?1, ?2, ?3)
             ON CONFLICT (key) DO UPDATE
             SET value = excluded.value, changed_at = excluded.changed_at",
        )?
        .execute(params![key, value, at])?;
    Ok(())
}
