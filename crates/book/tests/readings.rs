//! Visits and readings: kept as they came, set aside and taken back in, never entered twice.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use book::{
    BatchId, Book, BookError, EntryId, Kind, MAX_NOTE_CHARS, MAX_READINGS_BYTES, MAX_TITLE_CHARS,
    NewReadings, SetAsideLine, VisitDetail, VisitId, VisitRecord,
};
use common::{Chance, Scratch, heron, north_bench, visit};

fn typed(visit: VisitId, text: &str) -> NewReadings<'_> {
    NewReadings {
        visit,
        text,
        source: "keypad",
        sent_key: None,
        at: 500,
    }
}

fn sent<'a>(visit: VisitId, text: &'a str, sent_key: &'a str) -> NewReadings<'a> {
    NewReadings {
        sent_key: Some(sent_key),
        ..typed(visit, text)
    }
}

fn changed_at(book: &Book, id: EntryId) -> i64 {
    let summaries = book.entries(Kind::Commission).unwrap();
    let summary = summaries.iter().find(|summary| summary.id == id).unwrap();
    summary.changed_at
}

fn aside(book: &Book, batch: BatchId, visit: VisitId) -> Vec<(Option<u32>, String, i64)> {
    let batches = book.readings(visit).unwrap();
    let kept = batches.iter().find(|kept| kept.id == batch).unwrap();
    kept.set_aside
        .iter()
        .map(|it| (it.line, it.reason.clone(), it.at))
        .collect()
}

#[test]
fn visits_come_back_in_the_order_they_were_entered_with_their_batches_counted() {
    let book = Book::open_in_memory().unwrap();
    let (first, other) = (heron(&book), heron(&book));
    assert_eq!(book.visits(first).unwrap(), []);
    let rough = book
        .add_visit(first, "1", "Tuesday", "block-406-p120", 300)
        .unwrap();
    let elsewhere = book.add_visit(other, "1", "", "", 200).unwrap();
    let late = book.add_visit(first, "0", "", "", 100).unwrap();
    book.add_readings(&typed(rough, "a")).unwrap();
    book.add_readings(&typed(rough, "a")).unwrap();
    let expected = [
        VisitRecord {
            id: rough,
            commission: first,
            name: "1".into(),
            date: "Tuesday".into(),
            stage: "block-406-p120".into(),
            made_at: 300,
            batches: 2,
        },
        VisitRecord {
            id: late,
            commission: first,
            name: "0".into(),
            date: String::new(),
            stage: String::new(),
            made_at: 100,
            batches: 0,
        },
    ];
    assert_eq!(book.visits(first).unwrap(), expected);
    assert_eq!(book.visit(rough).unwrap(), expected[0]);
    assert_eq!(book.visits(other).unwrap()[0].id, elsewhere);
}

#[test]
fn a_corrected_visit_shows_the_last_version_and_keeps_the_others() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let visit = book.add_visit(id, "1", "Tuesday", "", 200).unwrap();
    // The times go backwards; the order of entering counts.
    book.change_visit(visit, "rough", "Tuesday", "p120", 150)
        .unwrap();
    book.change_visit(visit, "rough", "Tuesday", "p120", 400)
        .unwrap();
    let now = book.visit(visit).unwrap();
    assert_eq!(
        (now.name.as_str(), now.date.as_str(), now.stage.as_str()),
        ("rough", "Tuesday", "p120")
    );
    assert_eq!((now.made_at, changed_at(&book, id)), (200, 150));
    let version = |name: &str, stage: &str, at| VisitDetail {
        name: name.into(),
        date: "Tuesday".into(),
        stage: stage.into(),
        at,
    };
    assert_eq!(
        book.visit_details(visit).unwrap(),
        [version("rough", "p120", 150), version("1", "", 200)],
        "the same once more is no further version"
    );
}

#[test]
fn two_visits_of_a_commission_bear_different_names() {
    let book = Book::open_in_memory().unwrap();
    let (id, other) = (heron(&book), heron(&book));
    let first = book.add_visit(id, "1", "", "", 200).unwrap();
    let taken = |name: &str| BookError::VisitNameTaken {
        name: name.into(),
        visit: first,
    };
    assert_eq!(book.add_visit(id, "1", "x", "x", 300), Err(taken("1")));
    assert_eq!(book.add_visit(id, " 1 ", "", "", 300), Err(taken(" 1 ")));
    assert_eq!(
        taken("1").to_string(),
        "visit 1 of this commission is called 1 already; choose another name, or add the \
         readings to that visit"
    );
    book.add_visit(other, "1", "", "", 300).unwrap();
    let second = book.add_visit(id, "2", "", "", 300).unwrap();
    assert_eq!(book.change_visit(second, "1", "", "", 400), Err(taken("1")));
    book.change_visit(second, "2", "Friday", "", 400).unwrap();
    book.change_visit(first, "rough", "", "", 500).unwrap();
    // The name a correction has freed may be given again.
    book.change_visit(second, "1", "Friday", "", 600).unwrap();
    let names: Vec<_> = book.visits(id).unwrap();
    let names: Vec<_> = names.iter().map(|visit| visit.name.as_str()).collect();
    assert_eq!(names, ["rough", "1"]);
    assert_eq!(book.visit_details(second).unwrap().len(), 3);
}

#[test]
fn a_batch_is_kept_letter_for_letter_and_in_order() {
    let scratch = Scratch::new("letters");
    let path = scratch.path("shop.book");
    let texts = ["height,½ 𝄞\u{0}\r\n\t'\"", " \u{feff}1;2\r3\n\n", "b", "b"];
    let (visit, numbers) = {
        let book = Book::open(&path).unwrap();
        let visit = visit(&book, heron(&book));
        let store = |text: &&str| book.add_readings(&typed(visit, text)).unwrap();
        (visit, texts.iter().map(store).collect::<Vec<_>>())
    };
    let kept = Book::open(&path).unwrap().readings(visit).unwrap();
    let listed: Vec<_> = kept.iter().map(|it| it.text.as_str()).collect();
    assert_eq!(listed, texts);
    let listed: Vec<_> = kept.iter().map(|it| it.id).collect();
    assert_eq!(listed, numbers);
    assert!(numbers.is_sorted());
    assert!(
        kept.iter()
            .all(|it| (it.source.as_str(), it.at, it.set_aside.len()) == ("keypad", 500, 0))
    );
}

#[test]
fn whatever_is_done_to_readings_moves_the_time_the_commission_changed() {
    let book = Book::open_in_memory().unwrap();
    let (id, other) = (heron(&book), heron(&book));
    let entry = book.entry(id).unwrap();
    let visit = book.add_visit(id, "1", "", "", 200).unwrap();
    assert_eq!(changed_at(&book, id), 200);
    let batch = book.add_readings(&sent(visit, "a\nb", "k")).unwrap();
    assert_eq!(changed_at(&book, id), 500);
    book.set_aside_readings(batch, None, "dust", 600).unwrap();
    assert_eq!(changed_at(&book, id), 600);
    book.take_back_in(batch, None, 700).unwrap();
    assert_eq!(changed_at(&book, id), 700);
    // What writes nothing moves nothing.
    book.take_back_in(batch, None, 800).unwrap();
    book.add_readings(&sent(visit, "a\nb", "k")).unwrap();
    assert_eq!(changed_at(&book, id), 700);
    assert_eq!(changed_at(&book, other), 100);
    assert_eq!(book.entry(id).unwrap(), entry, "no revision was made");
}

#[test]
fn a_line_or_a_batch_is_set_aside_and_taken_back_in() {
    let book = Book::open_in_memory().unwrap();
    let visit = visit(&book, heron(&book));
    let batch = book.add_readings(&typed(visit, "a\r\nb\nc")).unwrap();
    let beside = book.add_readings(&typed(visit, "d")).unwrap();
    book.set_aside_readings(batch, Some(3), "dust", 10).unwrap();
    book.set_aside_readings(batch, Some(1), "wrong fret", 20)
        .unwrap();
    book.set_aside_readings(batch, None, "dial was loose", 30)
        .unwrap();
    let whole = || (None, "dial was loose".to_owned(), 30);
    let line_1 = || (Some(1), "wrong fret".to_owned(), 20);
    let line_3 = || (Some(3), "dust".to_owned(), 10);
    assert_eq!(aside(&book, batch, visit), [whole(), line_1(), line_3()]);
    assert_eq!(aside(&book, beside, visit), []);
    book.take_back_in(batch, None, 40).unwrap();
    assert_eq!(aside(&book, batch, visit), [line_1(), line_3()]);
    book.take_back_in(batch, Some(1), 50).unwrap();
    book.take_back_in(batch, Some(2), 50).unwrap();
    assert_eq!(aside(&book, batch, visit), [line_3()]);
    // Another reason takes the place of the first; the same one changes nothing.
    book.set_aside_readings(batch, Some(3), "chalk", 60)
        .unwrap();
    book.set_aside_readings(batch, Some(3), "chalk", 70)
        .unwrap();
    assert_eq!(
        aside(&book, batch, visit),
        [(Some(3), "chalk".to_owned(), 60)]
    );
    book.set_aside_readings(batch, Some(1), "wrong fret", 80)
        .unwrap();
    assert_eq!(
        aside(&book, batch, visit)[0],
        (Some(1), "wrong fret".to_owned(), 80)
    );
    assert_eq!(book.readings(visit).unwrap()[0].text, "a\r\nb\nc");
}

#[test]
fn any_order_of_setting_aside_and_taking_back_agrees_with_a_plain_map() {
    for seed in 0..20 {
        let mut chance = Chance(seed);
        let book = Book::open_in_memory().unwrap();
        let id = heron(&book);
        let visits = [visit(&book, id), visit(&book, id)];
        let mut batches = Vec::new();
        for number in 0..4 {
            let visit = visits[number % 2];
            let batch = book.add_readings(&typed(visit, "1\n2\n3\n")).unwrap();
            batches.push((batch, visit));
        }
        let mut model = std::collections::BTreeMap::new();
        for at in 0..80 {
            let (batch, _) = batches[chance.below(4) as usize];
            let line = match chance.below(4) {
                0 => None,
                line => Some(line as u32),
            };
            if chance.below(2) == 0 {
                let reason = format!("reason {}", chance.below(3));
                book.set_aside_readings(batch, line, &reason, at).unwrap();
                let stands = model.get(&(batch, line));
                if stands.is_none_or(|(before, _)| *before != reason) {
                    model.insert((batch, line), (reason, at));
                }
            } else {
                book.take_back_in(batch, line, at).unwrap();
                model.remove(&(batch, line));
            }
            for &(batch, visit) in &batches {
                let expected: Vec<_> = model
                    .range((batch, None)..=(batch, Some(3)))
                    .map(|((_, line), (reason, at))| (*line, reason.clone(), *at))
                    .collect();
                assert_eq!(aside(&book, batch, visit), expected);
            }
        }
    }
}

#[test]
fn a_line_that_is_not_there_cannot_be_set_aside() {
    let book = Book::open_in_memory().unwrap();
    let visit = visit(&book, heron(&book));
    let batch = book.add_readings(&typed(visit, "a\nb\n")).unwrap();
    for line in [0, 3, u32::MAX] {
        let missing = || {
            Err(BookError::NoSuchLine {
                batch,
                line,
                lines: 2,
            })
        };
        assert_eq!(
            book.set_aside_readings(batch, Some(line), "dust", 1),
            missing()
        );
        assert_eq!(book.take_back_in(batch, Some(line), 1), missing());
    }
    let error = book.take_back_in(batch, Some(3), 1).unwrap_err();
    assert_eq!(
        error.to_string(),
        "batch 1 of readings has no line 3, its lines are 1 to 2; choose one of them, or the \
         whole batch"
    );
    for reason in ["", " \t\n"] {
        assert_eq!(
            book.set_aside_readings(batch, Some(1), reason, 1),
            Err(BookError::Empty { thing: "reason" })
        );
    }
    assert_eq!(aside(&book, batch, visit), []);
}

#[test]
fn a_batch_sent_again_is_entered_once_also_after_reopening() {
    let scratch = Scratch::new("again");
    let path = scratch.path("shop.book");
    let (first, other, batch) = {
        let book = Book::open(&path).unwrap();
        let id = heron(&book);
        let (first, other) = (visit(&book, id), visit(&book, id));
        let batch = book.add_readings(&sent(first, "a", "tablet 1")).unwrap();
        assert_eq!(book.add_readings(&sent(first, "a", "tablet 1")), Ok(batch));
        (first, other, batch)
    };
    let book = Book::open(&path).unwrap();
    let later = NewReadings {
        source: "keypad, sent again",
        at: 900,
        ..sent(first, "a", "tablet 1")
    };
    assert_eq!(book.add_readings(&later), Ok(batch));
    let kept = book.readings(first).unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!((kept[0].source.as_str(), kept[0].at), ("keypad", 500));
    let used = || BookError::SentKeyUsed {
        sent_key: "tablet 1".into(),
        batch,
        visit: first,
    };
    for unlike in [
        sent(first, "a ", "tablet 1"),
        sent(first, "A", "tablet 1"),
        sent(first, "a\0", "tablet 1"),
        sent(other, "a", "tablet 1"),
    ] {
        assert_eq!(book.add_readings(&unlike), Err(used()));
    }
    assert!(used().to_string().contains("under a new key"));
    // Another key, or none, is another batch.
    let second = book.add_readings(&sent(first, "a", "tablet 2")).unwrap();
    let third = book.add_readings(&typed(first, "a")).unwrap();
    let fourth = book.add_readings(&typed(first, "a")).unwrap();
    assert!(batch < second && second < third && third < fourth);
    assert_eq!(book.readings(first).unwrap().len(), 4);
    assert_eq!(book.readings(other).unwrap(), []);
    // A batch that was set aside since is not entered anew either.
    book.set_aside_readings(batch, None, "dust", 950).unwrap();
    assert_eq!(book.add_readings(&later), Ok(batch));
    assert_eq!(
        book.readings(first).unwrap()[0].set_aside,
        [SetAsideLine {
            line: None,
            reason: "dust".into(),
            at: 950
        }]
    );
}

#[test]
fn only_a_commission_has_visits_and_only_what_is_there_is_read() {
    let book = Book::open_in_memory().unwrap();
    let (id, kit) = (heron(&book), north_bench(&book));
    let wrong = || BookError::WrongKind {
        id: kit,
        wanted: Kind::Commission,
    };
    assert_eq!(book.add_visit(kit, "1", "", "", 1), Err(wrong()));
    assert_eq!(book.visits(kit), Err(wrong()));
    let nobody = EntryId(77);
    let missing = || BookError::NoSuchEntry { id: nobody };
    assert_eq!(book.add_visit(nobody, "1", "", "", 1), Err(missing()));
    assert_eq!(book.visits(nobody), Err(missing()));
    let visit = VisitId(77);
    let missing = || BookError::NoSuchVisit { visit };
    assert_eq!(book.visit(visit), Err(missing()));
    assert_eq!(book.visit_details(visit), Err(missing()));
    assert_eq!(book.change_visit(visit, "1", "", "", 1), Err(missing()));
    assert_eq!(book.readings(visit), Err(missing()));
    assert_eq!(book.add_readings(&sent(visit, "a", "k")), Err(missing()));
    let batch = BatchId(77);
    let missing = || BookError::NoSuchBatch { batch };
    assert_eq!(
        book.set_aside_readings(batch, Some(1), "dust", 1),
        Err(missing())
    );
    assert_eq!(book.take_back_in(batch, None, 1), Err(missing()));
    assert_eq!(
        changed_at(&book, id),
        100,
        "what was refused changed nothing"
    );
}

#[test]
fn visits_and_readings_fit_up_to_the_limits_and_are_refused_past_them() {
    let book = Book::open_in_memory().unwrap();
    let id = heron(&book);
    let (name, long) = ("ö".repeat(MAX_TITLE_CHARS), "ö".repeat(MAX_TITLE_CHARS + 1));
    let too_long = |thing| BookError::TooLong {
        thing,
        chars: MAX_TITLE_CHARS + 1,
        limit: MAX_TITLE_CHARS,
    };
    for (name, date, stage, thing) in [
        (long.as_str(), "", "", "name of the visit"),
        ("1", long.as_str(), "", "date of the visit"),
        ("1", "", long.as_str(), "stage of the visit"),
    ] {
        let error = book.add_visit(id, name, date, stage, 1);
        assert_eq!(error, Err(too_long(thing)));
    }
    let thing = "name of the visit";
    assert_eq!(
        book.add_visit(id, " ", "", "", 1),
        Err(BookError::Empty { thing })
    );
    let visit = book.add_visit(id, &name, &name, &name, 1).unwrap();
    assert_eq!(
        book.change_visit(visit, "", "", "", 2),
        Err(BookError::Empty { thing })
    );
    let unkept = NewReadings {
        source: &long,
        ..typed(visit, "a")
    };
    let thing = "source of the readings";
    assert_eq!(book.add_readings(&unkept), Err(too_long(thing)));
    let thing = "key of the readings";
    assert_eq!(
        book.add_readings(&sent(visit, "a", &long)),
        Err(too_long(thing))
    );
    assert_eq!(
        book.add_readings(&sent(visit, "a", "")),
        Err(BookError::Empty { thing })
    );
    let thing = "text of the readings";
    assert_eq!(
        book.add_readings(&typed(visit, "\r\n")),
        Err(BookError::Empty { thing })
    );
    assert_eq!(book.readings(visit).unwrap(), []);
    let batch = book.add_readings(&sent(visit, "a", &name)).unwrap();
    let note = "x".repeat(MAX_NOTE_CHARS);
    book.set_aside_readings(batch, None, &note, 2).unwrap();
    let over = book.set_aside_readings(batch, None, &(note + "x"), 3);
    assert!(matches!(
        over,
        Err(BookError::TooLong {
            thing: "reason",
            ..
        })
    ));
}

#[test]
fn a_batch_of_64_mib_is_kept_and_a_larger_one_is_told_to_split() {
    let scratch = Scratch::new("large");
    let path = scratch.path("shop.book");
    let book = Book::open(&path).unwrap();
    let visit = visit(&book, heron(&book));
    let mut text = "1.25,0.125\n".repeat(MAX_READINGS_BYTES / 11 + 1);
    text.truncate(MAX_READINGS_BYTES);
    assert_eq!(text.len(), 67_108_864);
    let batch = book.add_readings(&sent(visit, &text, "probe")).unwrap();
    assert_eq!(book.add_readings(&sent(visit, &text, "probe")), Ok(batch));
    book.set_aside_readings(batch, Some(6_000_000), "spike", 1)
        .unwrap();
    text.push('1');
    let error = book.add_readings(&typed(visit, &text)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the readings are 67108865 bytes long, at most 67108864 bytes are kept in one batch; \
         split them into several batches"
    );
    drop(book);
    let kept = Book::open(&path).unwrap().readings(visit).unwrap();
    assert_eq!(kept.len(), 1);
    assert!(kept[0].text == text[..MAX_READINGS_BYTES]);
}
