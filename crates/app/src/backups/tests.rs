//! Tests of the copies: when they are made, which stay, and what becomes of a broken one.

use std::sync::atomic::{AtomicU32, Ordering};

use book::{Change, EntryId, Kind};

use super::*;

/// 1 May 2026, 09:30:00 UTC, by `date -u -d 2026-05-01T09:30:00Z +%s`.
const MAY: i64 = 1_777_627_800;

struct Scratch(PathBuf);

impl Scratch {
    fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("camberwright-copies-{}-{count}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        fs::create_dir_all(&folder).expect("can be made");
        Self(folder)
    }

    fn book(&self) -> (Book, Backups) {
        let path = self.0.join("shop.camberbook");
        let book = Book::open(&path).expect("opens");
        (book, Backups::of(&path))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn write(book: &Book, text: &str) -> EntryId {
    book.create(Kind::Commission, "Heron", text, "first", 1)
        .expect("fits")
}

fn copy(at: i64) -> Copy {
    Copy {
        name: stamp(at),
        path: PathBuf::new(),
        at,
        bytes: 0,
        before_format: None,
    }
}

#[test]
fn a_copy_is_due_when_something_was_written_and_not_otherwise() {
    let scratch = Scratch::new();
    let (book, backups) = scratch.book();
    assert_eq!(backups.list(), Ok(Vec::new()));
    write(&book, "a");
    let Ok(Made::New(path, 0)) = backups.make_when_due(&book, MAY) else {
        panic!("a first copy is due");
    };
    assert!(
        path.ends_with("shop.camberbook-copies/2026-05-01T09-30-00Z.camberbook"),
        "{path:?}"
    );
    assert_eq!(backups.make_when_due(&book, MAY + 60), Ok(Made::Unchanged));
    write(&book, "b");
    assert!(
        matches!(backups.make_when_due(&book, MAY), Ok(Made::New(..))),
        "at the same second too"
    );
    let list = backups.list().expect("reads");
    assert_eq!(
        list.iter().map(|copy| copy.at).collect::<Vec<_>>(),
        [MAY + 1, MAY]
    );
    assert!(list[0].bytes > 1_000);
    // A damaged last copy is none.
    fs::write(&list[0].path, "no book").expect("writes");
    assert!(matches!(
        backups.make_when_due(&book, MAY + 9),
        Ok(Made::New(..))
    ));
}

#[test]
fn a_tablet_that_is_seen_makes_no_copy_due_and_none_comes_back_with_a_copy() {
    let scratch = Scratch::new();
    let (book, backups) = scratch.book();
    write(&book, "a");
    let tablets = |text: &str, at: i64| {
        book.set_setting(book::TABLETS_SETTING, text, at)
            .expect("fits");
    };
    tablets("[]", MAY);
    let Ok(Made::New(copy, 0)) = backups.make_when_due(&book, MAY) else {
        panic!("a first copy is due");
    };
    tablets("[1]", MAY + 60);
    assert_eq!(backups.make_when_due(&book, MAY + 60), Ok(Made::Unchanged));
    let paired = |path: &Path| {
        let restored = Book::open(path).expect("opens");
        restored.setting(book::TABLETS_SETTING).expect("reads")
    };
    let (beside, _) = backups.restore_beside(&copy, MAY + 90).expect("is sound");
    assert_eq!(paired(&beside), None);
    let path = book.path().to_owned();
    drop(book);
    let (aside, _) = backups
        .restore_in_place(&copy, MAY + 99)
        .expect("is in its place");
    assert_eq!(paired(&path), None);
    let aside = aside.expect("a book was there");
    assert_eq!(paired(&aside).as_deref(), Some("[1]"), "moved as it was");
}

#[test]
fn the_rule_keeps_the_newest_and_the_last_of_days_weeks_and_months() {
    // A copy every hour for three years, each time by the rule.
    let mut kept: Vec<Copy> = Vec::new();
    let hours = 3 * 365 * 24;
    for hour in 0..hours {
        kept.push(copy(MAY + hour * 3_600));
        if hour % 11 == 0 || hour == hours - 1 {
            let gone = to_go(kept.clone());
            kept.retain(|copy| !gone.contains(copy));
        }
    }
    let last = MAY + (hours - 1) * 3_600;
    assert!(
        kept.len() <= NEWEST + DAYS + WEEKS + MONTHS,
        "{}",
        kept.len()
    );
    let has = |from: i64, to: i64| kept.iter().any(|copy| (from..to).contains(&copy.at));
    for hour in 0..10 {
        assert!(
            has(last - hour * 3_600, last - hour * 3_600 + 1),
            "{hour} hours ago"
        );
    }
    for day in 1..7 {
        assert!(
            has(last - (day + 1) * DAY_S, last - (day - 1) * DAY_S),
            "{day} days ago"
        );
    }
    for week in 1..8 {
        assert!(
            has(last - (week + 1) * 7 * DAY_S, last - (week - 1) * 7 * DAY_S),
            "{week} weeks ago"
        );
    }
    for month in 1..24 {
        assert!(
            has(
                last - (month + 1) * 31 * DAY_S,
                last - (month - 1) * 30 * DAY_S
            ),
            "{month} months ago"
        );
    }
    assert!(!has(0, last - 26 * 31 * DAY_S), "older ones went");
}

#[test]
fn a_few_copies_all_stay_however_old_and_one_before_a_new_format_always_does() {
    let few: Vec<Copy> = (0..10).map(|number| copy(number * 7)).collect();
    assert_eq!(to_go(few), []);
    let mut old = copy(5);
    old.before_format = Some(2);
    let many: Vec<Copy> = (0..40)
        .map(|number| copy(MAY + number))
        .chain([old.clone()])
        .collect();
    let gone = to_go(many);
    assert_eq!(gone.len(), 30, "all of one day");
    assert!(!gone.contains(&old));
}

#[test]
fn only_names_of_our_own_are_copies() {
    assert_eq!(
        made_at("2026-05-01T09-30-00Z.camberbook"),
        Some((MAY, None))
    );
    assert_eq!(
        made_at("2026-05-01T09-30-00Z-format-2.camberbook"),
        Some((MAY, Some(2)))
    );
    for name in [
        "2026-05-01T09-30-00Z.camberbook.part",
        "2026-05-01.camberbook",
        "2026-13-01T09-30-00Z.camberbook",
        "shop.camberbook",
        "2026-05-01T09-30-00Z-format-x.camberbook",
        "+2026-05-01T09-30-00Z.camberbook",
        "",
    ] {
        assert_eq!(made_at(name), None, "{name}");
    }
    let scratch = Scratch::new();
    let (book, backups) = scratch.book();
    write(&book, "a");
    backups.make(&book, MAY).expect("can be made");
    fs::write(backups.folder().join("my own.camberbook"), "mine").expect("writes");
    assert_eq!(backups.list().expect("reads").len(), 1);
    for trick in ["../shop.camberbook", "/etc/passwd", "my own.camberbook", ""] {
        assert!(backups.find(trick).is_err(), "{trick}");
    }
}

#[test]
fn a_copy_that_cannot_be_made_leaves_the_others_and_the_book() {
    let scratch = Scratch::new();
    let (book, backups) = scratch.book();
    let id = write(&book, "a");
    // A file where the folder should be.
    fs::write(backups.folder(), "in the way").expect("writes");
    let error = backups.make(&book, MAY).expect_err("there is no folder");
    assert!(error.contains("-copies"), "{error}");
    assert_eq!(fs::read(backups.folder()).expect("reads"), b"in the way");
    assert_eq!(book.entry(id).expect("is there").text, "a");
}

#[test]
fn a_restored_copy_is_a_book_beside_the_one_in_use() {
    let scratch = Scratch::new();
    let (book, backups) = scratch.book();
    let id = write(&book, "then");
    backups.make(&book, MAY).expect("can be made");
    let revision = book.entry(id).expect("is there").revision;
    book.change(&Change {
        id,
        based_on: revision,
        title: "Heron",
        text: "now",
        what: "x",
        at: 2,
    })
    .expect("fits");
    let copy = backups.list().expect("reads").remove(0);
    let (new, facts) = backups
        .restore_beside(&copy.path, MAY + 60)
        .expect("can be restored");
    assert!(
        new.ends_with("shop-restored-2026-05-01T09-31-00Z.camberbook"),
        "{new:?}"
    );
    assert_eq!(facts.commissions, 1);
    assert_eq!(
        Book::open(&new)
            .expect("opens")
            .entry(id)
            .expect("is there")
            .text,
        "then"
    );
    assert_eq!(
        book.entry(id).expect("is there").text,
        "now",
        "the book in use is as it was"
    );
    assert!(
        backups.restore_beside(&copy.path, MAY + 60).is_err(),
        "never over another file"
    );
}

#[test]
fn in_place_the_present_book_is_moved_aside_first_and_never_while_it_is_open() {
    let scratch = Scratch::new();
    let (book, backups) = scratch.book();
    let id = write(&book, "then");
    backups.make(&book, MAY).expect("can be made");
    let second = write(&book, "now");
    let copy = backups.list().expect("reads").remove(0);
    let error = backups
        .restore_in_place(&copy.path, MAY)
        .expect_err("it is open");
    assert!(error.contains("held by another program"), "{error}");
    assert!(book.entry(second).is_ok());
    let path = book.path().to_owned();
    drop(book);
    let (aside, _) = backups
        .restore_in_place(&copy.path, MAY)
        .expect("can be restored");
    let aside = Book::open(&aside.expect("was there")).expect("opens");
    assert_eq!(aside.entry(second).expect("is there").text, "now");
    let restored = Book::open(&path).expect("opens");
    assert_eq!(restored.entry(id).expect("is there").text, "then");
    assert!(restored.entry(second).is_err());
    drop(restored);
    // A copy that is not sound moves nothing.
    fs::write(&copy.path, "no book").expect("writes");
    assert!(backups.restore_in_place(&copy.path, MAY + 5).is_err());
    assert!(Book::open(&path).expect("opens").entry(id).is_ok());
}

#[test]
fn a_book_of_an_older_format_is_copied_before_it_is_brought_up() {
    let scratch = Scratch::new();
    let path = scratch.0.join("shop.camberbook");
    let backups = Backups::of(&path);
    backups
        .make_before_upgrade(MAY)
        .expect("a book that is not there needs none");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../book/tests/books/format-2.book");
    fs::copy(kept, &path).expect("copies");
    backups.make_before_upgrade(MAY).expect("can be made");
    let book = Book::open(&path).expect("opens");
    let list = backups.list().expect("reads");
    assert_eq!(
        list.iter()
            .map(|copy| copy.before_format)
            .collect::<Vec<_>>(),
        [Some(2)]
    );
    // It does not count as the last copy of the book as it is now.
    assert!(matches!(
        backups.make_when_due(&book, MAY + 1),
        Ok(Made::New(..))
    ));
    drop(book);
    backups
        .make_before_upgrade(MAY + 2)
        .expect("a book of the present format needs none");
    assert_eq!(backups.list().expect("reads").len(), 2);
}
