//! What goes into a book and what comes out: plain records, made for storing and showing.

use std::fmt;

/// The two kinds of entry a book keeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// One instrument's playing surface, from wish to set-up.
    Commission,
    /// The tools and abrasives a shop owns.
    Kit,
}

impl Kind {
    /// The word under which the kind stands in the file.
    pub(crate) fn stored(self) -> &'static str {
        match self {
            Kind::Commission => "commission",
            Kind::Kit => "kit",
        }
    }

    /// The kind that stands in the file under this word; the schema allows no third word.
    pub(crate) fn from_stored(word: &str) -> Kind {
        if word == "kit" {
            Kind::Kit
        } else {
            Kind::Commission
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.stored())
    }
}

/// The number of an entry; never given twice in one book.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct EntryId(pub i64);

impl fmt::Display for EntryId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(formatter)
    }
}

/// The number of a revision; never given twice in one book, and a later revision has a larger one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RevisionId(pub i64);

impl fmt::Display for RevisionId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(formatter)
    }
}

/// The number of a visit to the bench; never given twice in one book, and a later visit has a
/// larger one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct VisitId(pub i64);

impl fmt::Display for VisitId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(formatter)
    }
}

/// The number of a batch of readings; never given twice in one book, and a later batch has a
/// larger one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct BatchId(pub i64);

impl fmt::Display for BatchId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(formatter)
    }
}

/// One line of the list of entries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntrySummary {
    /// The entry's number.
    pub id: EntryId,
    /// Commission or kit.
    pub kind: Kind,
    /// The title of the current revision.
    pub title: String,
    /// The current revision.
    pub revision: RevisionId,
    /// When anything about the entry last changed, undo and redo included, in unix seconds.
    pub changed_at: i64,
    /// When the entry was made, in unix seconds.
    pub made_at: i64,
    /// Whether the maker has put the entry away; it is hidden then, never deleted.
    pub put_away: bool,
    /// The kit a commission is worked with.
    pub kit: Option<EntryId>,
}

/// One entry as it stands now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The entry's number.
    pub id: EntryId,
    /// Commission or kit.
    pub kind: Kind,
    /// The title of the current revision.
    pub title: String,
    /// The text of the current revision.
    pub text: String,
    /// The current revision; a change must name it as the one it is based on.
    pub revision: RevisionId,
    /// The revision that undo would lead to.
    pub previous: Option<RevisionId>,
    /// What undo would take back; `None` when there is nothing to undo.
    pub undo_what: Option<String>,
    /// What redo would bring back; `None` when there is nothing to redo.
    pub redo_what: Option<String>,
    /// The kit a commission is worked with, when one is chosen.
    pub kit: Option<EntryId>,
}

/// One change of an entry, as handed to [`Book::change`](crate::Book::change).
#[derive(Clone, Copy, Debug)]
pub struct Change<'a> {
    /// The entry to change.
    pub id: EntryId,
    /// The revision the maker was looking at while changing.
    pub based_on: RevisionId,
    /// The title from now on, at most [`MAX_TITLE_CHARS`](crate::MAX_TITLE_CHARS) characters.
    pub title: &'a str,
    /// The whole text from now on, at most [`MAX_TEXT_BYTES`](crate::MAX_TEXT_BYTES) bytes.
    pub text: &'a str,
    /// What was changed, in a few words for the history and for undo, such as "scale length";
    /// at most [`MAX_TITLE_CHARS`](crate::MAX_TITLE_CHARS) characters.
    pub what: &'a str,
    /// The time of the change, in unix seconds.
    pub at: i64,
}

/// One moment in the history of an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RevisionSummary {
    /// The revision's number.
    pub revision: RevisionId,
    /// The revision it was made from; `None` for the first of an entry.
    pub parent: Option<RevisionId>,
    /// What was changed then.
    pub what: String,
    /// The time of the change, in unix seconds.
    pub at: i64,
    /// Whether this is the current revision; exactly one of a history is.
    pub current: bool,
    /// Whether repeated undo arrives here from the current revision, which itself does not count.
    pub reachable_by_undo: bool,
}

/// One moment of an entry, with all that was kept of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// The title then.
    pub title: String,
    /// The text then.
    pub text: String,
    /// What was changed then.
    pub what: String,
    /// The time of the change, in unix seconds.
    pub at: i64,
}

/// One stage done at the bench, as the maker logged it.
///
/// These records are what the shop's own rates of work are learned from.
#[derive(Clone, Debug, PartialEq)]
pub struct StageRecord {
    /// The record's number; `None` until it is in the book, and not looked at by
    /// [`Book::log_stage`](crate::Book::log_stage).
    pub id: Option<i64>,
    /// The commission worked on.
    pub commission: EntryId,
    /// The stable key of the stage.
    pub stage: String,
    /// The tool used.
    pub tool: String,
    /// The grade of the abrasive, such as `P120`.
    pub grade: String,
    /// The wood worked on.
    pub wood: String,
    /// The wood taken off, in cubic millimetres; finite and not below zero.
    pub volume_mm3: f64,
    /// The time it took, in minutes; finite and not below zero.
    pub minutes: f64,
    /// The force on the tool in newtons, when known; finite and not below zero.
    pub force_n: Option<f64>,
    /// The maker's note, at most [`MAX_NOTE_CHARS`](crate::MAX_NOTE_CHARS) characters.
    pub note: String,
    /// The time the stage was marked done, in unix seconds.
    pub at: i64,
    /// What the sender calls this record, one name for each record in the whole book, so that one
    /// sent again after a lost answer is stored once; not empty, at most
    /// [`MAX_TITLE_CHARS`](crate::MAX_TITLE_CHARS) characters.
    pub sent_key: Option<String>,
}

/// A stage record that no longer counts, with the maker's reason.
#[derive(Clone, Debug, PartialEq)]
pub struct SetAsideLog {
    /// The record as it was logged.
    pub record: StageRecord,
    /// Why it was set aside.
    pub reason: String,
    /// When it was set aside, in unix seconds.
    pub at: i64,
}

/// One visit to the bench at which the wood was read, as its details stand now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VisitRecord {
    /// The visit's number.
    pub id: VisitId,
    /// The commission whose wood was read.
    pub commission: EntryId,
    /// The maker's name for the visit, such as `1`; no other visit of the commission bears it.
    pub name: String,
    /// The date, as the maker writes it; may be empty.
    pub date: String,
    /// The stable key of the stage after which the wood was read; may be empty.
    pub stage: String,
    /// When the visit was entered, in unix seconds.
    pub made_at: i64,
    /// How many batches of readings it has, those set aside included.
    pub batches: u32,
}

/// The details of a visit as they stood from one moment on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VisitDetail {
    /// The name then.
    pub name: String,
    /// The date then, as the maker wrote it.
    pub date: String,
    /// The stage then.
    pub stage: String,
    /// When these details were entered, in unix seconds.
    pub at: i64,
}

/// A batch of readings on its way into the book, as handed to
/// [`Book::add_readings`](crate::Book::add_readings).
#[derive(Clone, Copy, Debug)]
pub struct NewReadings<'a> {
    /// The visit at which they were taken.
    pub visit: VisitId,
    /// The readings as typed, pasted or read from a file; not empty, at most
    /// [`MAX_READINGS_BYTES`](crate::MAX_READINGS_BYTES) bytes; kept letter for letter, not read.
    pub text: &'a str,
    /// Where the text came from, such as `keypad`, `pasted` or the name of a file; at most
    /// [`MAX_TITLE_CHARS`](crate::MAX_TITLE_CHARS) characters.
    pub source: &'a str,
    /// What the sender calls this batch, one name for each batch in the whole book, so that one
    /// sent again after a lost answer is not entered twice; not empty, at most
    /// [`MAX_TITLE_CHARS`](crate::MAX_TITLE_CHARS) characters.
    pub sent_key: Option<&'a str>,
    /// The time the batch was entered, in unix seconds.
    pub at: i64,
}

/// One batch of readings, and what of it is set aside now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingsBatch {
    /// The batch's number.
    pub id: BatchId,
    /// The readings, letter for letter as they came.
    pub text: String,
    /// Where the text came from.
    pub source: String,
    /// When the batch was entered, in unix seconds.
    pub at: i64,
    /// What is set aside now, the whole batch first, then line by line.
    pub set_aside: Vec<SetAsideLine>,
}

/// A line of a batch, or all of it, that does not count for now, with the maker's reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetAsideLine {
    /// The line, counted from 1; `None` for the whole batch.
    pub line: Option<u32>,
    /// Why it was set aside.
    pub reason: String,
    /// When it was set aside for this reason, in unix seconds.
    pub at: i64,
}
