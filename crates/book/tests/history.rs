//! Undo, redo, branches and the way back: nothing that was stored is ever lost.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use book::{Book, BookError, Change, EntryId, Kind, RevisionId};
use common::{Chance, heron, north_bench};

fn change(book: &Book, id: EntryId, text: &str, at: i64) -> RevisionId {
    let based_on = book.entry(id).unwrap().revision;
    book.change(&Change {
        id,
        based_on,
        title: "Heron",
        text,
        what: text,
        at,
    })
    .unwrap()
}

fn text(book: &Book, id: EntryId) -> String {
    book.entry(id).unwrap().text
}

#[test]
fn undo_and_redo_walk_the_line_of_changes() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let first = book.entry(id).unwrap().revision;
    let second = change(&book, id, "b", 200);
    let third = change(&book, id, "c", 300);
    assert_eq!(book.undo(id, 400).unwrap(), second);
    assert_eq!(book.undo(id, 410).unwrap(), first);
    assert_eq!(book.undo(id, 420), Err(BookError::NothingToUndo));
    assert_eq!(text(&book, id), "length = 635");
    assert_eq!(book.redo(id, 430).unwrap(), second);
    assert_eq!(book.redo(id, 440).unwrap(), third);
    assert_eq!(book.redo(id, 450), Err(BookError::NothingToRedo));
    assert_eq!(text(&book, id), "c");
    assert_eq!(book.entries(Kind::Commission).unwrap()[0].changed_at, 440);
}

#[test]
fn an_entry_says_what_undo_and_redo_would_do() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let first = book.entry(id).unwrap();
    assert_eq!(
        (first.previous, first.undo_what, first.redo_what),
        (None, None, None)
    );
    change(&book, id, "b", 200);
    change(&book, id, "c", 300);
    book.undo(id, 400).unwrap();
    let entry = book.entry(id).unwrap();
    assert_eq!(entry.previous, Some(first.revision));
    assert_eq!(entry.undo_what.as_deref(), Some("b"));
    assert_eq!(entry.redo_what.as_deref(), Some("c"));
}

#[test]
fn a_change_after_an_undo_begins_a_branch_and_keeps_the_other() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let first = book.entry(id).unwrap().revision;
    let undone = change(&book, id, "undone", 200);
    book.undo(id, 300).unwrap();
    let kept = change(&book, id, "kept", 400);
    assert_eq!(book.redo(id, 500), Err(BookError::NothingToRedo));
    assert_eq!(book.revision_text(undone).unwrap(), "undone");
    let line: Vec<_> = book
        .history(id)
        .unwrap()
        .iter()
        .map(|moment| {
            (
                moment.revision,
                moment.parent,
                moment.current,
                moment.reachable_by_undo,
            )
        })
        .collect();
    let expected = [
        (kept, Some(first), true, false),
        (undone, Some(first), false, false),
        (first, None, false, true),
    ];
    assert_eq!(line, expected);
    // Redo follows the branch made last.
    book.undo(id, 600).unwrap();
    assert_eq!(book.redo(id, 700).unwrap(), kept);
}

#[test]
fn going_to_a_lost_branch_is_a_change_that_can_be_undone() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let undone = change(&book, id, "undone", 200);
    book.undo(id, 300).unwrap();
    let kept = change(&book, id, "kept", 400);
    let back = book.go_to(id, undone, 500).unwrap();
    let entry = book.entry(id).unwrap();
    assert_eq!((entry.revision, entry.text.as_str()), (back, "undone"));
    assert_eq!(entry.undo_what.as_deref(), Some("back to: undone"));
    assert_eq!(
        book.go_to(id, back, 600).unwrap(),
        back,
        "it stands there already"
    );
    assert_eq!(book.undo(id, 700).unwrap(), kept);
    let again = book.go_to(id, back, 800).unwrap();
    assert_eq!(book.history(id).unwrap()[0].revision, again);
    assert_eq!(book.history(id).unwrap()[0].what, "back to: undone");
}

#[test]
fn going_to_a_moment_brings_its_title_back_within_the_limit() {
    let book = Book::open_in_memory().unwrap();
    let id = book
        .create(Kind::Kit, "North", "a", &"ö".repeat(200), 1)
        .unwrap();
    let first = book.entry(id).unwrap().revision;
    book.change(&Change {
        id,
        based_on: first,
        title: "South",
        text: "b",
        what: "b",
        at: 2,
    })
    .unwrap();
    book.go_to(id, first, 3).unwrap();
    let entry = book.entry(id).unwrap();
    assert_eq!((entry.title.as_str(), entry.text.as_str()), ("North", "a"));
    assert_eq!(entry.undo_what.unwrap().chars().count(), 200);
}

#[test]
fn a_revision_of_another_entry_is_no_place_to_go() {
    let book = Book::open_in_memory().unwrap();
    let (id, other) = (heron(&book), north_bench(&book));
    let revision = book.entry(other).unwrap().revision;
    assert_eq!(
        book.go_to(id, revision, 200),
        Err(BookError::NoSuchRevision { revision })
    );
    let revision = RevisionId(999);
    assert_eq!(
        book.go_to(id, revision, 200),
        Err(BookError::NoSuchRevision { revision })
    );
    assert_eq!(
        book.revision_text(revision),
        Err(BookError::NoSuchRevision { revision })
    );
    assert_eq!(book.history(id).unwrap().len(), 1);
}

#[test]
fn a_stale_change_is_refused_and_nothing_is_written() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let based_on = book.entry(id).unwrap().revision;
    let current = change(&book, id, "theirs", 200);
    let before = (
        book.entry(id),
        book.history(id),
        book.entries(Kind::Commission),
    );
    let mine = Change {
        id,
        based_on,
        title: "Mine",
        text: "mine",
        what: "mine",
        at: 300,
    };
    assert_eq!(book.change(&mine), Err(BookError::Stale { current }));
    // A revision that is yet to come is not the current one either.
    let future = Change {
        based_on: RevisionId(99),
        ..mine
    };
    assert_eq!(book.change(&future), Err(BookError::Stale { current }));
    assert_eq!(
        (
            book.entry(id),
            book.history(id),
            book.entries(Kind::Commission)
        ),
        before
    );
}

#[test]
fn an_entry_that_is_not_there_is_an_error_everywhere() {
    let book = Book::open_in_memory().unwrap();
    let id = EntryId(7);
    let missing = || BookError::NoSuchEntry { id };
    let based_on = RevisionId(1);
    assert_eq!(book.entry(id).unwrap_err(), missing());
    assert_eq!(book.undo(id, 1).unwrap_err(), missing());
    assert_eq!(book.redo(id, 1).unwrap_err(), missing());
    assert_eq!(book.history(id).unwrap_err(), missing());
    assert_eq!(book.go_to(id, based_on, 1).unwrap_err(), missing());
    assert_eq!(book.put_away(id, 1).unwrap_err(), missing());
    assert_eq!(book.take_out(id, 1).unwrap_err(), missing());
    assert_eq!(book.set_kit(id, None, 1).unwrap_err(), missing());
    assert_eq!(book.stage_logs(id).unwrap_err(), missing());
    assert_eq!(
        book.log_stage(&common::stage(id, 1)).unwrap_err(),
        missing()
    );
    let change = Change {
        id,
        based_on,
        title: "",
        text: "",
        what: "",
        at: 1,
    };
    assert_eq!(book.change(&change).unwrap_err(), missing());
}

/// The same history kept in the plainest way, to judge the book by.
#[derive(Default)]
struct Model {
    /// Parent (by place in this list) and text.
    revisions: Vec<(Option<usize>, String)>,
    current: usize,
}

impl Model {
    fn add(&mut self, text: String) {
        let parent = (!self.revisions.is_empty()).then_some(self.current);
        self.revisions.push((parent, text));
        self.current = self.revisions.len() - 1;
    }

    fn redo_place(&self) -> Option<usize> {
        self.revisions
            .iter()
            .rposition(|(parent, _)| *parent == Some(self.current))
    }

    fn undo_line(&self) -> Vec<usize> {
        std::iter::successors(self.revisions[self.current].0, |&place| {
            self.revisions[place].0
        })
        .collect()
    }
}

fn assert_same(book: &Book, id: EntryId, numbers: &[RevisionId], model: &Model) {
    let entry = book.entry(id).unwrap();
    assert_eq!(entry.revision, numbers[model.current]);
    assert_eq!(entry.text, model.revisions[model.current].1);
    assert_eq!(
        entry.previous,
        model.revisions[model.current].0.map(|place| numbers[place])
    );
    assert_eq!(entry.redo_what.is_some(), model.redo_place().is_some());
    let line = model.undo_line();
    let history = book.history(id).unwrap();
    assert_eq!(history.len(), numbers.len());
    for (place, moment) in history.iter().rev().enumerate() {
        assert_eq!(moment.revision, numbers[place]);
        assert_eq!(
            moment.parent,
            model.revisions[place].0.map(|parent| numbers[parent])
        );
        assert_eq!(moment.current, place == model.current);
        assert_eq!(moment.reachable_by_undo, line.contains(&place));
        assert_eq!(
            book.revision_text(moment.revision).unwrap(),
            model.revisions[place].1
        );
    }
}

#[test]
fn any_order_of_changes_undos_redos_and_returns_agrees_with_a_plain_list() {
    for seed in 0..20 {
        let mut chance = Chance(seed);
        let book = Book::open_in_memory().unwrap();
        let other = heron(&book);
        let mut model = Model::default();
        model.add("start".into());
        let id = book
            .create(Kind::Commission, "Heron", "start", "start", 0)
            .unwrap();
        let mut numbers = vec![book.entry(id).unwrap().revision];
        for step in 0..60 {
            match chance.below(8) {
                0..3 => {
                    let words = format!("step {step}");
                    numbers.push(change(&book, id, &words, step));
                    model.add(words);
                }
                3..5 => match model.revisions[model.current].0 {
                    Some(place) => {
                        assert_eq!(book.undo(id, step).unwrap(), numbers[place]);
                        model.current = place;
                    }
                    None => assert_eq!(book.undo(id, step), Err(BookError::NothingToUndo)),
                },
                5 => match model.redo_place() {
                    Some(place) => {
                        assert_eq!(book.redo(id, step).unwrap(), numbers[place]);
                        model.current = place;
                    }
                    None => assert_eq!(book.redo(id, step), Err(BookError::NothingToRedo)),
                },
                6 => {
                    let place = chance.below(numbers.len() as u64) as usize;
                    let went = book.go_to(id, numbers[place], step).unwrap();
                    if place != model.current {
                        numbers.push(went);
                        model.add(model.revisions[place].1.clone());
                    }
                }
                _ => {
                    change(&book, other, "another entry in between", step);
                }
            }
            assert_same(&book, id, &numbers, &model);
        }
    }
}
