//! What other windows did to an entry since a window showed it.

use book::{Book, Entry, RevisionId};

use super::answer::Trouble;
use super::change::{Merged, Outcome};
use super::form::Fields;
use crate::edit::Shown;
use crate::pages::Notice;
use crate::show::spoken_place;
use crate::values::{self, Difference};

/// More moments than this between two windows are not looked through: lists count as moved then.
const MOST_MOMENTS_BETWEEN: usize = 200;

/// How many changes of another window are named in words.
const MOST_NAMED: usize = 3;

/// What happened between the moment a window showed and the present.
pub(super) struct Meanwhile<'e> {
    since: RevisionId,
    /// The text that the window showed; nothing when the entry still stands there.
    pub then: Option<String>,
    /// The texts made since; nothing when they are too many to look through.
    between: Option<Vec<String>>,
    now: &'e Entry,
}

impl<'e> Meanwhile<'e> {
    /// Looks at everything from a moment of the entry to its present.
    pub fn since(book: &Book, now: &'e Entry, since: RevisionId) -> Result<Self, Trouble> {
        if since == now.revision {
            return Ok(Self {
                since,
                then: None,
                between: None,
                now,
            });
        }
        let then = book.moment(now.id, since)?.text;
        let made_since: Vec<RevisionId> = book
            .history(now.id)?
            .into_iter()
            .map(|moment| moment.revision)
            .filter(|revision| *revision > since)
            .collect();
        let between = (made_since.len() <= MOST_MOMENTS_BETWEEN).then(|| {
            let texts = made_since.iter().map(|each| book.revision_text(*each));
            texts.collect::<Result<Vec<_>, _>>()
        });
        Ok(Self {
            since,
            then: Some(then),
            between: between.transpose()?,
            now,
        })
    }

    /// Whether a path still leads to what the window showed under it, through whatever lists.
    pub fn leads_to_the_same(&self, path: &str) -> bool {
        match (&self.then, &self.between) {
            (None, _) => true,
            (Some(then), Some(between)) => {
                values::leads_to_the_same(then, &self.now.text, between, path)
            }
            // Without a list on the way it leads there whatever happened in between.
            (Some(_), None) => !path.contains('['),
        }
    }

    /// Whether an entry of a list is in its place, word for word as the window showed it.
    pub fn is_untouched(&self, path: &str) -> bool {
        let Some(then) = &self.then else { return true };
        let written = |text: &str| Shown::new(text).written_at(path);
        self.leads_to_the_same(path) && written(then) == written(&self.now.text)
    }

    /// How the value at a path was changed, when it was.
    pub fn change_of(&self, path: &str) -> Option<Difference> {
        let then = Shown::new(self.then.as_ref()?).value(path);
        let now = Shown::new(&self.now.text).value(path);
        (then != now).then(|| Difference {
            path: path.to_owned(),
            then,
            now,
        })
    }

    /// The changed values at and under a key.
    pub fn changes_under(&self, key: &str) -> Vec<Difference> {
        let Some(then) = &self.then else {
            return Vec::new();
        };
        let is_under = |path: &str| {
            path.strip_prefix(key)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
        };
        values::differences(then, &self.now.text)
            .unwrap_or_default()
            .into_iter()
            .filter(|change| is_under(&change.path))
            .collect()
    }

    /// What was stored on top of another window's change is called so.
    pub fn told(&self, book: &Book, outcome: Outcome) -> Result<Outcome, Trouble> {
        match outcome {
            Outcome::Stored if self.then.is_some() => Ok(Outcome::Merged(Merged {
                since: self.since,
                stored: book.entry(self.now.id)?.revision,
            })),
            other => Ok(other),
        }
    }
}

/// How an address says that a page follows a merge.
pub(super) fn merged_address(merged: Merged) -> String {
    format!("merged={}-{}", merged.since, merged.stored)
}

/// The words on a merge, when the address tells of one and the entry still stands at it.
pub(super) fn merged_notice(
    book: &Book,
    entry: &Entry,
    fields: &Fields,
) -> Result<Option<Notice>, Trouble> {
    let moments = fields.get("merged").and_then(|words| words.split_once('-'));
    let numbers = moments.map(|(since, stored)| (since.parse(), stored.parse::<i64>()));
    let (Some((Ok(since), Ok(stored))), Some(before)) = (numbers, entry.previous) else {
        return Ok(None);
    };
    if entry.revision != RevisionId(stored) {
        return Ok(None);
    }
    let then = book.moment(entry.id, RevisionId(since))?.text;
    let changes = values::differences(&then, &book.revision_text(before)?);
    Ok(Some(Notice::Done(format!(
        "Merged: another window had changed this meanwhile ({}), and what you changed is stored on top of it. Both hold.",
        told(&changes.unwrap_or_default())
    ))))
}

/// Changes in words, the first few by name.
pub(super) fn told(changes: &[Difference]) -> String {
    let value = |value: &Option<String>| value.clone().unwrap_or_else(|| "nothing".into());
    let mut words: Vec<String> = changes
        .iter()
        .take(MOST_NAMED)
        .map(|each| {
            format!(
                "{} from {} to {}",
                spoken_place(&each.path),
                value(&each.then),
                value(&each.now)
            )
        })
        .collect();
    match changes.len() {
        0 => words.push("words only, no value".into()),
        count if count > MOST_NAMED => words.push(format!("and {} more", count - MOST_NAMED)),
        _ => {}
    }
    words.join(", ")
}
