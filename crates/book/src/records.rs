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
