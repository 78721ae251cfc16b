//! Entries, kits, stages, settings and their limits.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use book::{
    Book, BookError, Change, EntryId, Kind, MAX_NOTE_CHARS, MAX_TEXT_BYTES, MAX_TITLE_CHARS,
    StageRecord,
};
use common::{Scratch, heron, north_bench, stage};

#[test]
fn a_book_can_be_shared_between_threads() {
    fn check<T: Send + Sync>() {}
    check::<Book>();
}

#[test]
fn what_is_written_is_read_back_after_closing() {
    let scratch = Scratch::new("read-back");
    let path = scratch.path("shop.book");
    let words = "title = \"Sandpiper\" # ½ 𝄞 \u{0} \r\n\t'\"";
    let (id, made) = {
        let book = Book::open(&path).unwrap();
        assert!(book.is_empty().unwrap());
        let id = book
            .create(Kind::Commission, words, words, words, -5)
            .unwrap();
        (id, book.entry(id).unwrap())
    };
    let book = Book::open(&path).unwrap();
    assert!(!book.is_empty().unwrap());
    assert_eq!(book.entry(id).unwrap(), made);
    assert_eq!((made.title.as_str(), made.text.as_str()), (words, words));
    assert_eq!(book.history(id).unwrap()[0].what, words);
    assert_eq!(book.history(id).unwrap()[0].at, -5);
}

#[test]
fn entries_are_listed_by_kind_the_one_changed_last_first() {
    let book = Book::open_in_memory().unwrap();
    let (first, kit, second) = (heron(&book), north_bench(&book), heron(&book));
    let listed = |kind| -> Vec<EntryId> {
        book.entries(kind)
            .unwrap()
            .iter()
            .map(|summary| summary.id)
            .collect()
    };
    assert_eq!(listed(Kind::Commission), [second, first]);
    assert_eq!(listed(Kind::Kit), [kit]);
    let based_on = book.entry(first).unwrap().revision;
    let renamed = Change {
        id: first,
        based_on,
        title: "Avocet",
        text: "",
        what: "name",
        at: 900,
    };
    let revision = book.change(&renamed).unwrap();
    assert_eq!(listed(Kind::Commission), [first, second]);
    let summary = &book.entries(Kind::Commission).unwrap()[0];
    assert_eq!(
        (summary.title.as_str(), summary.revision),
        ("Avocet", revision)
    );
    assert_eq!((summary.made_at, summary.changed_at), (100, 900));
}

#[test]
fn an_entry_put_away_keeps_everything_and_comes_out_again() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let before = book.entry(id).unwrap();
    let seen = || {
        let summary = &book.entries(Kind::Commission).unwrap()[0];
        (summary.put_away, summary.changed_at)
    };
    book.put_away(id, 200).unwrap();
    assert_eq!(seen(), (true, 200));
    book.put_away(id, 300).unwrap();
    assert_eq!(
        seen(),
        (true, 200),
        "putting away twice is putting away once"
    );
    assert!(!book.is_empty().unwrap());
    assert_eq!(book.entry(id).unwrap(), before);
    book.take_out(id, 400).unwrap();
    book.take_out(id, 500).unwrap();
    assert_eq!(seen(), (false, 400));
}

#[test]
fn a_commission_takes_a_kit_and_nothing_else() {
    let book = Book::open_in_memory().unwrap();
    let (id, kit) = (heron(&book), north_bench(&book));
    let listed = || book.entries(Kind::Commission).unwrap()[0].kit;
    assert_eq!(listed(), None);
    book.set_kit(id, Some(kit), 200).unwrap();
    assert_eq!(book.entry(id).unwrap().kit, Some(kit));
    assert_eq!(listed(), Some(kit));
    let wrong = BookError::WrongKind {
        id,
        wanted: Kind::Kit,
    };
    assert_eq!(book.set_kit(id, Some(id), 300), Err(wrong));
    let wrong = BookError::WrongKind {
        id: kit,
        wanted: Kind::Commission,
    };
    assert_eq!(book.set_kit(kit, Some(kit), 300), Err(wrong));
    let missing = BookError::NoSuchEntry { id: EntryId(77) };
    assert_eq!(book.set_kit(id, Some(EntryId(77)), 300), Err(missing));
    assert_eq!(
        book.entry(id).unwrap().kit,
        Some(kit),
        "what was refused changed nothing"
    );
    book.set_kit(id, None, 400).unwrap();
    assert_eq!(book.entry(id).unwrap().kit, None);
}

#[test]
fn texts_fit_up_to_the_limit_and_are_refused_past_it() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let based_on = book.entry(id).unwrap().revision;
    let (full, over) = ("x".repeat(MAX_TEXT_BYTES), "x".repeat(MAX_TEXT_BYTES + 1));
    let (title, long) = ("ö".repeat(MAX_TITLE_CHARS), "ö".repeat(MAX_TITLE_CHARS + 1));
    let base = Change {
        id,
        based_on,
        title: "",
        text: "",
        what: "",
        at: 1,
    };
    let too_long = |thing| {
        Err(BookError::TooLong {
            thing,
            chars: MAX_TITLE_CHARS + 1,
            limit: MAX_TITLE_CHARS,
        })
    };
    let big = BookError::TextTooLong {
        thing: "text",
        bytes: MAX_TEXT_BYTES + 1,
        limit: MAX_TEXT_BYTES,
    };
    assert_eq!(
        book.change(&Change {
            text: &over,
            ..base
        }),
        Err(big.clone())
    );
    assert_eq!(book.create(Kind::Kit, "", &over, "", 1), Err(big));
    assert_eq!(
        book.change(&Change {
            title: &long,
            ..base
        }),
        too_long("title")
    );
    assert_eq!(
        book.change(&Change {
            what: &long,
            ..base
        }),
        too_long("description of the change")
    );
    assert_eq!(book.history(id).unwrap().len(), 1);
    book.change(&Change {
        title: &title,
        text: &full,
        what: &title,
        ..base
    })
    .unwrap();
    assert_eq!(book.entry(id).unwrap().text, full);
}

#[test]
fn a_message_names_the_thing_the_value_the_limit_and_a_way_out() {
    let book = Book::open_in_memory().unwrap();
    let long = "x".repeat(201);
    let error = book.create(Kind::Kit, &long, "", "", 1).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the title is 201 characters long, at most 200 are kept; shorten it"
    );
    let scratch = Scratch::new("message");
    let folder = scratch.path("");
    let error = Book::open(&folder).unwrap_err().to_string();
    assert!(error.ends_with("shop.book"), "{error}");
    assert!(error.contains("is a folder, a book is a file"), "{error}");
}

#[test]
fn stages_done_come_back_in_order_by_commission_and_all_together() {
    let book = Book::open_in_memory().unwrap();
    let (first, second) = (heron(&book), heron(&book));
    let mut records = [stage(first, 10), stage(second, 5), stage(first, 1)];
    records[1].force_n = Some(22.5);
    for record in &mut records {
        record.id = Some(book.log_stage(record).unwrap());
    }
    assert_eq!(book.all_stage_logs().unwrap(), records);
    assert_eq!(
        book.stage_logs(first).unwrap(),
        [records[0].clone(), records[2].clone()]
    );
    assert_eq!(book.stage_logs(second).unwrap(), [records[1].clone()]);
}

#[test]
fn a_stage_set_aside_no_longer_counts_but_is_kept_with_its_reason() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let log_id = book.log_stage(&stage(id, 10)).unwrap();
    book.set_aside_log(log_id, "the clock ran on over lunch", 20)
        .unwrap();
    assert_eq!(book.stage_logs(id).unwrap(), []);
    assert_eq!(book.all_stage_logs().unwrap(), []);
    let kept = book.set_aside_logs(id).unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!(
        kept[0].record,
        StageRecord {
            id: Some(log_id),
            ..stage(id, 10)
        }
    );
    assert_eq!(
        (kept[0].reason.as_str(), kept[0].at),
        ("the clock ran on over lunch", 20)
    );
    let again = book.set_aside_log(log_id, "another", 30);
    let reason = "the clock ran on over lunch".into();
    assert_eq!(again, Err(BookError::AlreadySetAside { log_id, reason }));
    assert_eq!(
        book.set_aside_log(99, "", 30),
        Err(BookError::NoSuchLog { log_id: 99 })
    );
}

#[test]
fn a_stage_with_a_figure_that_is_none_is_refused() {
    let book = Book::open_in_memory().unwrap();
    let (id, kit) = (heron(&book), north_bench(&book));
    let good = stage(id, 1);
    for bad in [f64::NAN, f64::INFINITY, -0.5] {
        for record in [
            StageRecord {
                volume_mm3: bad,
                ..good.clone()
            },
            StageRecord {
                minutes: bad,
                ..good.clone()
            },
            StageRecord {
                force_n: Some(bad),
                ..good.clone()
            },
        ] {
            assert!(matches!(
                book.log_stage(&record),
                Err(BookError::BadFigure { .. })
            ));
        }
    }
    let long = StageRecord {
        note: "x".repeat(MAX_NOTE_CHARS + 1),
        ..good
    };
    assert!(matches!(
        book.log_stage(&long),
        Err(BookError::TooLong { thing: "note", .. })
    ));
    let wrong = BookError::WrongKind {
        id: kit,
        wanted: Kind::Commission,
    };
    assert_eq!(book.log_stage(&stage(kit, 1)), Err(wrong));
    assert_eq!(book.all_stage_logs().unwrap(), []);
}

#[test]
fn a_setting_is_what_it_was_set_to_last() {
    let book = Book::open_in_memory().unwrap();
    assert_eq!(book.setting("unit").unwrap(), None);
    book.set_setting("unit", "mm", 1).unwrap();
    book.set_setting("unit", "in", 2).unwrap();
    book.set_setting("Unit", "other key", 2).unwrap();
    assert_eq!(book.setting("unit").unwrap().as_deref(), Some("in"));
    let long = "x".repeat(MAX_TEXT_BYTES + 1);
    assert!(matches!(
        book.set_setting("unit", &long, 3),
        Err(BookError::TextTooLong { .. })
    ));
    assert_eq!(book.setting("unit").unwrap().as_deref(), Some("in"));
}

#[test]
fn a_setting_is_changed_by_what_it_was_or_left_as_it_is() {
    let book = Book::open_in_memory().unwrap();
    let one_more = |was: Option<&str>| {
        let count = was.map_or(0, |was| was.parse::<u32>().unwrap());
        Some((count + 1).to_string())
    };
    let value = || book.setting("count").unwrap();
    book.change_setting("count", 1, |was| {
        assert_eq!(was, None, "it was never set");
        None
    })
    .unwrap();
    assert_eq!(value(), None, "leaving it sets nothing");
    for count in ["1", "2", "3"] {
        book.change_setting("count", 2, one_more).unwrap();
        assert_eq!(value().as_deref(), Some(count));
    }
    let changed_at = || book.settings().unwrap()[0].changed_at;
    assert_eq!(changed_at(), 2);
    book.change_setting("count", 3, |_| None).unwrap();
    assert_eq!((value().as_deref(), changed_at()), (Some("3"), 2));
    let long = "x".repeat(MAX_TEXT_BYTES + 1);
    assert!(matches!(
        book.change_setting("count", 4, |_| Some(long)),
        Err(BookError::TextTooLong { .. })
    ));
    assert!(matches!(
        book.change_setting(&"k".repeat(201), 4, one_more),
        Err(BookError::TooLong { .. })
    ));
    assert_eq!((value().as_deref(), changed_at()), (Some("3"), 2));
}

#[test]
fn changes_of_a_setting_from_two_handles_at_once_all_count() {
    const EACH: usize = 40;
    let scratch = Scratch::new("setting-together");
    let path = scratch.path("shop.book");
    drop(Book::open(&path).unwrap());
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                let book = Book::open(&path).unwrap();
                for _ in 0..EACH {
                    book.change_setting("marks", 1, |was| {
                        Some(format!("{}x", was.unwrap_or_default()))
                    })
                    .unwrap();
                }
            });
        }
    });
    let marks = Book::open(&path).unwrap().setting("marks").unwrap();
    assert_eq!(marks.unwrap().len(), 2 * EACH);
}
