//! Whole entries carried from one book to another: nothing is lost on the way, nothing there is
//! touched, and what does not hold together is refused whole.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::ops::ControlFlow;
use std::path::PathBuf;

use book::{
    Book, BookError, EntryId, Kind, KitLink, NewReadings, Setting, StageRecord, WholeEntry,
};
use common::{Scratch, assert_sound, copy_of_format, heron, north_bench, stage};

/// The kept book of the present format: one of everything a book can hold.
fn full_book(scratch: &Scratch) -> (Book, PathBuf) {
    let path = scratch.path("full.book");
    copy_of_format(book::FORMAT_VERSION, &path);
    (Book::open(&path).unwrap(), path)
}

fn all(book: &Book) -> Vec<WholeEntry> {
    let mut ids: Vec<EntryId> = [Kind::Commission, Kind::Kit]
        .iter()
        .flat_map(|kind| book.entries(*kind).unwrap())
        .map(|summary| summary.id)
        .collect();
    ids.sort();
    ids.iter()
        .map(|id| book.whole_entry(*id).unwrap())
        .collect()
}

/// The entries of the kept book, with the kit of its second beside it.
fn linked(entries: Vec<WholeEntry>) -> Vec<(WholeEntry, KitLink)> {
    let links = [KitLink::None, KitLink::Beside(0), KitLink::None];
    entries.into_iter().zip(links).collect()
}

#[test]
fn a_whole_book_put_into_an_empty_one_is_the_same_book() {
    let scratch = Scratch::new("whole");
    let (full, _) = full_book(&scratch);
    let path = scratch.path("empty.book");
    let empty = Book::open(&path).unwrap();
    let put = empty
        .put_in(&linked(all(&full)), &full.settings().unwrap())
        .unwrap();
    assert_eq!(put.entries, [EntryId(1), EntryId(2), EntryId(3)]);
    assert_eq!((put.keys_left_out, put.settings_kept.len()), (0, 0));
    assert_eq!(all(&empty), all(&full));
    assert_eq!(empty.settings(), full.settings());
    for id in put.entries {
        assert_eq!(empty.entry(id).unwrap().kit, full.entry(id).unwrap().kit);
        assert_eq!(empty.tags(id).unwrap(), full.tags(id).unwrap());
        assert_eq!(
            empty.entry(id).unwrap().undo_what,
            full.entry(id).unwrap().undo_what
        );
    }
    // What a sender sends again is known here too.
    let again = NewReadings {
        visit: empty.visits(EntryId(2)).unwrap()[1].id,
        text: "light,12 in,none",
        source: "heights.csv",
        sent_key: Some("tablet 8"),
        at: 9_000,
    };
    let before = all(&empty);
    empty.add_readings(&again).unwrap();
    assert_eq!(all(&empty), before);
    // It can be undone and worked on like any other.
    empty.undo(EntryId(2), 9_000).unwrap();
    assert_eq!(
        empty.entry(EntryId(2)).unwrap().text,
        "length = \"635 mm\"\n"
    );
    drop(empty);
    assert_sound(&path);
}

#[test]
fn what_is_put_into_a_filled_book_stands_beside_what_is_there() {
    let scratch = Scratch::new("whole-filled");
    let (full, path) = full_book(&scratch);
    full.set_setting("paper", "letter", 1).unwrap();
    let before = all(&full);
    let settings = [
        Setting {
            key: "paper".into(),
            value: "a4".into(),
            changed_at: 9,
        },
        Setting {
            key: "display unit".into(),
            value: "mm".into(),
            changed_at: 9,
        },
        Setting {
            key: "new".into(),
            value: "yes".into(),
            changed_at: 9,
        },
    ];
    let put = full.put_in(&linked(before.clone()), &settings).unwrap();
    assert_eq!(put.entries, [EntryId(4), EntryId(5), EntryId(6)]);
    // Two batches and one stage came with keys that the book knows already.
    assert_eq!(put.keys_left_out, 3);
    assert_eq!(put.settings_kept, ["paper"]);
    assert_eq!(full.setting("paper").unwrap().as_deref(), Some("letter"));
    assert_eq!(full.setting("new").unwrap().as_deref(), Some("yes"));
    assert_eq!(full.entry(EntryId(5)).unwrap().kit, Some(EntryId(4)));
    let after = all(&full);
    assert_eq!(after[..3], before);
    let keyless = |entry: &WholeEntry| {
        let mut entry = entry.clone();
        for stage in &mut entry.stages {
            stage.record.sent_key = None;
            stage.record.id = None;
            stage.record.commission = EntryId(0);
        }
        let batches = entry.visits.iter_mut().flat_map(|visit| &mut visit.batches);
        batches.for_each(|batch| batch.sent_key = None);
        entry
    };
    let (old, new): (Vec<_>, Vec<_>) = (
        before.iter().map(keyless).collect(),
        after[3..].iter().map(keyless).collect(),
    );
    assert_eq!(old, new);
    drop(full);
    assert_sound(&path);
}

#[test]
fn a_kit_that_is_in_the_book_can_be_linked_to() {
    let book = Book::open_in_memory().unwrap();
    let (kit, heron) = (north_bench(&book), heron(&book));
    let whole = book.whole_entry(heron).unwrap();
    let put = book
        .put_in(&[(whole.clone(), KitLink::There(kit))], &[])
        .unwrap();
    assert_eq!(book.entry(put.entries[0]).unwrap().kit, Some(kit));
    for link in [
        KitLink::There(heron),
        KitLink::There(EntryId(99)),
        KitLink::Beside(7),
        KitLink::Beside(0),
    ] {
        assert!(
            book.put_in(&[(whole.clone(), link)], &[]).is_err(),
            "{link:?}"
        );
    }
    assert_eq!(
        book.entries(Kind::Commission).unwrap().len(),
        2,
        "nothing was written"
    );
}

/// Each part broken by itself: refused, and nothing of the others is stored.
#[test]
fn what_does_not_hold_together_is_refused_and_nothing_is_stored() {
    let scratch = Scratch::new("whole-broken");
    let (full, _) = full_book(&scratch);
    let sound = all(&full);
    let empty = Book::open_in_memory().unwrap();
    let check = |what: &str, spoil: fn(&mut WholeEntry), expected: fn(&BookError) -> bool| {
        let mut entries = sound.clone();
        spoil(&mut entries[1]);
        let error = empty.put_in(&linked(entries), &[]).unwrap_err();
        assert!(expected(&error), "{what}: {error:?}");
        assert!(empty.is_empty().unwrap(), "{what}");
    };
    let not_whole = |error: &BookError| matches!(error, BookError::NotWhole { .. });
    check("no moment", |it| it.moments.clear(), not_whole);
    check("current", |it| it.current = it.moments.len(), not_whole);
    check(
        "parent after",
        |it| it.moments[1].parent = Some(1),
        not_whole,
    );
    check("second root", |it| it.moments[2].parent = None, not_whole);
    check(
        "first with parent",
        |it| it.moments[0].parent = Some(0),
        not_whole,
    );
    check("kit with stages", |it| it.kind = Kind::Kit, not_whole);
    check("no details", |it| it.visits[0].details.clear(), not_whole);
    check(
        "two names",
        |it| it.visits[1].details[0].name = " rough ".into(),
        |error| matches!(error, BookError::NotWhole { .. }),
    );
    check(
        "line",
        |it| it.visits[0].batches[0].set_aside[0].line = Some(99),
        not_whole,
    );
    check(
        "line 0",
        |it| it.visits[0].batches[0].set_aside[0].line = Some(0),
        not_whole,
    );
    check("untidy tag", |it| it.tags[0].tag = " a".into(), not_whole);
    check(
        "tag letters",
        |it| it.tags[1].tag = "FOR a player who bends".into(),
        not_whole,
    );
    check(
        "blank tag",
        |it| it.tags[0].tag = " ".into(),
        |error| matches!(error, BookError::Empty { .. }),
    );
    check(
        "blank reason",
        |it| it.visits[0].batches[0].set_aside[0].reason = Some(" ".into()),
        |error| matches!(error, BookError::Empty { .. }),
    );
    check(
        "no readings",
        |it| it.visits[0].batches[0].text.clear(),
        |error| matches!(error, BookError::Empty { .. }),
    );
    check(
        "minutes",
        |it| it.stages[0].record.minutes = f64::NAN,
        |error| matches!(error, BookError::BadFigure { .. }),
    );
    check(
        "text",
        |it| it.moments[0].text = "a".repeat(book::MAX_TEXT_BYTES + 1),
        |error| matches!(error, BookError::TextTooLong { .. }),
    );
    let long = Setting {
        key: "a".repeat(201),
        value: String::new(),
        changed_at: 1,
    };
    assert!(empty.put_in(&linked(sound.clone()), &[long]).is_err());
    assert!(empty.is_empty().unwrap());
    empty.put_in(&linked(sound.clone()), &[]).unwrap();
    assert_eq!(all(&empty), sound);
}

#[test]
fn two_records_with_one_key_in_what_is_put_in_keep_it_once() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let sent = StageRecord {
        sent_key: Some("tablet 1".into()),
        ..stage(id, 1)
    };
    book.log_stage(&sent).unwrap();
    let whole = book.whole_entry(id).unwrap();
    let other = Book::open_in_memory().unwrap();
    let twice = [(whole.clone(), KitLink::None), (whole, KitLink::None)];
    assert_eq!(other.put_in(&twice, &[]).unwrap().keys_left_out, 1);
    assert_eq!(other.all_stage_logs().unwrap().len(), 2);
    assert!(other.whole_entry(EntryId(9)).is_err());
}

#[test]
fn what_is_stopped_after_any_entry_puts_nothing_in() {
    let scratch = Scratch::new("whole-stopped");
    let (full, path) = full_book(&scratch);
    let entries = linked(all(&full));
    let settings = [Setting {
        key: "new".into(),
        value: "yes".into(),
        changed_at: 9,
    }];
    let before = (all(&full), full.state().unwrap());
    for last in 1..=entries.len() {
        let mut heard = Vec::new();
        let stopped = full.put_in_told(&entries, &settings, &mut |done| {
            heard.push(done);
            match done == last {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            }
        });
        assert_eq!(stopped, Err(BookError::Stopped));
        assert_eq!(heard, (1..=last).collect::<Vec<_>>());
        assert_eq!((all(&full), full.state().unwrap()), before, "after {last}");
    }
    full.put_in(&entries, &settings).unwrap();
    drop(full);
    assert_sound(&path);
}
