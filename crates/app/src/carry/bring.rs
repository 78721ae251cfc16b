//! Carried entries into a book: beside what is there, never over it.

use book::{Book, EntryId, EntrySummary, Kind, KitLink, WholeEntry, WholeMoment};

use super::read::{Carried, CarriedEntry, read};
use super::{CarriedFile, CarryFault, bad, unless_stopped};
use crate::edit::title_of;
use crate::progress::{Progress, Stretch};

/// Which shares of the time are gone when the texts are read, and when it is known what of them is
/// there already: estimates, for a bar that runs evenly.
pub(super) const READ_SHARE: f64 = 0.5;
pub(super) const PLACED_SHARE: f64 = 0.7;

/// What was brought in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Brought {
    /// The entries that are new: number and title.
    pub added: Vec<(EntryId, String)>,
    /// The titles of those that were there just alike, and were not added again.
    pub there: Vec<String>,
    /// The titles of those whose text was changed in its file: that is their last moment now.
    pub edited: Vec<String>,
    /// How many senders' keys were left out, because the book knows them.
    pub keys_left_out: usize,
    /// Settings that the book has with another value, which stays.
    pub settings_kept: Vec<String>,
}

impl Brought {
    /// What was done, in words for the maker.
    pub fn words(&self) -> String {
        let titles = |titles: &[String]| titles.join(", ");
        let added: Vec<String> = self.added.iter().map(|(_, title)| title.clone()).collect();
        let mut words = vec![match added.len() {
            0 => "Nothing new was brought in.".to_owned(),
            1 => format!("1 entry was brought in: {}.", titles(&added)),
            count => format!("{count} entries were brought in: {}.", titles(&added)),
        }];
        if !self.there.is_empty() {
            words.push(format!(
                "Just alike in the book already: {}.",
                titles(&self.there)
            ));
        }
        if !self.edited.is_empty() {
            words.push(format!(
                "Their text was changed outside, which is their last moment now: {}.",
                titles(&self.edited)
            ));
        }
        if !self.settings_kept.is_empty() {
            words.push(format!(
                "Kept as they are here: {}.",
                titles(&self.settings_kept)
            ));
        }
        if self.keys_left_out > 0 {
            words.push(format!(
                "{} senders' keys were left out, because this book knows them already.",
                self.keys_left_out
            ));
        }
        words.join(" ")
    }
}

/// Brings carried files into the book: all of it, or, after an error, nothing.
///
/// # Errors
/// What is wrong with the files, and where; or what the book could not do.
pub fn bring(book: &Book, files: &[CarriedFile], now: i64) -> Result<Brought, CarryFault> {
    bring_told(book, files, now, Progress::unseen().stretch(0.0, 1.0))
}

/// Brings carried files into the book as [`bring`] does; it is told how far it is, and can be
/// stopped: then nothing is brought in.
///
/// # Errors
/// As [`bring`], and [`CarryFault::Stopped`].
pub fn bring_told(
    book: &Book,
    files: &[CarriedFile],
    now: i64,
    told: Stretch<'_>,
) -> Result<Brought, CarryFault> {
    let Carried {
        mut entries,
        settings,
    } = read(files, told.stretch(0.0, READ_SHARE))?;
    let mut brought = Brought::default();
    for each in &mut entries {
        if let Some(text) = each.edited.take() {
            brought.edited.push(add_moment(&mut each.entry, text, now));
        }
    }
    let kits = kits_of(&entries)?;
    let placing = told.stretch(READ_SHARE, PLACED_SHARE);
    let places = places(book, &entries, &kits, placing)?;
    let mut to_put = Vec::new();
    for ((each, kit), place) in entries.into_iter().zip(&kits).zip(&places) {
        let title = title(&each.entry);
        if matches!(place, KitLink::There(_)) {
            brought.there.push(title);
            continue;
        }
        brought.added.push((EntryId(0), title));
        let link = kit.map_or(KitLink::None, |kit| places[kit]);
        to_put.push((each.entry, link));
    }
    let putting = told.stretch(PLACED_SHARE, 1.0);
    let put = book.put_in_told(&to_put, &settings, &mut |done| {
        putting.tell(done, to_put.len())
    })?;
    for (added, id) in brought.added.iter_mut().zip(put.entries) {
        added.0 = id;
    }
    brought.keys_left_out = put.keys_left_out;
    brought.settings_kept = put.settings_kept;
    Ok(brought)
}

/// For each entry the place of its kit among them.
fn kits_of(entries: &[CarriedEntry]) -> Result<Vec<Option<usize>>, CarryFault> {
    let place_of = |each: &CarriedEntry| {
        let Some(kit) = &each.kit else {
            return Ok(None);
        };
        let is_it = |other: &CarriedEntry| other.folder == *kit && other.entry.kind == Kind::Kit;
        let found = entries.iter().position(is_it);
        let may_have = each.entry.kind == Kind::Commission;
        found.filter(|_| may_have).map(Some).ok_or_else(|| {
            bad(
                format!("{}/entry.toml", each.folder),
                format!("`kit` names {kit}, and no kit for it lies in a folder of that name"),
            )
        })
    };
    entries.iter().map(place_of).collect()
}

/// For each entry where it will be: there just alike, or at its place among those that are put in.
fn places(
    book: &Book,
    entries: &[CarriedEntry],
    kits: &[Option<usize>],
    told: Stretch<'_>,
) -> Result<Vec<KitLink>, CarryFault> {
    // All that are alike, for a commission may be worked with any of several kits alike.
    let mut there: Vec<Vec<EntryId>> = vec![Vec::new(); entries.len()];
    let mut done = 0;
    // Kits first: whether a commission is there alike depends on its kit.
    for kind in [Kind::Kit, Kind::Commission] {
        let summaries = book.entries(kind)?;
        for (at, each) in entries
            .iter()
            .enumerate()
            .filter(|(_, each)| each.entry.kind == kind)
        {
            let kits = kits[at].map(|kit| there[kit].as_slice());
            there[at] = alike(book, &summaries, &each.entry, kits)?;
            done += 1;
            unless_stopped(told.tell(done, entries.len()))?;
        }
    }
    let mut put = 0;
    let place = |there: Vec<EntryId>| match there.first() {
        Some(id) => KitLink::There(*id),
        None => {
            put += 1;
            KitLink::Beside(put - 1)
        }
    };
    Ok(there.into_iter().map(place).collect())
}

fn add_moment(entry: &mut WholeEntry, text: String, now: i64) -> String {
    let title = title_of(&text).unwrap_or_else(|| title(entry));
    entry.moments.push(WholeMoment {
        parent: Some(entry.current),
        title: title.clone(),
        what: "as text, outside the book".into(),
        at: now,
        text,
    });
    entry.current = entry.moments.len() - 1;
    entry.changed_at = now;
    title
}

fn title(entry: &WholeEntry) -> String {
    let moment = entry.moments.get(entry.current);
    moment.map_or(String::new(), |moment| moment.title.clone())
}

/// The entries of the book that are just alike, but for senders' keys, with the same kit or one
/// just alike.
fn alike(
    book: &Book,
    summaries: &[EntrySummary],
    entry: &WholeEntry,
    kits: Option<&[EntryId]>,
) -> Result<Vec<EntryId>, CarryFault> {
    let may_be = |summary: &&EntrySummary| {
        summary.made_at == entry.made_at && summary.changed_at == entry.changed_at
    };
    let mut alike = Vec::new();
    for EntrySummary { id, kit, .. } in summaries.iter().filter(may_be) {
        let has_kit = match (kit, kits) {
            (None, None) => true,
            (Some(kit), Some(kits)) => kits.contains(kit),
            _ => false,
        };
        if has_kit && bare(&book.whole_entry(*id)?) == bare(entry) {
            alike.push(*id);
        }
    }
    Ok(alike)
}

/// An entry without what is of one book only.
fn bare(entry: &WholeEntry) -> WholeEntry {
    let mut entry = entry.clone();
    for stage in &mut entry.stages {
        stage.record.id = None;
        stage.record.commission = EntryId(0);
        stage.record.sent_key = None;
    }
    let batches = entry.visits.iter_mut().flat_map(|visit| &mut visit.batches);
    batches.for_each(|batch| batch.sent_key = None);
    entry
}
