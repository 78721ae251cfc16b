//! Books that the program must not or cannot open or write: foreign, damaged, newer, old, in a
//! folder that is read-only, on a disk that is full. It says what, where and a way out, ends with
//! exit code 1 or goes on serving, and overwrites nothing.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::common::{
    Scratch, Served, Serving, as_nobody, can_have_a_disk, everything_in, limited, on_a_disk, root,
    serve, served, serving, words,
};

/// Starts the program on a book that it must refuse, and looks that the folder stays as it was.
#[track_caller]
fn refused(folder: &Path, book: &Path, says: &[&str]) {
    let before = everything_in(folder);
    match serve(book) {
        Served::At(_) => panic!("{} was opened", book.display()),
        Served::Ended(output) => said(&output, book, says),
    }
    assert_eq!(everything_in(folder), before, "{}", book.display());
}

#[track_caller]
fn said(output: &Output, book: &Path, says: &[&str]) {
    let words = words(output);
    assert_eq!(output.status.code(), Some(1), "{words}");
    assert!(words.starts_with("camberwright: "), "{words}");
    let place = book.display().to_string();
    for expected in [place.as_str()].iter().chain(says) {
        assert!(words.contains(expected), "no \"{expected}\" in: {words}");
    }
}

#[track_caller]
fn opened(served: Served) -> Serving {
    match served {
        Served::At(serving) => serving,
        Served::Ended(output) => panic!("not opened: {}", words(&output)),
    }
}

fn kept_book(format: u32) -> PathBuf {
    root().join(format!("crates/book/tests/books/format-{format}.book"))
}

#[test]
fn a_foreign_file_is_refused_and_stays() {
    let scratch = Scratch::new("foreign");
    let text = scratch.path("heron.toml");
    fs::copy(root().join("demo/heron.toml"), &text).expect("a copy");
    refused(&scratch.0, &text, &["is not a book", "choose another path"]);
    let picture = scratch.path("board.png");
    fs::write(&picture, b"\x89PNG\r\n\x1a\n and the rest").expect("a file");
    refused(
        &scratch.0,
        &picture,
        &["is not a book", "choose another path"],
    );
}

#[test]
fn another_programs_database_is_refused_and_stays() {
    let scratch = Scratch::new("database");
    let path = scratch.path("other.db");
    let mut bytes = fs::read(kept_book(1)).expect("the kept book");
    // The mark of the program that a database belongs to: <https://www.sqlite.org/fileformat2.html>.
    bytes[68..72].copy_from_slice(&0x4750_4b47_u32.to_be_bytes());
    fs::write(&path, bytes).expect("a file");
    refused(
        &scratch.0,
        &path,
        &["belongs to another program", "choose another path"],
    );
}

#[test]
fn a_book_of_a_later_version_is_refused_and_stays() {
    let scratch = Scratch::new("later");
    let path = scratch.path("shop.camberbook");
    let mut bytes = fs::read(kept_book(book::FORMAT_VERSION)).expect("the kept book");
    bytes[60..64].copy_from_slice(&(book::FORMAT_VERSION + 1).to_be_bytes());
    fs::write(&path, bytes).expect("a file");
    refused(&scratch.0, &path, &["format", "newer version"]);
}

#[test]
fn a_folder_is_refused() {
    let scratch = Scratch::new("folder");
    let folder = scratch.path("shop");
    fs::create_dir(&folder).expect("a folder");
    refused(&scratch.0, &folder, &["is a folder", "name a file in it"]);
}

/// A page in the middle, the first page behind its header, or the end of the file is broken.
#[test]
fn a_damaged_book_is_told_and_what_is_there_stays() {
    let sound = fs::read(kept_book(book::FORMAT_VERSION)).expect("the kept book");
    for (name, harm) in [
        (
            "cut",
            &(|bytes: &mut Vec<u8>| bytes.truncate(bytes.len() / 2)) as &dyn Fn(&mut Vec<u8>),
        ),
        ("first-page", &|bytes: &mut Vec<u8>| {
            bytes[100..4096].fill(0xa5)
        }),
        ("all-but-the-header", &|bytes: &mut Vec<u8>| {
            bytes[4096..].fill(0xa5)
        }),
    ] {
        let scratch = Scratch::new(name);
        let path = scratch.path("shop.camberbook");
        let mut bytes = sound.clone();
        harm(&mut bytes);
        fs::write(&path, &bytes).expect("a file");
        // It may be seen at once, or by the first page that reads there.
        let told = match serve(&path) {
            Served::Ended(output) => {
                assert_eq!(output.status.code(), Some(1), "{name}");
                words(&output)
            }
            Served::At(serving) => {
                let (status, page) = serving.get("/book");
                assert_eq!(status, 500, "{name}: {page}");
                page
            }
        };
        assert!(told.contains("damaged"), "{name}: {told}");
        assert!(told.contains("last backup"), "{name}: {told}");
        let left = fs::read(&path).expect("it is there");
        assert_eq!(left.len(), bytes.len(), "{name}");
        // The switch to a log beside it is two bytes of the header; nothing else may change.
        let others = (0..left.len()).filter(|at| {
            !(18..20).contains(at) && !(24..28).contains(at) && !(92..100).contains(at)
        });
        let changed = others.filter(|at| left[*at] != bytes[*at]).count();
        assert_eq!(changed, 0, "{name}: {changed} bytes are others");
    }
}

#[test]
fn a_book_of_every_earlier_format_is_opened_and_shows_what_it_held() {
    for format in 1..=book::FORMAT_VERSION {
        let scratch = Scratch::new("formats");
        let path = scratch.path("shop.camberbook");
        fs::copy(kept_book(format), &path).expect("a copy");
        for start in ["first", "second"] {
            let serving = opened(serve(&path));
            let (status, list) = serving.get("/book");
            assert_eq!(status, 200, "format {format}, {start} start");
            assert!(list.contains("Heron"), "format {format}, {start} start");
            let (status, text) = serving.get("/commission/2/commission.toml");
            assert_eq!((status, text.as_str()), (200, "length = \"630 mm\"\n"));
            let (status, history) = serving.get("/commission/2/history");
            assert_eq!(status, 200);
            assert!(
                history.contains("shorter scale"),
                "format {format}: {history}"
            );
        }
    }
}

#[test]
fn a_book_in_a_folder_that_is_read_only_is_refused_and_stays() {
    use std::os::unix::fs::PermissionsExt;
    let scratch = Scratch::new("read-only");
    let path = scratch.path("shop.camberbook");
    fs::copy(kept_book(1), &path).expect("a copy");
    let lock = |mode: u32, path: &Path| {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("its own");
    };
    lock(0o444, &path);
    lock(0o555, &scratch.0);
    let place = path.display().to_string();
    let new = scratch.path("new.camberbook");
    let before = everything_in(&scratch.0);
    for book in [&path, &new] {
        let Some(mut command) = as_nobody(&serving(&book.display().to_string())) else {
            lock(0o755, &scratch.0);
            return;
        };
        match served(&mut command) {
            Served::At(_) => panic!("{place} was opened"),
            Served::Ended(output) => said(&output, book, &["cannot be written", "allow writing"]),
        }
    }
    assert_eq!(everything_in(&scratch.0), before);
    lock(0o755, &scratch.0);
}

/// Sets the relief on the page that is shown now; gives the status and what was said.
fn set_relief(serving: &Serving, value: &str) -> (u16, String) {
    let (_, page) = serving.get("/commission/2/text");
    let based_on = page
        .split_once("name=\"based_on\" value=\"")
        .and_then(|(_, rest)| rest.split('"').next())
        .unwrap_or_else(|| panic!("no moment on the page: {page:.400}"));
    let form = format!("path=wish.relief&value={value}+mm&based_on={based_on}&page=wish");
    serving.send("/commission/2/set", &form)
}

/// Changes one value so often that any small disk is full in the end. Gives how many were stored,
/// and what was said to the first that was not.
fn until_full(serving: &Serving) -> (usize, String) {
    for count in 0..5_000 {
        let (status, body) = set_relief(serving, &format!("0.{count:06}"));
        if status != 303 {
            return (count, body);
        }
    }
    panic!("the disk is never full");
}

/// The newest value, as the commission's text shows it.
fn relief(serving: &Serving) -> String {
    let (status, text) = serving.get("/commission/2/commission.toml");
    assert_eq!(status, 200, "what was stored is shown all the same");
    let line = text.lines().find(|line| line.starts_with("relief"));
    line.expect("the text asks for a relief").to_owned()
}

/// Told once that nothing was stored, the maker frees some space and goes on, in the same program.
#[test]
fn on_a_full_disk_a_change_is_told_as_not_stored_and_all_earlier_ones_are() {
    if !can_have_a_disk() {
        return;
    }
    let scratch = Scratch::new("full");
    let book = scratch.path("shop.camberbook").display().to_string();
    let mut arguments = serving(&book);
    arguments.push("--demo");
    let filler = "head -c 1500000 /dev/zero > filler";
    let serving = opened(served(&mut on_a_disk(&scratch.0, "3m", filler, &arguments)));
    let (stored, told) = until_full(&serving);
    assert!(stored > 3, "{stored} changes");
    assert!(told.contains("the disk is full"), "{told}");
    assert!(told.contains("this change was not stored"), "{told}");
    assert!(told.contains("free some space"), "{told}");
    let last = format!("relief = \"0.{:06} mm\"", stored - 1);
    assert!(relief(&serving).starts_with(&last));
    // Seen from outside, the disk is that of the program alone.
    let inside = PathBuf::from(format!("/proc/{}/root", serving.child.id()));
    let filler = inside.join(scratch.path("filler").strip_prefix("/").expect("absolute"));
    fs::remove_file(filler).expect("the space is freed");
    let (status, body) = set_relief(&serving, "0.2");
    assert_eq!(status, 303, "{body}");
    assert!(relief(&serving).starts_with("relief = \"0.2 mm\""));
}

/// A limit on files stands in for a full disk where no disk can be had.
#[test]
fn a_book_that_cannot_grow_keeps_what_was_stored() {
    let scratch = Scratch::new("limit");
    let path = scratch.path("shop.camberbook");
    let book = path.display().to_string();
    // 2,000 × 512 bytes.
    let serving_arguments = [serving(&book), vec!["--demo"]].concat();
    let serving = opened(served(&mut limited(2_000, &serving_arguments)));
    let (stored, told) = until_full(&serving);
    assert!(stored > 3, "{stored} changes");
    assert!(told.contains("not stored"), "{told}");
    let last = format!("relief = \"0.{:06} mm\"", stored - 1);
    assert!(relief(&serving).starts_with(&last));
    drop(serving);
    // Without the limit all of it is there.
    let serving = opened(serve(&path));
    assert!(relief(&serving).starts_with(&last));
}

#[test]
fn a_new_book_on_a_full_disk_is_told() {
    if !can_have_a_disk() {
        return;
    }
    let scratch = Scratch::new("new-full");
    let book = scratch.path("shop.camberbook").display().to_string();
    let filler = "head -c 1000000 /dev/zero > filler 2>/dev/null || true";
    match served(&mut on_a_disk(&scratch.0, "64k", filler, &serving(&book))) {
        Served::At(_) => panic!("a book was made on a full disk"),
        Served::Ended(output) => said(&output, Path::new(&book), &["full", "free some space"]),
    }
}
