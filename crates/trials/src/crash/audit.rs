//! The book after its last kill, opened without the program: everything that was answered is there,
//! once, and SQLite finds nothing wrong.

use std::collections::BTreeMap;
use std::path::Path;

use book::{Book, BookError, EntryId, RevisionId, VisitId};

use super::known::{Deed, Known, Sent};
use super::{Count, Tally};

/// What the kept books of earlier formats hold as their third revision.
const OLD_TEXT: &str = "length = \"640 mm\"\n";

/// Counts what is found again.
pub fn audit(
    path: &Path,
    known: &Known,
    old: Option<u32>,
    tally: &mut Tally,
) -> Result<(), String> {
    let book = Book::open(path).map_err(|error| error.to_string())?;
    let words = |error: BookError| error.to_string();
    if old.is_some() && book.revision_text(RevisionId(3)).map_err(words)? != OLD_TEXT {
        return Err("what the old book held is changed".into());
    }
    if let Some(commission) = known.commission {
        let id = EntryId(commission);
        edits(&book, id, known, &mut tally.edits)?;
        let logs = book.stage_logs(id).map_err(words)?;
        let notes = logs.into_iter().map(|log| log.note);
        once(&known.stages, &counted(notes), &mut tally.stages)?;
    }
    if let Some(visit) = known.visit {
        let batches = book.readings(VisitId(visit)).map_err(words)?;
        let marks = batches.iter().map(|batch| mark_of(&batch.text));
        once(&known.readings, &counted(marks), &mut tally.readings)?;
        whole(
            &known.readings,
            batches.iter().map(|batch| batch.text.as_str()),
        )?;
    }
    drop(book);
    sound(path)
}

fn edits(book: &Book, id: EntryId, known: &Known, count: &mut Count) -> Result<(), String> {
    let history = book.history(id).map_err(|error| error.to_string())?;
    let is_known = |revision: i64| known.stored.iter().any(|it| it.revision == revision);
    let more = history.iter().filter(|it| !is_known(it.revision.0)).count();
    let may_be_more = matches!(known.doubt, Some(Deed::Set(_) | Deed::Text(_)));
    if more > usize::from(may_be_more) {
        return Err(format!("{more} moments are there that were never sent"));
    }
    for moment in &known.stored {
        let text = book.revision_text(RevisionId(moment.revision));
        let text = text.map_err(|error| format!("{moment:?} is lost: {error}"))?;
        if !text.contains(&format!("relief = \"{}\"", moment.relief)) {
            return Err(format!("{moment:?} holds something else"));
        }
    }
    count.acknowledged += known.answered;
    // All stored moments were found: those answered are among them.
    count.found += known.answered;
    Ok(())
}

fn counted(marks: impl Iterator<Item = String>) -> BTreeMap<String, usize> {
    let mut counted = BTreeMap::new();
    for mark in marks {
        *counted.entry(mark).or_default() += 1;
    }
    counted
}

/// Every acknowledged thing is there once; one that was not acknowledged may be there once.
fn once(sent: &[Sent], there: &BTreeMap<String, usize>, count: &mut Count) -> Result<(), String> {
    for one in sent {
        match (there.get(&one.mark).copied().unwrap_or(0), one.acknowledged) {
            (1, true) => {
                count.acknowledged += 1;
                count.found += 1;
            }
            (0 | 1, false) => {}
            (times, _) => {
                return Err(format!("\"{}\" is there {times} times", one.mark));
            }
        }
    }
    let sent_marks = |mark: &String| sent.iter().any(|one| one.mark == *mark);
    match there.keys().find(|mark| !sent_marks(mark)) {
        Some(strange) => Err(format!("\"{strange}\" was never sent")),
        None => Ok(()),
    }
}

/// Every batch that is there is there to its last line.
fn whole<'a>(sent: &[Sent], texts: impl Iterator<Item = &'a str>) -> Result<(), String> {
    for text in texts {
        let mark = mark_of(text);
        let lines = text.lines().count() - 1;
        match sent.iter().find(|one| one.mark == mark) {
            Some(one) if one.lines == lines => {}
            _ => return Err(format!("\"{mark}\" has {lines} lines")),
        }
    }
    Ok(())
}

/// The note at the end of a batch's last line.
fn mark_of(text: &str) -> String {
    let last = text.lines().last().unwrap_or_default();
    last.rsplit(',').next().unwrap_or_default().to_owned()
}

/// SQLite's own checks, <https://www.sqlite.org/pragma.html#pragma_integrity_check>.
fn sound(path: &Path) -> Result<(), String> {
    let judge = || -> rusqlite::Result<String> {
        let connection = rusqlite::Connection::open(path)?;
        connection.query_row("PRAGMA integrity_check", [], |row| row.get(0))
    };
    match judge() {
        Ok(verdict) if verdict == "ok" => Ok(()),
        Ok(verdict) => Err(format!("SQLite finds: {verdict}")),
        Err(error) => Err(error.to_string()),
    }
}
