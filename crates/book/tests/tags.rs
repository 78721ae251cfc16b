//! Tags put on and taken off, and stages done that are sent more than once.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::collections::BTreeSet;

use book::{Book, BookError, EntryId, MAX_TAG_CHARS, MAX_TAGS, StageRecord};
use common::{Chance, Scratch, heron, north_bench, stage};

#[test]
fn tags_stand_in_the_order_of_the_alphabet_also_after_reopening() {
    let scratch = Scratch::new("tags");
    let path = scratch.path("shop.book");
    let book = Book::open(&path).unwrap();
    let (kit, heron) = (north_bench(&book), heron(&book));
    assert_eq!(
        book.put_on_tag(heron, "  set   neck ", 200).unwrap(),
        "set neck"
    );
    book.put_on_tag(heron, "Ebony", 201).unwrap();
    book.put_on_tag(kit, "Ebony", 202).unwrap();
    drop(book);
    let book = Book::open(&path).unwrap();
    assert_eq!(book.tags(heron).unwrap(), ["Ebony", "set neck"]);
    let all = book.all_tags().unwrap();
    let plain: Vec<_> = all.iter().map(|(id, tag)| (*id, tag.as_str())).collect();
    assert_eq!(
        plain,
        [(kit, "Ebony"), (heron, "Ebony"), (heron, "set neck")]
    );
}

#[test]
fn a_tag_in_other_letters_is_the_tag_that_is_there() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    book.put_on_tag(id, "Ebony", 200).unwrap();
    assert_eq!(book.put_on_tag(id, "EBONY", 300).unwrap(), "Ebony");
    assert_eq!(changed_at(&book, id), 200, "nothing was written");
    book.take_off_tag(id, " eBony ", 400).unwrap();
    assert_eq!(book.tags(id).unwrap(), [""; 0]);
    book.take_off_tag(id, "ebony", 500).unwrap();
    assert_eq!(changed_at(&book, id), 400, "it was off already");
    // Off and on again, in the letters typed last.
    assert_eq!(book.put_on_tag(id, "ebony", 600).unwrap(), "ebony");
    assert_eq!(book.tags(id).unwrap(), ["ebony"]);
}

fn changed_at(book: &Book, id: EntryId) -> i64 {
    let all = book.entries(book::Kind::Commission).unwrap();
    all.iter().find(|entry| entry.id == id).unwrap().changed_at
}

#[test]
fn what_cannot_be_a_tag_is_refused_with_a_word() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let refused = |tag: &str| book.put_on_tag(id, tag, 200).unwrap_err();
    assert_eq!(refused("  "), BookError::Empty { thing: "tag" });
    for tag in ["a,b", "a\nb", "a\u{7}b"] {
        assert_eq!(refused(tag), BookError::BadTag { tag: tag.into() });
    }
    let longest = "ü".repeat(MAX_TAG_CHARS);
    book.put_on_tag(id, &longest, 200).unwrap();
    assert_eq!(
        refused(&format!("{longest}x")),
        BookError::TooLong {
            thing: "tag",
            chars: MAX_TAG_CHARS + 1,
            limit: MAX_TAG_CHARS
        }
    );
    for number in 1..MAX_TAGS {
        book.put_on_tag(id, &number.to_string(), 200).unwrap();
    }
    assert_eq!(
        refused("one more"),
        BookError::TooManyTags { limit: MAX_TAGS }
    );
    book.take_off_tag(id, "7", 200).unwrap();
    book.put_on_tag(id, "one more", 200).unwrap();
    let missing = BookError::NoSuchEntry { id: EntryId(99) };
    assert_eq!(book.tags(EntryId(99)), Err(missing.clone()));
    assert_eq!(book.put_on_tag(EntryId(99), "a", 1), Err(missing.clone()));
    assert_eq!(book.take_off_tag(EntryId(99), "a", 1), Err(missing));
}

/// Random events against a plain set.
#[test]
fn any_order_of_putting_on_and_taking_off_agrees_with_a_plain_set() {
    let book = Book::open_in_memory().unwrap();
    let ids = [heron(&book), heron(&book)];
    let mut models = [BTreeSet::new(), BTreeSet::new()];
    let mut chance = Chance(7);
    for at in 0..400 {
        let which = chance.below(2) as usize;
        let tag = format!("tag {}", chance.below(6));
        if chance.below(2) == 0 {
            book.put_on_tag(ids[which], &tag, at).unwrap();
            models[which].insert(tag);
        } else {
            book.take_off_tag(ids[which], &tag, at).unwrap();
            models[which].remove(&tag);
        }
        for (id, model) in ids.iter().zip(&models) {
            assert!(book.tags(*id).unwrap().iter().eq(model));
        }
    }
}

#[test]
fn a_stage_sent_again_under_its_key_is_stored_once() {
    let book = Book::open_in_memory().unwrap();
    let (id, other) = (heron(&book), heron(&book));
    let sent = |at| StageRecord {
        sent_key: Some("tablet 1".into()),
        ..stage(id, at)
    };
    let log_id = book.log_stage(&sent(200)).unwrap();
    // The plan may have changed before it is sent again: what follows from it does not matter.
    let again = StageRecord {
        volume_mm3: 1.0,
        wood: "ebony".into(),
        ..sent(900)
    };
    assert_eq!(book.log_stage(&again), Ok(log_id));
    let logs = book.stage_logs(id).unwrap();
    assert_eq!(logs.len(), 1);
    assert_eq!((logs[0].at, logs[0].volume_mm3), (200, 812.5));
    book.set_aside_log(log_id, "logged twice", 950).unwrap();
    assert_eq!(
        book.log_stage(&sent(960)),
        Ok(log_id),
        "also once set aside"
    );

    for different in [
        StageRecord {
            minutes: 8.0,
            ..sent(1)
        },
        StageRecord {
            note: "other".into(),
            ..sent(1)
        },
        StageRecord {
            stage: "beam-p240".into(),
            ..sent(1)
        },
        StageRecord {
            commission: other,
            ..sent(1)
        },
    ] {
        let refusal = BookError::StageKeyUsed {
            sent_key: "tablet 1".into(),
            log_id,
            commission: id,
        };
        assert_eq!(book.log_stage(&different), Err(refusal));
    }
    let keyless = [stage(id, 1), stage(id, 1)].map(|log| book.log_stage(&log).unwrap());
    assert_ne!(keyless[0], keyless[1], "without a key nothing is the same");
    let blank = StageRecord {
        sent_key: Some(" ".into()),
        ..stage(id, 1)
    };
    assert_eq!(
        book.log_stage(&blank),
        Err(BookError::Empty {
            thing: "key of the stage"
        })
    );
}
