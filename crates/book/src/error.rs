//! Everything that can go wrong with a book, each with its way out.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;
use thiserror::Error;

use crate::records::{BatchId, EntryId, Kind, RevisionId, VisitId};

/// Why a book could not be opened, read or written.
///
/// Whenever an error comes back nothing has been written: a file that is not a book of ours is
/// left byte for byte as it was, and a change that failed has not happened at all.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum BookError {
    /// The file is not an SQLite file.
    #[error(
        "{} is not a book: it is not an SQLite file; it was left untouched, choose another path \
         for the book", path.display()
    )]
    NotABook {
        /// The file that was refused.
        path: PathBuf,
    },
    /// The file is an SQLite file of another program.
    #[error(
        "{} belongs to another program: it is an SQLite file with application id {application_id}, \
         a book has {}; it was left untouched, choose another path for the book",
        path.display(), crate::APPLICATION_ID
    )]
    Foreign {
        /// The file that was refused.
        path: PathBuf,
        /// The application id in its header; zero when it has none.
        application_id: u32,
    },
    /// The book was written by a later version of this program.
    #[error(
        "the book {} has format {found}, this version reads formats up to {known}; it was left \
         untouched, open it with the newer version that wrote it", path.display()
    )]
    NewerFormat {
        /// The book that was refused.
        path: PathBuf,
        /// The format it has.
        found: u32,
        /// The newest format this version reads.
        known: u32,
    },
    /// The path names a folder.
    #[error(
        "{} is a folder, a book is a file; name a file in it, such as {}",
        path.display(), path.join("shop.book").display()
    )]
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// The path names something that is neither a file nor a folder.
    #[error(
        "{} is a device, a pipe or a socket, a book is a file; choose another path for the book",
        path.display()
    )]
    NotAFile {
        /// The path that was refused.
        path: PathBuf,
    },
    /// The book's file or its folder cannot be written.
    #[error(
        "the book {} cannot be written: {detail}; the file and its folder must both be writable \
         because the book keeps files beside it: allow writing there, or choose another path",
        path.display()
    )]
    NotWritable {
        /// The book.
        path: PathBuf,
        /// What the operating system or SQLite said.
        detail: String,
    },
    /// The file could not be looked at.
    #[error(
        "the book {} cannot be read: {detail}; check the path and the permissions on it",
        path.display()
    )]
    Unreadable {
        /// The path.
        path: PathBuf,
        /// What the operating system said.
        detail: String,
    },
    /// The last changes of a book lie in a log file, and the book they belong to is gone.
    #[error(
        "there is no book at {}, but {} holds the last changes of one; put the book back beside \
         it, or move that file away to begin a new book", path.display(), log.display()
    )]
    StrayLog {
        /// Where the book should be.
        path: PathBuf,
        /// The log left behind.
        log: PathBuf,
    },
    /// The file is a book, but its contents are broken.
    #[error(
        "the book {} is damaged: {detail}; keep a copy of it and of the files beside it with \
         -wal and -shm at the end, then go back to your last backup", path.display()
    )]
    Damaged {
        /// The book.
        path: PathBuf,
        /// What SQLite said.
        detail: String,
    },
    /// A copy of the book could not be made, or a book moved aside.
    #[error(
        "{} was not made: {detail}; the book itself is as it was: choose another name, free some \
         space, or allow writing there", path.display()
    )]
    NotCopied {
        /// The file that was to be made.
        path: PathBuf,
        /// What stood in the way.
        detail: String,
    },
    /// What should be a copy of a book is none, or damaged.
    #[error(
        "{} is no sound copy of a book: {detail}; it was left untouched, choose another copy",
        path.display()
    )]
    BadCopy {
        /// The file.
        path: PathBuf,
        /// What was found.
        detail: String,
    },
    /// There is no room left.
    #[error(
        "no room to write to the book {}: the disk is full; this change was not stored, all \
         earlier ones are: free some space and try again", path.display()
    )]
    Full {
        /// The book.
        path: PathBuf,
    },
    /// Another program held the book for too long.
    #[error(
        "the book {} was held by another program for more than {waited_s} s; this change was not \
         stored: close the other program, or try again", path.display()
    )]
    Busy {
        /// The book.
        path: PathBuf,
        /// How long this program waited, in seconds.
        waited_s: u64,
    },
    /// SQLite reported something else.
    #[error(
        "the book {} could not be read or written: {detail}; this change was not stored, all \
         earlier ones are: try again, and check the disk when it happens again", path.display()
    )]
    Storage {
        /// The book.
        path: PathBuf,
        /// What SQLite said.
        detail: String,
    },
    /// No entry has this number.
    #[error("the book has no entry {id}; choose one from its list of entries")]
    NoSuchEntry {
        /// The number asked for.
        id: EntryId,
    },
    /// No revision has this number, or it belongs to another entry.
    #[error("there is no revision {revision} here; choose one from the history of the entry")]
    NoSuchRevision {
        /// The number asked for.
        revision: RevisionId,
    },
    /// No stage record has this number.
    #[error("the book has no stage record {log_id}; choose one from the list of stages done")]
    NoSuchLog {
        /// The number asked for.
        log_id: i64,
    },
    /// The stage record has been set aside before.
    #[error(
        "stage record {log_id} is already set aside, because: {reason}; that reason stays, log \
         the stage anew to correct it"
    )]
    AlreadySetAside {
        /// The record.
        log_id: i64,
        /// The reason given then.
        reason: String,
    },
    /// No visit has this number.
    #[error("the book has no visit {visit}; choose one from the visits of the commission")]
    NoSuchVisit {
        /// The number asked for.
        visit: VisitId,
    },
    /// Another visit of the same commission bears the name.
    #[error(
        "visit {visit} of this commission is called {name} already; choose another name, or add \
         the readings to that visit"
    )]
    VisitNameTaken {
        /// The name, as given.
        name: String,
        /// The visit that bears it.
        visit: VisitId,
    },
    /// No batch of readings has this number.
    #[error("the book has no batch of readings {batch}; choose one from those of the visit")]
    NoSuchBatch {
        /// The number asked for.
        batch: BatchId,
    },
    /// A batch of readings has no such line.
    #[error(
        "batch {batch} of readings has no line {line}, its lines are 1 to {lines}; choose one of \
         them, or the whole batch"
    )]
    NoSuchLine {
        /// The batch.
        batch: BatchId,
        /// The line asked for.
        line: u32,
        /// How many lines the batch has.
        lines: usize,
    },
    /// The sender's key was used for other readings, or for another visit.
    #[error(
        "the key {sent_key} came with batch {batch} of visit {visit} already, and what comes with \
         it now is not the same; nothing was stored: look at that batch, and send new readings \
         under a new key"
    )]
    SentKeyUsed {
        /// The key.
        sent_key: String,
        /// The batch that was stored with it.
        batch: BatchId,
        /// The visit that batch belongs to.
        visit: VisitId,
    },
    /// The sender's key was used for another stage done.
    #[error(
        "the key {sent_key} came with stage record {log_id} of commission {commission} already, \
         and what comes with it now is not the same; nothing was stored: look at that record, and \
         send the stage under a new key"
    )]
    StageKeyUsed {
        /// The key.
        sent_key: String,
        /// The record that was stored with it.
        log_id: i64,
        /// The commission that record belongs to.
        commission: EntryId,
    },
    /// An entry has as many tags as it may have.
    #[error(
        "the entry has {limit} tags, which is the most it may have; take one off before putting \
         another on"
    )]
    TooManyTags {
        /// How many it may have.
        limit: usize,
    },
    /// A tag has a comma or a sign that cannot be seen in it.
    #[error(
        "the tag {tag:?} holds a comma, a line break or another sign that cannot be seen; a tag is \
         a few words without them"
    )]
    BadTag {
        /// The tag, as given.
        tag: String,
    },
    /// An entry that is to be put in does not hold together.
    #[error(
        "what is to be put into the book does not hold together: {detail}; nothing was stored: \
         take the entry out of its book again"
    )]
    NotWhole {
        /// The rule that is broken.
        detail: &'static str,
    },
    /// Who was told how far it is broke it off.
    #[error("it was stopped, and nothing was put into the book; begin it anew")]
    Stopped,
    /// A batch of readings is too long.
    #[error(
        "the readings are {bytes} bytes long, at most {limit} bytes are kept in one batch; split \
         them into several batches"
    )]
    ReadingsTooLong {
        /// Their length in bytes.
        bytes: usize,
        /// The limit in bytes.
        limit: usize,
    },
    /// A text that is asked for is empty or holds blanks only.
    #[error("the {thing} is empty, at least 1 character is asked for; fill it in")]
    Empty {
        /// Which text.
        thing: &'static str,
    },
    /// A kit stands where a commission is asked for, or the other way round.
    #[error("entry {id} is not a {wanted}; choose a {wanted} from the list of entries")]
    WrongKind {
        /// The entry.
        id: EntryId,
        /// The kind that was asked for.
        wanted: Kind,
    },
    /// The entry is at its first revision.
    #[error("there is nothing to undo: this is the entry as it was made")]
    NothingToUndo,
    /// The entry is at the end of its line of changes.
    #[error("there is nothing to redo: no change was undone since the last one made")]
    NothingToRedo,
    /// The entry was changed elsewhere in the meantime.
    #[error(
        "the entry was changed elsewhere in the meantime and stands at revision {current}; \
         nothing was written: read the entry again and make the change there"
    )]
    Stale {
        /// The revision the entry stands at.
        current: RevisionId,
    },
    /// The text of a commission or kit, or the value of a setting, is too long.
    #[error(
        "the {thing} is {bytes} bytes long, at most {limit} bytes are kept; shorten it, and keep \
         long notes and pictures in files of their own"
    )]
    TextTooLong {
        /// Which text.
        thing: &'static str,
        /// Its length in bytes.
        bytes: usize,
        /// The limit in bytes.
        limit: usize,
    },
    /// A title, a note or another short text is too long.
    #[error("the {thing} is {chars} characters long, at most {limit} are kept; shorten it")]
    TooLong {
        /// Which text.
        thing: &'static str,
        /// Its length in characters.
        chars: usize,
        /// The limit in characters.
        limit: usize,
    },
    /// A figure of a stage record is not a number, infinite or below zero.
    #[error("the {thing} is {value} {unit}, it must be a number not below 0 {unit}; correct it")]
    BadFigure {
        /// Which figure.
        thing: &'static str,
        /// The value given, as written out.
        value: String,
        /// Its unit.
        unit: &'static str,
    },
}

/// What goes wrong inside the room, before the book it happened to is named.
#[derive(Debug)]
pub(crate) enum Fault {
    /// Already said as it will be shown.
    Said(BookError),
    /// As SQLite reported it.
    Sql(rusqlite::Error),
}

impl From<BookError> for Fault {
    fn from(error: BookError) -> Fault {
        Fault::Said(error)
    }
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Fault {
        Fault::Sql(error)
    }
}

impl Fault {
    /// The error as it is handed up, with the book named.
    pub(crate) fn at(self, path: &Path) -> BookError {
        match self {
            Fault::Said(error) => error,
            Fault::Sql(error) => named(&error, path.to_path_buf()),
        }
    }

    /// Whether SQLite gave up because another connection held a lock.
    pub(crate) fn is_busy(&self) -> bool {
        matches!(self, Fault::Sql(error) if is_lock(error.sqlite_error_code()))
    }
}

fn is_lock(code: Option<ErrorCode>) -> bool {
    matches!(
        code,
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked)
    )
}

fn named(error: &rusqlite::Error, path: PathBuf) -> BookError {
    let detail = error.to_string();
    let code = error.sqlite_error_code();
    if is_lock(code) {
        return BookError::Busy {
            path,
            waited_s: crate::limits::BUSY_WAIT.as_secs(),
        };
    }
    match code {
        Some(ErrorCode::DiskFull) => BookError::Full { path },
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
            BookError::Damaged { path, detail }
        }
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
            BookError::NotWritable { path, detail }
        }
        _ => BookError::Storage { path, detail },
    }
}
