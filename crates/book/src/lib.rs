//! The store of everything: commissions, kits, stages done, readings, and the history of every
//! change.
//!
//! A [`Book`] is one SQLite file on the maker's own computer.
//! It keeps each commission and each kit as a text with a title, and every change of it as a new
//! revision; undo and redo only move a pointer, so that nothing typed is ever lost.
//! Beside the entries it keeps the stages done at the bench, the readings of the wood by visit,
//! and a few settings.
//!
//! The book keeps texts and does not read them: what a commission means is for the rooms that
//! compute, and times come in as arguments, in seconds since 1970-01-01 00:00 UTC.
//! The format is described in `docs/formats/book.md`.
//!
//! ```
//! use book::{Book, Change, Kind};
//!
//! let book = Book::open_in_memory()?;
//! let heron = book.create(Kind::Commission, "Heron", "length = 635", "first wish", 1_000)?;
//! let first = book.entry(heron)?.revision;
//! let change = Change {
//!     id: heron,
//!     based_on: first,
//!     title: "Heron",
//!     text: "length = 640",
//!     what: "scale length",
//!     at: 1_060,
//! };
//! book.change(&change)?;
//! // The same change once more is based on a moment that has passed: refused, nothing written.
//! assert!(book.change(&change).is_err());
//! book.undo(heron, 1_120)?;
//! assert_eq!(book.entry(heron)?.text, "length = 635");
//! # Ok::<(), book::BookError>(())
//! ```
//!
//! Readings are kept as they came, and what does not count is set aside, never deleted:
//!
//! ```
//! use book::{Book, Kind, NewReadings};
//!
//! let book = Book::open_in_memory()?;
//! let heron = book.create(Kind::Commission, "Heron", "length = 635", "first wish", 1_000)?;
//! let visit = book.add_visit(heron, "1", "Tuesday", "", 1_060)?;
//! let typed = NewReadings {
//!     visit,
//!     text: "0.12\n9.99",
//!     source: "keypad",
//!     sent_key: Some("tablet 1"),
//!     at: 1_120,
//! };
//! let batch = book.add_readings(&typed)?;
//! // Sent again because the answer was lost: entered once.
//! assert_eq!(book.add_readings(&typed)?, batch);
//! book.set_aside_readings(batch, Some(2), "dust under the foot", 1_180)?;
//! // There is no third line to set aside.
//! assert!(book.set_aside_readings(batch, Some(3), "dust", 1_180).is_err());
//! assert_eq!(book.readings(visit)?[0].set_aside[0].line, Some(2));
//! # Ok::<(), book::BookError>(())
//! ```

mod backup;
mod door;
mod entries;
mod error;
mod format;
mod history;
mod limits;
mod open_books;
mod readings;
mod records;
mod settings;
mod stages;
mod store;
mod tags;
mod visits;
mod whole;

pub use backup::{
    BookState, CopyFacts, book_of_copy, copy_unopened, format_of, look_at_copy, move_aside,
};
pub use error::BookError;
pub use format::{APPLICATION_ID, FORMAT_VERSION};
pub use limits::{
    MAX_NOTE_CHARS, MAX_READINGS_BYTES, MAX_TAG_CHARS, MAX_TAGS, MAX_TEXT_BYTES, MAX_TITLE_CHARS,
};
pub use records::{
    BatchId, Change, Entry, EntryId, EntrySummary, Kind, Moment, NewReadings, ReadingsBatch,
    RevisionId, RevisionSummary, SetAsideLine, SetAsideLog, StageRecord, VisitDetail, VisitId,
    VisitRecord,
};
pub use settings::TABLETS_SETTING;
pub use store::Book;
pub use whole::{
    KitLink, PutIn, SetAsideEvent, Setting, TagEvent, WholeBatch, WholeEntry, WholeMoment,
    WholeStage, WholeVisit,
};
