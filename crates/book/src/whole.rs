//! Whole entries, with all that was ever kept of them, for carrying them from one book to another.
//!
//! Numbers of one book mean nothing in another, so a whole entry names its moments by their places
//! in it, and everything else stands in the order in which it was stored.
//! Putting entries in adds to the book and touches nothing that is there.

mod put;
mod take;

use std::ops::ControlFlow;

use crate::error::BookError;
use crate::records::{EntryId, Kind, StageRecord, VisitDetail};
use crate::store::Book;

/// An entry with its whole history, its tags, stages done, visits and readings.
#[derive(Clone, Debug, PartialEq)]
pub struct WholeEntry {
    /// Commission or kit.
    pub kind: Kind,
    /// When the entry was made, in unix seconds.
    pub made_at: i64,
    /// When anything about it last changed.
    pub changed_at: i64,
    /// When it was put away, when it is.
    pub put_away_at: Option<i64>,
    /// The place of the moment it stands at, among its moments.
    pub current: usize,
    /// Every moment in the order made; at least one.
    pub moments: Vec<WholeMoment>,
    /// Every event of its tags, in order.
    pub tags: Vec<TagEvent>,
    /// Every stage done, in order; a kit has none.
    pub stages: Vec<WholeStage>,
    /// Every visit, in order; a kit has none.
    pub visits: Vec<WholeVisit>,
}

/// One moment of a whole entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WholeMoment {
    /// The place of the moment it was made from; only the first has none.
    pub parent: Option<usize>,
    /// The title then.
    pub title: String,
    /// What was changed.
    pub what: String,
    /// When.
    pub at: i64,
    /// The whole text then.
    pub text: String,
}

/// A tag put on or taken off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TagEvent {
    /// The tag.
    pub tag: String,
    /// When.
    pub at: i64,
    /// Whether it was taken off.
    pub taken_off: bool,
}

/// A stage done, and why it was set aside when it was.
#[derive(Clone, Debug, PartialEq)]
pub struct WholeStage {
    /// The record; its numbers of record and commission are not looked at.
    pub record: StageRecord,
    /// Why and when it was set aside.
    pub set_aside: Option<(String, i64)>,
}

/// A visit with every version of its details, and its readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WholeVisit {
    /// When it was entered.
    pub made_at: i64,
    /// Every version of its details, the one that counts last; at least one.
    pub details: Vec<VisitDetail>,
    /// Its batches of readings, in order.
    pub batches: Vec<WholeBatch>,
}

/// A batch of readings with all that was set aside of it and taken back in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WholeBatch {
    /// Where the text came from.
    pub source: String,
    /// What the sender called it.
    pub sent_key: Option<String>,
    /// When it was entered.
    pub at: i64,
    /// The readings, letter for letter.
    pub text: String,
    /// Every event of setting aside and taking back in, in order.
    pub set_aside: Vec<SetAsideEvent>,
}

/// Readings set aside, or taken back in when there is no reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetAsideEvent {
    /// The line, counted from 1; `None` for the whole batch.
    pub line: Option<u32>,
    /// Why it was set aside; `None` when it was taken back in.
    pub reason: Option<String>,
    /// When.
    pub at: i64,
}

/// A setting of the shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Its name.
    pub key: String,
    /// Its value.
    pub value: String,
    /// When it was set.
    pub changed_at: i64,
}

/// The kit of a commission that is put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KitLink {
    /// None is chosen.
    None,
    /// One that is in the book.
    There(EntryId),
    /// One that is put in together with it, by its place.
    Beside(usize),
}

/// What became of entries and settings that were put in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PutIn {
    /// The numbers of the entries here, in their order.
    pub entries: Vec<EntryId>,
    /// How many senders' keys were left out, because the book has them already.
    pub keys_left_out: usize,
    /// The names of settings that the book has with another value, which stays.
    pub settings_kept: Vec<String>,
}

impl Book {
    /// An entry with everything that was ever kept of it.
    ///
    /// # Errors
    /// [`BookError::NoSuchEntry`], or those of the file itself.
    pub fn whole_entry(&self, id: EntryId) -> Result<WholeEntry, BookError> {
        // One transaction, so that all of it is of one moment.
        self.read(|connection| {
            let transaction = connection.unchecked_transaction()?;
            take::entry(&transaction, id)
        })
    }

    /// Every setting, in the order of their names.
    ///
    /// # Errors
    /// Only those of the file itself.
    pub fn settings(&self) -> Result<Vec<Setting>, BookError> {
        self.read(take::settings)
    }

    /// Puts whole entries and settings into the book: all of it, or, after an error, nothing.
    ///
    /// Entries get numbers of their own, also when the book has one that is just alike.
    /// A setting that the book has already stays as it is there.
    /// A sender's key that the book has already is left out: it belongs to what was sent there.
    ///
    /// # Errors
    /// [`BookError::NotWhole`] when a part does not fit the others, and the same errors that
    /// storing each part by itself would give, or those of the file itself.
    pub fn put_in(
        &self,
        entries: &[(WholeEntry, KitLink)],
        settings: &[Setting],
    ) -> Result<PutIn, BookError> {
        self.put_in_told(entries, settings, &mut |_| ControlFlow::Continue(()))
    }

    /// Puts entries in as [`Book::put_in`] does; `told` hears after each how many are in, and when
    /// it breaks off, nothing is put in.
    ///
    /// # Errors
    /// As of [`Book::put_in`], and [`BookError::Stopped`].
    pub fn put_in_told(
        &self,
        entries: &[(WholeEntry, KitLink)],
        settings: &[Setting],
        told: &mut dyn FnMut(usize) -> ControlFlow<()>,
    ) -> Result<PutIn, BookError> {
        entries
            .iter()
            .try_for_each(|(entry, _)| put::check(entry))?;
        settings.iter().try_for_each(put::check_setting)?;
        self.write(|transaction| put::all(transaction, entries, settings, told))
    }
}
