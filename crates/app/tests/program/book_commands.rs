//! The book from the command line: out as text and in again, copies and restoring.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

use book::{Book, Change, EntryId, Kind};

struct Scratch(PathBuf);

impl Scratch {
    fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("camberwright-book-commands-{}-{count}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        fs::create_dir_all(&folder).expect("can be made");
        Self(folder)
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).to_str().expect("is UTF-8").to_owned()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn run(arguments: &[&str]) -> (Option<i32>, String) {
    let Output {
        status,
        stdout,
        stderr,
    } = Command::new(env!("CARGO_BIN_EXE_camberwright"))
        .args(arguments)
        .output()
        .expect("the program starts");
    let words = [stdout, stderr].concat();
    (status.code(), String::from_utf8_lossy(&words).into_owned())
}

fn done(arguments: &[&str]) -> String {
    let (code, words) = run(arguments);
    assert_eq!(code, Some(0), "{arguments:?}: {words}");
    words
}

/// Refused with this exit code, and words that name the thing.
fn refused(arguments: &[&str], code: i32, word: &str) {
    let (found, words) = run(arguments);
    assert_eq!(found, Some(code), "{arguments:?}: {words}");
    assert!(words.contains(word), "{arguments:?}: {words}");
}

/// A book with a kit and two commissions.
fn shop(path: &str) -> Book {
    let book = Book::open(Path::new(path)).expect("opens");
    let kit = book
        .create(
            Kind::Kit,
            "North bench",
            "camberwright_kit = 1\n",
            "first",
            1,
        )
        .expect("fits");
    let heron = book
        .create(Kind::Commission, "Heron", "title = \"Heron\"\n", "first", 2)
        .expect("fits");
    book.set_kit(heron, Some(kit), 3).expect("is a kit");
    book.create(
        Kind::Commission,
        "Avocet",
        "title = \"Avocet\"\n",
        "first",
        4,
    )
    .expect("fits");
    book
}

fn titles(path: &str) -> Vec<String> {
    let book = Book::open(Path::new(path)).expect("opens");
    let mut titles: Vec<String> = [Kind::Commission, Kind::Kit]
        .iter()
        .flat_map(|kind| book.entries(*kind).expect("reads"))
        .map(|entry| entry.title)
        .collect();
    titles.sort();
    titles
}

/// Every file under a folder, by its name.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut all = Vec::new();
    for item in fs::read_dir(folder).expect("reads") {
        let path = item.expect("reads").path();
        if path.is_dir() {
            let name = path
                .file_name()
                .expect("has one")
                .to_string_lossy()
                .into_owned();
            let inside = files(&path).into_iter();
            all.extend(inside.map(|(inner, content)| (format!("{name}/{inner}"), content)));
        } else {
            let name = path
                .file_name()
                .expect("has one")
                .to_string_lossy()
                .into_owned();
            all.push((name, fs::read(&path).expect("reads")));
        }
    }
    all.sort();
    all
}

#[test]
fn a_book_goes_out_as_text_and_comes_into_an_empty_book_the_same() {
    let scratch = Scratch::new();
    let (first, second) = (scratch.path("first.book"), scratch.path("second.book"));
    // In use meanwhile, as when the pages are open.
    let _open = shop(&first);
    let (folder, zip) = (scratch.path("texts"), scratch.path("texts.zip"));
    let told = done(&[
        "book", "export", "--book", &first, "--into", &folder, "--zip", &zip,
    ]);
    assert!(told.contains("10 files written"), "{told}");
    let told = done(&["book", "import", &zip, "--book", &second]);
    assert!(told.contains("3 entries were brought in"), "{told}");
    let again = scratch.path("again");
    done(&["--book", &second, "book", "export", "--into", &again]);
    assert_eq!(files(Path::new(&folder)), files(Path::new(&again)));
    // From the folder, too, and a second time nothing is added.
    let told = done(&["book", "import", &folder, "--book", &second]);
    assert!(
        told.contains("Nothing new") && told.contains("Just alike"),
        "{told}"
    );
    assert_eq!(titles(&second), ["Avocet", "Heron", "North bench"]);
}

#[test]
fn a_single_commission_goes_with_its_kit_and_is_named_by_title_or_number() {
    let scratch = Scratch::new();
    let (first, second) = (scratch.path("first.book"), scratch.path("second.book"));
    drop(shop(&first));
    let zip = scratch.path("heron.zip");
    done(&[
        "book", "export", "--book", &first, "--only", "Heron", "--zip", &zip,
    ]);
    done(&["book", "import", "--book", &second, &zip]);
    assert_eq!(titles(&second), ["Heron", "North bench"]);
    done(&[
        "book",
        "export",
        "--book",
        &first,
        "--only",
        "3",
        "--into",
        &scratch.path("avocet"),
    ]);
    refused(
        &[
            "book",
            "export",
            "--book",
            &first,
            "--only",
            "Dunlin",
            "--into",
            &scratch.path("x"),
        ],
        2,
        "Avocet (3)",
    );
    assert!(!Path::new(&scratch.path("x")).exists());
}

#[test]
fn nothing_is_overwritten_and_a_mistyped_book_is_not_made() {
    let scratch = Scratch::new();
    let first = scratch.path("first.book");
    drop(shop(&first));
    let letter = scratch.path("letter");
    fs::write(&letter, "a letter").expect("writes");
    refused(
        &["book", "export", "--book", &first, "--zip", &letter],
        1,
        "letter",
    );
    assert_eq!(fs::read(&letter).expect("reads"), b"a letter");
    refused(&["book", "export", "--book", &first], 2, "--into");
    let missing = scratch.path("missing.book");
    for deed in [
        ["export", "--into", &scratch.path("y")].as_slice(),
        &["copy"],
    ] {
        let arguments = [["book", "--book", &missing].as_slice(), deed].concat();
        refused(&arguments, 1, "there is no book");
    }
    assert!(!Path::new(&missing).exists());
}

#[test]
fn what_is_no_book_as_text_is_refused_with_its_place_and_nothing_is_stored() {
    let scratch = Scratch::new();
    let (first, second) = (scratch.path("first.book"), scratch.path("second.book"));
    drop(shop(&first));
    drop(Book::open(Path::new(&second)).expect("opens"));
    let folder = scratch.path("texts");
    done(&["book", "export", "--book", &first, "--into", &folder]);
    let import = |carried: &str, word: &str| {
        refused(&["book", "import", "--book", &second, carried], 2, word)
    };
    let heron = Path::new(&folder).join("002-heron/entry.toml");
    let sound = fs::read_to_string(&heron).expect("reads");
    fs::write(&heron, sound.replace("stands_at", "stand_at")).expect("writes");
    import(&folder, "002-heron/entry.toml");
    fs::write(&heron, &sound).expect("writes");
    #[cfg(unix)]
    {
        // A link could lead to any file of the computer.
        let link = Path::new(&folder).join("002-heron/visit-1-readings-1.csv");
        std::os::unix::fs::symlink("/etc/hostname", &link).expect("links");
        import(&folder, "neither a file nor a folder");
        fs::remove_file(&link).expect("removes");
    }
    let letter = scratch.path("letter.zip");
    fs::write(&letter, "a letter").expect("writes");
    import(&letter, "no zip file");
    import(&scratch.path("nothing there"), "cannot be read");
    assert_eq!(titles(&second), [""; 0]);
    done(&["book", "import", "--book", &second, &folder]);
}

/// Ctrl+C is a signal with a name on Unix only.
#[cfg(unix)]
#[test]
fn an_export_that_is_stopped_leaves_nothing_behind() {
    let scratch = Scratch::new();
    let path = scratch.path("shop.book");
    let book = Book::open(Path::new(&path)).expect("opens");
    for number in 0..400 {
        book.create(Kind::Commission, "Heron", "a = 1\n", "first", number)
            .expect("fits");
    }
    let folder = scratch.path("out");
    let mut child = Command::new(env!("CARGO_BIN_EXE_camberwright"))
        .args(["book", "export", "--book", &path, "--into", &folder])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // In the midst of its files: every one of them is handed to the disk, which takes a while.
    let is_begun = || Path::new(&folder).join("002-heron").exists();
    while !is_begun() && child.try_wait().expect("can be asked").is_none() {
        std::thread::yield_now();
    }
    let stopped = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(stopped.is_ok(), "{stopped:?}");
    let Output { status, stderr, .. } = child.wait_with_output().expect("it ends");
    let words = String::from_utf8_lossy(&stderr);
    // A quick disk may be done before the signal is there.
    match status.code() {
        Some(0) => assert_eq!(files(Path::new(&folder)).len(), 1 + 400 * 3),
        Some(1) => {
            assert!(words.contains("stopped"), "{words}");
            assert!(!Path::new(&folder).exists());
        }
        other => panic!("{other:?}: {words}"),
    }
    done(&[
        "book",
        "export",
        "--book",
        &path,
        "--zip",
        &scratch.path("a.zip"),
    ]);
}

#[test]
fn a_copy_is_made_listed_and_put_back_with_the_present_book_set_aside() {
    let scratch = Scratch::new();
    let path = scratch.path("shop.book");
    let book = shop(&path);
    let copy = done(&["book", "copy", "--book", &path]).trim().to_owned();
    let name = Path::new(&copy)
        .file_name()
        .expect("has one")
        .to_str()
        .expect("is UTF-8")
        .to_owned();
    let listed = done(&["book", "copies", "--book", &path]);
    assert!(
        listed.contains(&name) && listed.contains("ten newest"),
        "{listed}"
    );
    let heron = book.entry(EntryId(2)).expect("is there");
    let change = Change {
        id: heron.id,
        based_on: heron.revision,
        title: "Heron",
        text: "later",
        what: "later",
        at: 9,
    };
    book.change(&change).expect("fits");

    // While it is open it is not moved; a new book can be made at any time.
    refused(
        &["book", "restore", &name, "--book", &path],
        1,
        "held by another program",
    );
    let beside = scratch.path("beside.book");
    let told = done(&["book", "restore", &copy, "--into", &beside, "--book", &path]);
    assert!(told.contains("No tablet is paired"), "{told}");
    refused(
        &["book", "restore", &copy, "--into", &beside, "--book", &path],
        1,
        "beside.book",
    );
    let text = |path: &str| {
        let book = Book::open(Path::new(path)).expect("opens");
        book.entry(EntryId(2)).expect("is there").text
    };
    assert_eq!(text(&beside), "title = \"Heron\"\n");
    assert_eq!(book.entry(EntryId(2)).expect("is there").text, "later");
    drop(book);

    let told = done(&["book", "restore", &name, "--book", &path]);
    assert_eq!(text(&path), "title = \"Heron\"\n");
    let aside = told
        .lines()
        .next()
        .expect("says where")
        .trim_start_matches("The book that was there is ");
    assert_eq!(text(aside.trim_end_matches(" now.")), "later");
    refused(
        &["book", "restore", &scratch.path("nothing"), "--book", &path],
        1,
        "no sound copy",
    );
    assert_eq!(text(&path), "title = \"Heron\"\n");
}
