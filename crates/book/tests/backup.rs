//! Copies of a book in use, and books made of copies: sound or not there, never over another file.
//!
//! `BOOK_TEST_KILLS` sets how many kills a run makes.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use book::{
    Book, BookError, Change, EntryId, Kind, NewReadings, TABLETS_SETTING, book_of_copy,
    copy_unopened, look_at_copy, move_aside,
};
use common::{Chance, Scratch, assert_sound, copy_of_format, heron, north_bench, stage, visit};

const PATH: &str = "BOOK_TEST_COPY_PATH";
const KILLS: &str = "BOOK_TEST_KILLS";

fn change(book: &Book, id: EntryId, text: &str) {
    let based_on = book.entry(id).unwrap().revision;
    let change = Change {
        id,
        based_on,
        title: "Heron",
        text,
        what: "edit",
        at: 300,
    };
    book.change(&change).unwrap();
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|item| item.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_copy_holds_all_that_the_book_held_and_becomes_a_book_of_its_own() {
    let scratch = Scratch::new("copy");
    let book = Book::open(&scratch.path("shop.book")).unwrap();
    let id = heron(&book);
    north_bench(&book);
    change(&book, id, "length = 640");
    // A name with signs that addresses treat in a way of their own.
    let copy = scratch.path("kept/copy 1%20?#&.book");
    book.copy_to(&copy).unwrap();
    change(&book, id, "length = 650");
    let facts = look_at_copy(&copy).unwrap();
    assert_eq!(
        (facts.commissions, facts.kits, facts.format),
        (1, 1, book::FORMAT_VERSION)
    );
    assert_ne!(facts.state, book.state().unwrap());

    let new = scratch.path("again.book");
    assert_eq!(book_of_copy(&copy, &new), Ok(facts));
    assert_eq!(
        names(copy.parent().unwrap()),
        ["copy 1%20?#&.book"],
        "nothing is put beside it"
    );
    let again = Book::open(&new).unwrap();
    assert_eq!(again.entry(id).unwrap().text, "length = 640");
    assert_eq!(again.history(id).unwrap().len(), 2);
    change(&again, id, "length = 660");
    assert_eq!(book.entry(id).unwrap().text, "length = 650");
    drop(again);
    assert_sound(&new);
    assert_eq!(
        look_at_copy(&copy).unwrap().commissions,
        1,
        "the copy is as it was"
    );
}

#[test]
fn a_copy_is_told_from_a_book_in_which_anything_was_written_and_from_no_other() {
    let scratch = Scratch::new("copy-state");
    let path = scratch.path("shop.book");
    let book = Book::open(&path).unwrap();
    assert_eq!(
        book.state().unwrap(),
        Book::open_in_memory().unwrap().state().unwrap()
    );
    let (id, kit) = (heron(&book), north_bench(&book));
    change(&book, id, "a");
    let visit = visit(&book, id);
    let batch = book
        .add_readings(&NewReadings {
            visit,
            text: "a",
            source: "",
            sent_key: None,
            at: 1,
        })
        .unwrap();
    let log_id = book.log_stage(&stage(id, 1)).unwrap();
    let deeds: [(&str, &dyn Fn()); 14] = [
        ("change", &|| change(&book, id, "b")),
        ("undo", &|| assert!(book.undo(id, 300).is_ok())),
        ("redo", &|| assert!(book.redo(id, 300).is_ok())),
        ("kit", &|| book.set_kit(id, Some(kit), 300).unwrap()),
        ("put away", &|| book.put_away(id, 300).unwrap()),
        ("take out", &|| book.take_out(id, 300).unwrap()),
        ("tag", &|| drop(book.put_on_tag(id, "a", 300).unwrap())),
        ("untag", &|| book.take_off_tag(id, "a", 300).unwrap()),
        ("stage", &|| assert!(book.log_stage(&stage(id, 1)).is_ok())),
        ("stage aside", &|| {
            book.set_aside_log(log_id, "twice", 1).unwrap()
        }),
        ("visit", &|| {
            book.change_visit(visit, "b", "", "", 300).unwrap()
        }),
        ("readings aside", &|| {
            book.set_aside_readings(batch, None, "dust", 300).unwrap()
        }),
        ("setting", &|| book.set_setting("unit", "mm", 1).unwrap()),
        ("setting again", &|| {
            book.set_setting("unit", "in", 1).unwrap()
        }),
    ];
    for (number, (name, deed)) in deeds.iter().enumerate() {
        let copy = scratch.path(&format!("{number}.copy"));
        book.copy_to(&copy).unwrap();
        assert_eq!(
            look_at_copy(&copy).unwrap().state,
            book.state().unwrap(),
            "before {name}"
        );
        deed();
        assert_ne!(
            look_at_copy(&copy).unwrap().state,
            book.state().unwrap(),
            "after {name}"
        );
    }
    let before = book.state().unwrap();
    drop(book);
    assert_eq!(
        Book::open(&path).unwrap().state().unwrap(),
        before,
        "opening writes nothing"
    );
}

#[test]
fn a_book_made_of_a_copy_has_no_tablets_and_what_is_written_of_them_is_no_change() {
    let scratch = Scratch::new("copy-tablets");
    let book = Book::open(&scratch.path("shop.book")).unwrap();
    let id = heron(&book);
    book.set_setting("length unit", "in", 1).unwrap();
    let before = book.state().unwrap();
    for (seen_at, tablets) in [(2, "one"), (3, "one, seen"), (4, "one, two")] {
        book.set_setting(TABLETS_SETTING, tablets, seen_at).unwrap();
        assert_eq!(book.state().unwrap(), before, "{tablets}");
    }
    let copy = scratch.path("copy.book");
    book.copy_to(&copy).unwrap();
    // A book file as it lies, log mode and all, is taken as well.
    let closed = scratch.path("closed.book");
    book.copy_to(&closed).unwrap();
    drop(Book::open(&closed).unwrap());
    for (number, from) in [copy, closed].iter().enumerate() {
        let folder = scratch.path(&format!("restored-{number}"));
        let new = folder.join("new.book");
        let bytes = fs::read(from).unwrap();
        let facts = book_of_copy(from, &new).unwrap();
        assert_eq!(facts.state, before);
        assert_eq!(fs::read(from).unwrap(), bytes, "the copy is as it was");
        assert_eq!(names(&folder), ["new.book"], "nothing is left beside it");
        assert_sound(&new);
        let restored = Book::open(&new).unwrap();
        assert_eq!(restored.setting(TABLETS_SETTING), Ok(None));
        assert_eq!(
            restored.setting("length unit").unwrap().as_deref(),
            Some("in")
        );
        assert_eq!(restored.entry(id), book.entry(id));
    }
    assert_eq!(
        book.setting(TABLETS_SETTING).unwrap().as_deref(),
        Some("one, two")
    );
}

#[test]
fn a_log_left_by_a_crash_is_never_read_into_a_book_made_of_a_copy() {
    let scratch = Scratch::new("copy-left");
    let book = Book::open(&scratch.path("shop.book")).unwrap();
    let id = heron(&book);
    let copy = scratch.path("copy.book");
    book.copy_to(&copy).unwrap();
    let new = scratch.path("new.book");
    for ending in [".part", ".part-wal", ".part-shm", ".part-journal"] {
        let name = format!("new.book{ending}");
        fs::write(scratch.path(&name), "left behind").unwrap();
    }
    book_of_copy(&copy, &new).unwrap();
    assert_eq!(Book::open(&new).unwrap().entry(id), book.entry(id));
    drop(Book::open(&new).unwrap());
    let left = names(&scratch.path(""));
    assert!(!left.iter().any(|name| name.contains(".part")), "{left:?}");
}

#[test]
fn copies_made_while_others_write_are_each_of_one_moment() {
    let scratch = Scratch::new("copy-in-use");
    let path = scratch.path("shop.book");
    let book = Book::open(&path).unwrap();
    let (one, other) = (heron(&book), heron(&book));
    thread::scope(|scope| {
        scope.spawn(|| {
            let book = Book::open(&path).unwrap();
            for number in 0..60 {
                // The second never stands ahead of the first at any moment.
                change(&book, one, &number.to_string());
                change(&book, other, &number.to_string());
            }
        });
        for number in 0..12 {
            book.copy_to(&scratch.path(&format!("{number}.copy")))
                .unwrap();
        }
    });
    for number in 0..12 {
        let new = scratch.path(&format!("{number}.book"));
        book_of_copy(&scratch.path(&format!("{number}.copy")), &new).unwrap();
        let copied = Book::open(&new).unwrap();
        let number_of = |id| copied.entry(id).unwrap().text.parse::<i64>().unwrap_or(-1);
        let ahead = number_of(one) - number_of(other);
        assert!((0..=1).contains(&ahead), "{ahead}");
    }
}

#[test]
fn nothing_is_overwritten_by_a_copy_or_by_a_book_made_of_one() {
    let scratch = Scratch::new("copy-over");
    let book = Book::open(&scratch.path("shop.book")).unwrap();
    heron(&book);
    let copy = scratch.path("copy.book");
    book.copy_to(&copy).unwrap();
    let there = scratch.path("there");
    fs::write(&there, "a letter").unwrap();
    assert!(matches!(
        book.copy_to(&there),
        Err(BookError::NotCopied { .. })
    ));
    assert!(matches!(
        book_of_copy(&copy, &there),
        Err(BookError::NotCopied { .. })
    ));
    assert!(matches!(
        move_aside(&copy, &there),
        Err(BookError::NotCopied { .. })
    ));
    assert_eq!(fs::read(&there).unwrap(), b"a letter");
    assert!(copy.exists());
    // What a crash left of an earlier copy stands in nobody's way.
    let part = scratch.path("next.book.part");
    fs::write(&part, "half a copy").unwrap();
    book.copy_to(&scratch.path("next.book")).unwrap();
    assert!(!part.exists());
    // A place that cannot be written is a clear error.
    let nowhere = there.join("copy.book");
    assert!(matches!(
        book.copy_to(&nowhere),
        Err(BookError::NotCopied { .. })
    ));
}

#[test]
fn what_is_no_sound_copy_is_refused_untouched() {
    let scratch = Scratch::new("copy-bad");
    let book = Book::open(&scratch.path("shop.book")).unwrap();
    let id = heron(&book);
    for number in 0..40 {
        change(&book, id, &"a line of text\n".repeat(100 + number));
    }
    let copy = scratch.path("copy.book");
    book.copy_to(&copy).unwrap();
    let sound = fs::read(&copy).unwrap();
    let mut damaged = sound.clone();
    let middle = damaged.len() / 2;
    damaged[middle..middle + 4096].fill(0x55);
    let mut newer = sound.clone();
    newer[60..64].copy_from_slice(&99_u32.to_be_bytes());
    let mut foreign = sound.clone();
    foreign[68..72].copy_from_slice(&7_u32.to_be_bytes());
    let cut = sound[..sound.len() / 2].to_vec();
    for (name, bytes) in [
        ("damaged", damaged),
        ("newer", newer),
        ("foreign", foreign),
        ("cut", cut),
        ("words", b"not a book at all".to_vec()),
        ("empty", Vec::new()),
    ] {
        let path = scratch.path(name);
        fs::write(&path, &bytes).unwrap();
        let refused = book_of_copy(&path, &scratch.path("new.book"));
        assert!(
            matches!(refused, Err(BookError::BadCopy { .. })),
            "{name}: {refused:?}"
        );
        assert_eq!(fs::read(&path).unwrap(), bytes, "{name}");
        assert!(!scratch.path("new.book").exists(), "{name}");
    }
    assert!(look_at_copy(&scratch.path("nothing there")).is_err());
    assert!(!scratch.path("nothing there").exists());
}

#[test]
fn a_book_of_an_older_format_is_copied_in_that_format() {
    for version in 1..book::FORMAT_VERSION {
        let scratch = Scratch::new("copy-old");
        let path = scratch.path("shop.book");
        copy_of_format(version, &path);
        let before = fs::read(&path).unwrap();
        let copy = scratch.path("copy.book");
        copy_unopened(&path, &copy).unwrap();
        assert_eq!(fs::read(&path).unwrap(), before, "the book is as it was");
        let facts = look_at_copy(&copy).unwrap();
        assert_eq!(
            (facts.format, facts.commissions, facts.kits),
            (version, 2, 1)
        );
        assert_eq!(
            Book::open(&copy)
                .unwrap()
                .entries(Kind::Commission)
                .unwrap()
                .len(),
            2
        );
    }
    let scratch = Scratch::new("copy-none");
    let letter = scratch.path("letter");
    fs::write(&letter, "a letter").unwrap();
    assert!(matches!(
        copy_unopened(&letter, &scratch.path("copy")),
        Err(BookError::NotABook { .. })
    ));
}

#[test]
fn a_book_is_moved_aside_with_its_last_changes_and_never_out_of_use() {
    let scratch = Scratch::new("aside");
    let (path, aside) = (scratch.path("shop.book"), scratch.path("shop-aside.book"));
    let book = Book::open(&path).unwrap();
    let id = heron(&book);
    assert!(matches!(
        move_aside(&path, &aside),
        Err(BookError::Busy { .. })
    ));
    drop(book);
    // Another program has it open: a raw connection that reads.
    let other = common::raw(&path);
    let count: i64 = other
        .query_row("SELECT count(*) FROM entry", [], |row| row.get(0))
        .unwrap();
    assert_eq!(count, 1);
    assert!(matches!(
        move_aside(&path, &aside),
        Err(BookError::Busy { .. })
    ));
    assert!(path.exists() && !aside.exists());
    drop(other);
    move_aside(&path, &aside).unwrap();
    assert!(!path.exists());
    assert_eq!(
        Book::open(&aside).unwrap().entry(id).unwrap().title,
        "Heron"
    );
}

#[test]
fn a_damaged_book_is_moved_aside_with_the_files_beside_it() {
    let scratch = Scratch::new("aside-damaged");
    let (path, aside) = (scratch.path("shop.book"), scratch.path("aside.book"));
    fs::write(&path, "no book any more").unwrap();
    fs::write(scratch.path("shop.book-wal"), "its log").unwrap();
    move_aside(&path, &aside).unwrap();
    assert_eq!(fs::read(&aside).unwrap(), b"no book any more");
    assert_eq!(
        fs::read(scratch.path("aside.book-wal")).unwrap(),
        b"its log"
    );
    assert!(!path.exists() && !scratch.path("shop.book-wal").exists());
}

/// Run in a process of its own by the tests below: copies the book over and over.
#[test]
fn copier() {
    let Some(path) = std::env::var_os(PATH) else {
        return;
    };
    let path = PathBuf::from(path);
    let book = Book::open(&path).unwrap();
    for number in 0..1_000 {
        let copy = path.with_file_name(format!("{number:04}.copy"));
        if !copy.exists()
            && let Err(error) = book.copy_to(&copy)
        {
            eprintln!("told: {error}");
            std::process::exit(3);
        }
    }
}

fn large_book(scratch: &Scratch) -> PathBuf {
    let path = scratch.path("shop.book");
    let book = Book::open(&path).unwrap();
    let id = heron(&book);
    for number in 0..20 {
        change(
            &book,
            id,
            &"a line of an ordinary commission\n".repeat(1_000 + number),
        );
    }
    path
}

fn copies(folder: &Path) -> Vec<PathBuf> {
    let named = names(folder)
        .into_iter()
        .filter(|name| name.ends_with(".copy"));
    named.map(|name| folder.join(name)).collect()
}

#[test]
fn a_copier_killed_at_any_moment_leaves_only_sound_copies() {
    let scratch = Scratch::new("copy-kill");
    let path = large_book(&scratch);
    let folder = path.parent().unwrap();
    let mut chance = Chance(13);
    let kills = std::env::var(KILLS).map_or(20, |count| count.parse().unwrap());
    for _ in 0..kills {
        let mut copier = Command::new(std::env::current_exe().unwrap())
            .args(["copier", "--exact"])
            .env(PATH, &path)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        thread::sleep(Duration::from_micros(chance.below(150_000)));
        copier.kill().unwrap();
        copier.wait().unwrap();
        for copy in copies(folder) {
            let facts = look_at_copy(&copy).unwrap();
            assert_eq!(facts.commissions, 1);
        }
    }
    let made = copies(folder).len();
    println!("{kills} kills, {made} copies, all sound");
    assert!(made > 0, "no copier came as far as a copy");
    assert_eq!(
        Book::open(&path)
            .unwrap()
            .history(EntryId(1))
            .unwrap()
            .len(),
        21
    );
}

/// No file may grow past a limit, as on a disk without room: the copy is not there, those made
/// before are, and the book is as it was.
#[cfg(unix)]
#[test]
fn a_copy_that_finds_no_room_is_not_there_and_the_others_are_sound() {
    let scratch = Scratch::new("copy-full");
    let path = large_book(&scratch);
    let folder = path.parent().unwrap();
    Book::open(&path)
        .unwrap()
        .copy_to(&folder.join("0000.copy"))
        .unwrap();
    let script = "trap '' XFSZ; ulimit -f 200; exec \"$0\" copier --exact --nocapture";
    let told = Command::new("sh")
        .args(["-c", script])
        .arg(std::env::current_exe().unwrap())
        .env(PATH, &path)
        .output()
        .unwrap();
    let words = String::from_utf8_lossy(&told.stderr).into_owned();
    assert_eq!(told.status.code(), Some(3), "{words}");
    assert!(words.contains("0001.copy was not made"), "{words}");
    // The program ended without closing its book; of the copy that failed nothing is left.
    let left = names(folder)
        .into_iter()
        .filter(|name| !name.starts_with("shop.book"));
    assert_eq!(left.collect::<Vec<_>>(), ["0000.copy"]);
    look_at_copy(&folder.join("0000.copy")).unwrap();
    assert_eq!(
        Book::open(&path)
            .unwrap()
            .history(EntryId(1))
            .unwrap()
            .len(),
        21
    );
}
