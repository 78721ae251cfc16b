//! Tests of what is carried out of a book and into another.

use book::{Book, EntryId, Kind, NewReadings, StageRecord, WholeEntry};

use super::bring::{PLACED_SHARE, READ_SHARE};
use super::*;
use crate::demo;
use crate::progress::Progress;

/// Texts that writers and readers of TOML may trip over.
const NASTY: [&str; 8] = [
    "",
    "a\r\nb\rc\n",
    "'''\n\"\"\"\n\\",
    "\u{0}\u{1}\u{7f}\u{85}\u{2028}",
    "\u{feff}begins with a mark",
    "\n\nbegins and ends with lines\n\n",
    "tab\tand ünïcödé 🎸",
    "\"quoted\" and 'quoted'",
];

/// A book with one of everything, and texts that are hard to write down.
fn full() -> Book {
    let book = Book::open_in_memory().expect("has memory");
    let kit = book
        .create(Kind::Kit, "North bench", demo::KIT.text, "first", 1_000)
        .expect("fits");
    let heron = book
        .create(
            Kind::Commission,
            "Heron",
            demo::COMMISSIONS[0].text,
            "first",
            -5,
        )
        .expect("fits");
    for (number, text) in NASTY.iter().enumerate() {
        let based_on = book.entry(heron).expect("is there").revision;
        let title: String = text.chars().take(100).collect();
        book.change(&book::Change {
            id: heron,
            based_on,
            title: &title,
            text,
            what: &title,
            at: number as i64,
        })
        .expect("fits");
        if number % 3 == 2 {
            book.undo(heron, 50).expect("can be undone");
        }
    }
    book.set_kit(heron, Some(kit), i64::MAX).expect("is a kit");
    book.put_on_tag(heron, "ünder way", 60).expect("is a tag");
    book.put_on_tag(kit, "old", 61).expect("is a tag");
    book.take_off_tag(kit, "old", 62).expect("is a tag");
    let other = book
        .create(Kind::Commission, "Heron", "= broken", "first", 70)
        .expect("fits");
    book.put_away(other, 71).expect("is there");
    for (force_n, key, minutes) in [(Some(0.1), Some("tablet 1"), 7.1), (None, None, 1e300)] {
        let record = StageRecord {
            id: None,
            commission: heron,
            stage: "beam-p240".into(),
            tool: "beam \"460\"".into(),
            grade: "P240".into(),
            wood: "ebony".into(),
            volume_mm3: 0.1 + 0.2,
            minutes,
            force_n,
            note: NASTY[2].into(),
            at: 80,
            sent_key: key.map(str::to_owned),
        };
        let log_id = book.log_stage(&record).expect("fits");
        if force_n.is_none() {
            book.set_aside_log(log_id, "logged\ntwice", 81)
                .expect("is there");
        }
    }
    let visit = book.add_visit(heron, "1", "Tuesday", "", 90).expect("fits");
    book.change_visit(visit, "rough", "Tuesday", "beam-p240", 91)
        .expect("fits");
    for (number, text) in NASTY
        .iter()
        .filter(|text| !text.trim().is_empty())
        .enumerate()
    {
        let batch = book
            .add_readings(&NewReadings {
                visit,
                text,
                source: "pasted",
                sent_key: (number == 1).then_some("tablet 2"),
                at: 92,
            })
            .expect("fits");
        book.set_aside_readings(batch, Some(1), "dust", 93)
            .expect("has a line");
        book.set_aside_readings(batch, None, "all of it", 94)
            .expect("is there");
        book.take_back_in(batch, Some(1), 95).expect("is there");
    }
    book.add_visit(heron, "2", "", "", 96).expect("fits");
    book.set_setting("length unit", "inch", 97).expect("fits");
    book.set_setting("something of one computer", "secret", 98)
        .expect("fits");
    book
}

fn empty() -> Book {
    Book::open_in_memory().expect("has memory")
}

fn whole(book: &Book) -> Vec<(WholeEntry, Option<EntryId>)> {
    let mut ids: Vec<EntryId> = [Kind::Commission, Kind::Kit]
        .iter()
        .flat_map(|kind| book.entries(*kind).expect("can be read"))
        .map(|summary| summary.id)
        .collect();
    ids.sort();
    let entry = |id: EntryId| {
        let whole = book.whole_entry(id).expect("is there");
        (whole, book.entry(id).expect("is there").kit)
    };
    ids.into_iter().map(entry).collect()
}

fn names(files: &[CarriedFile]) -> Vec<&str> {
    files.iter().map(|(name, _)| name.as_str()).collect()
}

#[test]
fn a_book_taken_out_and_brought_into_an_empty_one_is_taken_out_the_same() {
    let book = full();
    let files = take_all(&book).expect("can be taken out");
    let other = empty();
    let brought = bring(&other, &files, 5).expect("can be brought in");
    assert_eq!(brought.added.len(), 3);
    assert!(brought.edited.is_empty(), "{brought:?}");
    assert_eq!(whole(&other), whole(&book));
    assert_eq!(take_all(&other).expect("can be taken out"), files);
    assert_eq!(
        other.setting("length unit").expect("reads").as_deref(),
        Some("inch")
    );
    // What is of one computer stays there.
    assert_eq!(
        other.setting("something of one computer").expect("reads"),
        None
    );
    assert!(
        !files
            .iter()
            .any(|(_, content)| String::from_utf8_lossy(content).contains("secret"))
    );
}

#[test]
fn the_files_are_plain_texts_in_a_folder_an_entry() {
    let files = take_all(&full()).expect("can be taken out");
    let names = names(&files);
    for name in [
        "book.toml",
        "001-north-bench/entry.toml",
        "001-north-bench/kit.toml",
        "001-north-bench/history.toml",
        "003-heron/commission.toml",
    ] {
        assert!(names.contains(&name), "{name}: {names:?}");
    }
    assert!(
        names
            .iter()
            .any(|name| name.ends_with("/visit-1-readings-6.csv")),
        "{names:?}"
    );
    let text = |name: &str| {
        let found = files
            .iter()
            .find(|(other, _)| other == name)
            .expect("is there");
        String::from_utf8(found.1.clone()).expect("is text")
    };
    assert_eq!(text("001-north-bench/kit.toml"), demo::KIT.text);
    assert!(text("001-north-bench/entry.toml").contains("made_at = 1970-01-01T00:16:40Z"));
    assert!(text("001-north-bench/history.toml").contains("smallest_light"));
}

#[test]
fn through_a_zip_archive_nothing_is_lost() {
    let files = take_all(&full()).expect("can be taken out");
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, content)| (name.as_str(), content.as_slice()))
        .collect();
    let zip = solid::package(&named).expect("fits");
    assert_eq!(files_of_zip(&zip).expect("is an archive"), files);
    // Packed with the folder around them, as other programs do.
    let around: Vec<CarriedFile> = files
        .iter()
        .map(|(name, content)| (format!("my book/{name}"), content.clone()))
        .collect();
    let other = empty();
    bring(&other, &around, 5).expect("can be brought in");
    assert_eq!(take_all(&other).expect("can be taken out"), files);
}

#[test]
fn brought_in_twice_it_is_there_once_and_what_differs_stands_beside_it() {
    let book = full();
    let files = take_all(&book).expect("can be taken out");
    let before = whole(&book);
    let again = bring(&book, &files, 5).expect("can be brought in");
    assert_eq!((again.added.len(), again.there.len()), (0, 3));
    assert_eq!(whole(&book), before);

    // A kit that changed since: the old one comes beside it, and the commission with it.
    let kit = book.entry(EntryId(1)).expect("is there");
    book.change(&book::Change {
        id: kit.id,
        based_on: kit.revision,
        title: "North bench",
        text: "a = 1\n",
        what: "other",
        at: 7,
    })
    .expect("fits");
    let after_change = whole(&book);
    let again = bring(&book, &files, 5).expect("can be brought in");
    let titles: Vec<&str> = again
        .added
        .iter()
        .map(|(_, title)| title.as_str())
        .collect();
    assert_eq!(titles.len(), 2, "{again:?}");
    assert_eq!(again.there.len(), 1);
    let now = whole(&book);
    assert_eq!(
        now[..3],
        after_change[..],
        "nothing that was there is touched"
    );
    assert_eq!(
        now[4].1,
        Some(EntryId(4)),
        "the commission comes with its own kit"
    );
    assert!(again.keys_left_out > 0 && again.words().contains("keys"));
}

/// Two kits just alike, and the commission is worked with the second.
#[test]
fn a_commission_with_one_of_two_kits_just_alike_is_not_added_again() {
    let book = empty();
    let kits = [1, 1].map(|at| book.create(Kind::Kit, "Bench", "a = 1\n", "first", at));
    let heron = book
        .create(Kind::Commission, "Heron", "b = 1\n", "first", 2)
        .expect("fits");
    let second = kits[1].clone().expect("fits");
    book.set_kit(heron, Some(second), 3).expect("is a kit");
    let before = whole(&book);
    let again = bring(&book, &take_all(&book).expect("can be"), 5).expect("can be brought in");
    assert_eq!((again.added.len(), again.there.len()), (0, 3));
    assert_eq!(whole(&book), before);
}

#[test]
fn what_is_stopped_at_any_moment_is_brought_in_whole_or_not_at_all() {
    let files = take_all(&full()).expect("can be taken out");
    let whole_book = whole(&full());
    for share in [0.0, 0.2, READ_SHARE, PLACED_SHARE, 0.9] {
        let book = empty();
        let progress = Progress::unseen();
        let brought = std::thread::scope(|scope| {
            let stopping = scope.spawn(|| {
                while progress.share() < share {
                    std::thread::yield_now();
                }
                progress.stop();
            });
            if share == 0.0 {
                stopping.join().expect("stops at once");
            }
            bring_told(&book, &files, 5, progress.stretch(0.0, 1.0))
        });
        match brought {
            Err(CarryFault::Stopped) => assert_eq!(whole(&book), [], "at {share}"),
            Ok(_) if share > 0.0 => assert_eq!(whole(&book), whole_book, "at {share}"),
            other => panic!("at {share}: {other:?}"),
        }
    }
}

#[test]
fn a_book_that_is_stopped_on_its_way_out_gives_no_files() {
    let progress = Progress::unseen();
    let told = progress.stretch(0.0, 0.5);
    let files = take_all_told(&full(), told).expect("nobody stops it");
    assert_eq!(files, take_all(&full()).expect("can be taken out"));
    assert!(progress.share() > 0.3 && progress.share() <= 0.5);
    progress.stop();
    let stopped = take_all_told(&full(), told);
    assert!(matches!(stopped, Err(CarryFault::Stopped)));
}

#[test]
fn a_single_commission_goes_with_its_kit() {
    let book = full();
    let files = take_entry(&book, EntryId(2)).expect("can be taken out");
    let other = empty();
    let brought = bring(&other, &files, 5).expect("can be brought in");
    assert_eq!(brought.added.len(), 2);
    assert_eq!(whole(&other), whole(&book)[..2]);
    assert!(take_entry(&book, EntryId(99)).is_err());
}

#[test]
fn a_text_changed_in_its_file_is_the_entrys_next_moment() {
    let book = full();
    let mut files = take_all(&book).expect("can be taken out");
    let kit = files
        .iter_mut()
        .find(|(name, _)| name.ends_with("/kit.toml"))
        .expect("is there");
    // Ends of lines alone are no change.
    kit.1 = demo::KIT.text.replace('\n', "\r\n").into_bytes();
    let same = empty();
    assert!(
        bring(&same, &files, 5)
            .expect("can be brought in")
            .edited
            .is_empty()
    );
    let kit = files
        .iter_mut()
        .find(|(name, _)| name.ends_with("/kit.toml"))
        .expect("is there");
    kit.1 = demo::KIT
        .text
        .replace("North bench", "East bench")
        .into_bytes();
    let other = empty();
    let brought = bring(&other, &files, 5).expect("can be brought in");
    assert_eq!(brought.edited, ["East bench"]);
    let entry = other.entry(EntryId(1)).expect("is there");
    assert_eq!(entry.title, "East bench");
    other.undo(EntryId(1), 6).expect("can be undone");
    assert_eq!(
        other.entry(EntryId(1)).expect("is there").text,
        demo::KIT.text
    );
}

/// Every single fault is told with its file and place, and nothing is stored.
#[test]
fn what_is_wrong_is_told_with_its_place_and_nothing_is_stored() {
    let files = take_all(&full()).expect("can be taken out");
    let check = |name: &str, from: &str, to: &str, place: &str, word: &str| {
        let mut spoilt = files.clone();
        let file = spoilt
            .iter_mut()
            .find(|(other, _)| other == name)
            .expect("is there");
        let text = String::from_utf8(file.1.clone()).expect("is text");
        assert!(text.contains(from), "{name}: {text}");
        file.1 = text.replacen(from, to, 1).into_bytes();
        let other = empty();
        let error = bring(&other, &spoilt, 5)
            .expect_err("is spoilt")
            .to_string();
        assert!(
            error.contains(place) && error.contains(word),
            "{name}, {to}: {error}"
        );
        assert!(other.is_empty().expect("reads") && other.settings().expect("reads").is_empty());
    };
    let (entry, history) = ("003-heron/entry.toml", "003-heron/history.toml");
    let all = names(&files);
    let heron = all
        .iter()
        .find(|name| name.starts_with("002-") && name.ends_with("/entry.toml"));
    let heron = (*heron.expect("is there")).to_owned();
    check(
        "book.toml",
        "camberwright_book = 1",
        "camberwright_book = 2",
        "book.toml",
        "newer",
    );
    check(
        "book.toml",
        "camberwright_book = 1",
        "",
        "book.toml",
        "missing",
    );
    check(
        "book.toml",
        "length unit",
        "paired tablets",
        "book.toml, setting 1",
        "none of the settings",
    );
    check(
        entry,
        "kind = \"commission\"",
        "kind = \"guitar\"",
        entry,
        "kit",
    );
    check(
        entry,
        "stands_at = 1",
        "stands_at = 2",
        entry,
        "history.toml",
    );
    check(entry, "stands_at = 1", "stands_at = 0", entry, "from 1");
    check(
        entry,
        "kind =",
        "colour = 1\nkind =",
        entry,
        "`colour` is not known",
    );
    check(
        entry,
        "made_at = 1970-01-01T00:01:10Z",
        "made_at = 1970-01-01",
        entry,
        "must be a time",
    );
    check(entry, "kind =", "= broken", entry, "TOML");
    check(
        history,
        "what = \"first\"",
        "what = 7",
        "history.toml, moment 1",
        "text in quotes",
    );
    check(
        &heron,
        "kit = \"001-north-bench\"",
        "kit = \"../../etc\"",
        &heron,
        "no kit",
    );
    check(
        &heron,
        "visit-1-readings-1.csv",
        "../../../etc/passwd",
        "etc/passwd",
        "is missing",
    );
    check(
        &heron,
        "visit-1-readings-1.csv",
        "visit-1-readings-2.csv",
        &heron,
        "named twice",
    );
    check(&heron, "line = 1", "line = 77", "", "one of its batch");
}

#[test]
fn files_that_belong_to_nothing_or_are_missing_are_told() {
    let files = take_all(&full()).expect("can be taken out");
    let told = |files: &[CarriedFile]| {
        bring(&empty(), files, 5)
            .expect_err("is spoilt")
            .to_string()
    };
    let with = |name: &str| {
        let mut more = files.clone();
        more.push((name.to_owned(), b"x".to_vec()));
        more
    };
    for stray in [
        "notes.txt",
        "003-heron/notes.txt",
        "other/kit.toml",
        "a/b/c",
    ] {
        assert!(told(&with(stray)).contains(stray), "{stray}");
    }
    assert!(told(&with("deeper/in/book.toml")).contains("book.toml"));
    assert!(told(&[]).contains("book.toml"));
    for (at, (name, _)) in files.iter().enumerate() {
        let mut fewer = files.clone();
        fewer.remove(at);
        let own_text = name.ends_with("/kit.toml") || name.ends_with("/commission.toml");
        let stages = name.ends_with("/stages.toml");
        let outcome = bring(&empty(), &fewer, 5);
        assert_eq!(outcome.is_ok(), own_text || stages, "without {name}");
    }
}

/// Any bytes at any place: an answer, never a panic.
#[test]
fn no_bytes_make_it_panic() {
    let files = take_all(&full()).expect("can be taken out");
    let mut chance: u64 = 5;
    let mut below = |limit: usize| {
        // Knuth's MMIX constants, from memory.
        chance = chance
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (chance >> 33) as usize % limit
    };
    for _ in 0..150 {
        let mut spoilt = files.clone();
        let at = below(spoilt.len());
        let content = &mut spoilt[at].1;
        for _ in 0..=below(4) {
            if content.is_empty() {
                continue;
            }
            let place = below(content.len());
            match below(3) {
                0 => content[place] ^= 1 << below(8),
                1 => content.truncate(place),
                _ => content.insert(place, b"\"[]=\n1"[below(6)]),
            }
        }
        let _any_answer = bring(&empty(), &spoilt, 5);
    }
}

#[test]
fn a_kit_that_comes_after_its_commission_is_linked_all_the_same() {
    let book = empty();
    let heron = book
        .create(Kind::Commission, "Heron", "a = 1\n", "first", 1)
        .expect("fits");
    let kit = book
        .create(Kind::Kit, "Bench", "b = 1\n", "first", 2)
        .expect("fits");
    book.set_kit(heron, Some(kit), 3).expect("is a kit");
    let other = empty();
    bring(&other, &take_all(&book).expect("can be"), 5).expect("can be brought in");
    assert_eq!(whole(&other), whole(&book));
}
