//! What the book does not open: each is refused with its own error and stays as it was.
//!
//! Offsets in the header are those of <https://www.sqlite.org/fileformat2.html>, section 1.3.
#![allow(clippy::unwrap_used, reason = "a failure in a test is the message")]

mod common;

use std::fs;
use std::path::Path;

use book::{APPLICATION_ID, Book, BookError, FORMAT_VERSION};
use common::{Scratch, heron, raw};
use rusqlite::Connection;

/// The folder's files with all their bytes, so that nothing can change or join unseen.
fn everything_beside(path: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(path.parent().unwrap())
        .unwrap()
        .map(|file| file.unwrap())
        .filter(|file| file.file_type().unwrap().is_file())
        .map(|file| {
            (
                file.file_name().into_string().unwrap(),
                fs::read(file.path()).unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

fn refusal(path: &Path) -> BookError {
    let before = everything_beside(path);
    let error = Book::open(path).unwrap_err();
    assert_eq!(everything_beside(path), before, "{error}");
    error
}

#[test]
fn a_file_that_is_not_sqlite_is_refused_untouched() {
    let scratch = Scratch::new("text");
    let path = scratch.path("heron.toml");
    for content in [
        "camberwright = 1\n".to_string(),
        "x".repeat(5_000),
        "\n".into(),
    ] {
        fs::write(&path, content).unwrap();
        assert!(matches!(refusal(&path), BookError::NotABook { .. }));
    }
}

#[test]
fn a_file_with_only_the_first_words_of_sqlite_is_refused_untouched() {
    let scratch = Scratch::new("magic");
    let path = scratch.path("short.book");
    fs::write(&path, b"SQLite format 3\0").unwrap();
    assert!(matches!(refusal(&path), BookError::NotABook { .. }));
}

#[test]
fn the_sqlite_file_of_another_program_is_refused_untouched() {
    let scratch = Scratch::new("foreign");
    let path = scratch.path("other.db");
    Connection::open(&path)
        .unwrap()
        .execute_batch("CREATE TABLE t (x); INSERT INTO t VALUES (1)")
        .unwrap();
    assert!(matches!(
        refusal(&path),
        BookError::Foreign {
            application_id: 0,
            ..
        }
    ));
    raw(&path)
        .pragma_update(None, "application_id", 0x4750_4b47)
        .unwrap();
    assert!(matches!(
        refusal(&path),
        BookError::Foreign {
            application_id: 0x4750_4b47,
            ..
        }
    ));
}

#[test]
fn an_sqlite_file_marked_by_another_program_but_without_tables_is_refused_untouched() {
    let scratch = Scratch::new("marked");
    for (name, mark) in [("id.db", "application_id"), ("version.db", "user_version")] {
        let path = scratch.path(name);
        Connection::open(&path)
            .unwrap()
            .pragma_update(None, mark, 7)
            .unwrap();
        assert!(
            matches!(refusal(&path), BookError::Foreign { .. }),
            "{name}"
        );
    }
}

#[test]
fn another_program_whose_tables_are_still_in_its_log_is_refused_untouched() {
    let scratch = Scratch::new("foreign-log");
    let path = scratch.path("other.db");
    let other = Connection::open(&path).unwrap();
    other.pragma_update(None, "journal_mode", "WAL").unwrap();
    other.execute_batch("CREATE TABLE t (x)").unwrap();
    assert!(fs::metadata(scratch.path("other.db-wal")).unwrap().len() > 0);
    assert!(matches!(
        refusal(&path),
        BookError::Foreign {
            application_id: 0,
            ..
        }
    ));
}

const NEXT_FORMAT: i32 = 4;

#[test]
fn a_newer_format_is_refused_untouched() {
    assert_eq!(NEXT_FORMAT.cast_unsigned(), FORMAT_VERSION + 1);
    let scratch = Scratch::new("newer");
    let path = scratch.path("shop.book");
    drop(Book::open(&path).unwrap());
    for version in [NEXT_FORMAT, 77, -1] {
        raw(&path)
            .pragma_update(None, "user_version", version)
            .unwrap();
        let error = refusal(&path);
        let expected = BookError::NewerFormat {
            path: path.clone(),
            found: version.cast_unsigned(),
            known: FORMAT_VERSION,
        };
        assert_eq!(error, expected);
    }
}

/// A newer version that crashed has its format number in the log only.
#[test]
fn a_newer_format_that_stands_only_in_the_log_is_refused_and_the_book_is_unchanged() {
    let scratch = Scratch::new("newer-log");
    let path = scratch.path("shop.book");
    drop(Book::open(&path).unwrap());
    let newer = raw(&path);
    newer
        .pragma_update(None, "user_version", NEXT_FORMAT)
        .unwrap();
    // A copy made while the log is full is what a crash leaves behind.
    let left = scratch.path("left.book");
    fs::copy(&path, &left).unwrap();
    fs::copy(scratch.path("shop.book-wal"), scratch.path("left.book-wal")).unwrap();
    let bytes = |name: &str| fs::read(scratch.path(name)).unwrap();
    let before = (bytes("left.book"), bytes("left.book-wal"));
    assert_eq!(
        before.0[60..64],
        FORMAT_VERSION.to_be_bytes(),
        "the header alone still says the present format"
    );
    assert!(matches!(
        Book::open(&left),
        Err(BookError::NewerFormat { found: 4, .. })
    ));
    assert_eq!((bytes("left.book"), bytes("left.book-wal")), before);
}

#[test]
fn a_folder_and_a_socket_are_refused() {
    let scratch = Scratch::new("folder");
    let folder = scratch.path("inside");
    fs::create_dir(&folder).unwrap();
    assert_eq!(
        refusal(&folder),
        BookError::IsFolder {
            path: folder.clone()
        }
    );
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 0);
    #[cfg(unix)]
    {
        let socket = scratch.path("socket");
        let _listener = std::os::unix::net::UnixListener::bind(&socket).unwrap();
        assert_eq!(refusal(&socket), BookError::NotAFile { path: socket });
    }
}

#[test]
fn a_folder_that_cannot_be_made_is_an_error_and_nothing_is_made() {
    let scratch = Scratch::new("no-folder");
    let file = scratch.path("file");
    fs::write(&file, "a file where a folder should be").unwrap();
    let before = everything_beside(&file);
    for path in [file.join("shop.book"), file.join("deep").join("shop.book")] {
        let error = Book::open(&path).unwrap_err();
        assert!(matches!(error, BookError::Unreadable { .. }), "{error:?}");
    }
    assert_eq!(everything_beside(&file), before);
}

#[test]
fn the_log_of_a_book_that_was_moved_away_is_not_thrown_out() {
    let scratch = Scratch::new("stray");
    let path = scratch.path("shop.book");
    let log = scratch.path("shop.book-wal");
    fs::write(&log, "the last changes").unwrap();
    let expected = BookError::StrayLog {
        path: path.clone(),
        log,
    };
    assert_eq!(refusal(&path), expected);
    fs::write(&path, "").unwrap();
    assert_eq!(refusal(&path), expected);
}

#[test]
fn a_book_without_its_format_number_is_called_damaged_and_left_untouched() {
    let scratch = Scratch::new("zero");
    let path = scratch.path("shop.book");
    drop(Book::open(&path).unwrap());
    raw(&path).pragma_update(None, "user_version", 0).unwrap();
    let before = fs::read(&path).unwrap();
    assert!(matches!(Book::open(&path), Err(BookError::Damaged { .. })));
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn an_empty_file_and_a_blank_sqlite_file_become_books() {
    let scratch = Scratch::new("blank");
    let empty = scratch.path("empty.book");
    fs::write(&empty, "").unwrap();
    let blank = scratch.path("blank.book");
    Connection::open(&blank)
        .unwrap()
        .execute_batch("VACUUM")
        .unwrap();
    let blank_page = scratch.path("page.book");
    let connection = Connection::open(&blank_page).unwrap();
    connection
        .execute_batch("CREATE TABLE t (x); DROP TABLE t; VACUUM")
        .unwrap();
    drop(connection);
    assert!(fs::metadata(&blank_page).unwrap().len() >= 512);
    for path in [empty, blank, blank_page] {
        let id = heron(&Book::open(&path).unwrap());
        assert_eq!(Book::open(&path).unwrap().entry(id).unwrap().title, "Heron");
    }
}

#[test]
fn a_new_book_is_made_with_its_folder_and_carries_its_marks_in_the_header() {
    let scratch = Scratch::new("new");
    let path = scratch.path("north/bench/shop.book");
    let book = Book::open(&path).unwrap();
    // Read while the book is open: the marks must not wait in the log.
    let header = fs::read(&path).unwrap();
    assert_eq!(&header[..16], b"SQLite format 3\0");
    assert_eq!(header[18..20], [2, 2], "write-ahead logging is on");
    assert_eq!(header[60..64], FORMAT_VERSION.to_be_bytes());
    assert_eq!(header[68..72], APPLICATION_ID.to_be_bytes());
    assert!(book.is_empty().unwrap());
}

#[test]
fn names_special_to_sqlite_are_ordinary_file_names() {
    let scratch = Scratch::new("special");
    for name in [":memory:", "file:x?mode=memory", "shop #1 100%.book"] {
        let path = scratch.path(name);
        heron(&Book::open(&path).unwrap());
        assert!(path.is_file());
        assert!(!Book::open(&path).unwrap().is_empty().unwrap());
    }
}

/// Any byte of a book may be wrong: the answer is an error or an answer, never a panic.
#[test]
fn a_book_with_wrong_bytes_never_panics() {
    let scratch = Scratch::new("bytes");
    let path = scratch.path("shop.book");
    let mut sound = Vec::new();
    for version in 1..=FORMAT_VERSION {
        common::copy_of_format(version, &path);
        sound.push(fs::read(&path).unwrap());
    }
    let mut chance = common::Chance(3);
    let mut refused = 0;
    for round in 0..150 * sound.len() {
        let mut bytes = sound[round % sound.len()].clone();
        for _ in 0..20 {
            let place = chance.below(bytes.len() as u64) as usize;
            bytes[place] = chance.below(256) as u8;
        }
        let _ = fs::remove_file(scratch.path("shop.book-wal"));
        fs::write(&path, bytes).unwrap();
        refused += u32::from(use_everything(&path).is_err());
    }
    assert!(refused > 0);
}

fn use_everything(path: &Path) -> Result<(), BookError> {
    let book = Book::open(path)?;
    for kind in [book::Kind::Commission, book::Kind::Kit] {
        for summary in book.entries(kind)? {
            book.entry(summary.id)?;
            for moment in book.history(summary.id)? {
                book.revision_text(moment.revision)?;
            }
            book.set_aside_logs(summary.id)?;
            if kind == book::Kind::Commission {
                use_readings(&book, summary.id)?;
            }
        }
    }
    book.all_stage_logs()?;
    heron(&Book::open_in_memory()?);
    book.create(book::Kind::Kit, "t", "t", "t", 1)?;
    Ok(())
}

fn use_readings(book: &Book, commission: book::EntryId) -> Result<(), BookError> {
    for visit in book.visits(commission)? {
        book.visit_details(visit.id)?;
        for batch in book.readings(visit.id)? {
            book.set_aside_readings(batch.id, Some(1), "a new reason", 1)?;
            book.take_back_in(batch.id, None, 1)?;
        }
    }
    Ok(())
}

#[cfg(unix)]
mod read_only {
    use super::*;
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    use std::path::PathBuf;
    use std::process::Command;

    const PATH: &str = "BOOK_TEST_READ_ONLY_PATH";
    /// The user `nobody` on Linux, common practice.
    const NOBODY: u32 = 65_534;

    fn allow(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    }

    /// Run by the tests below in a process of its own, which may have fewer rights.
    #[test]
    fn opener() {
        if let Some(path) = std::env::var_os(PATH) {
            let error = Book::open(Path::new(&path)).unwrap_err();
            assert!(matches!(error, BookError::NotWritable { .. }), "{error:?}");
        }
    }

    /// Opens the book as somebody to whom read-only means read-only, which it does not to root.
    fn assert_refused(path: &Path) {
        let mut command = Command::new(std::env::current_exe().unwrap());
        command
            .args(["--exact", "read_only::opener"])
            .env(PATH, path)
            .current_dir("/");
        if fs::metadata(path.parent().unwrap()).unwrap().uid() == 0 {
            command.uid(NOBODY).gid(NOBODY);
        }
        let before = everything_beside(path);
        match command.output() {
            Ok(output) => {
                let said = String::from_utf8_lossy(&output.stdout);
                assert!(
                    output.status.success() && said.contains("1 passed"),
                    "{said}"
                );
            }
            Err(error) => eprintln!("skipped: this user cannot run the test as another: {error}"),
        }
        assert_eq!(everything_beside(path), before);
    }

    /// A book in a folder of its own, with these permissions on both.
    fn locked_book(scratch: &Scratch, book_mode: u32, folder_mode: u32) -> PathBuf {
        let path = scratch.path("locked/shop.book");
        drop(Book::open(&path).unwrap());
        allow(&path, book_mode);
        allow(path.parent().unwrap(), folder_mode);
        path
    }

    #[test]
    fn a_book_in_a_read_only_folder_is_refused_untouched() {
        let scratch = Scratch::new("read-only");
        let path = locked_book(&scratch, 0o666, 0o555);
        assert_refused(&path);
        assert_refused(&path.with_file_name("new.book"));
        allow(path.parent().unwrap(), 0o755);
    }

    #[test]
    fn a_read_only_book_is_refused_untouched() {
        let scratch = Scratch::new("read-only-file");
        assert_refused(&locked_book(&scratch, 0o444, 0o777));
    }
}
