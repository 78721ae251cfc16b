//! The book from the command line: out of it and into it as text, its copies, and back from one.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Weak};

use book::{Book, BookError, EntryId, Kind};
use clap::Subcommand;

use super::pattern::Destination;
use super::{AsJson, Refusal, bad_option, print};
use crate::backups::{Backups, Made, RULE, UNPAIRED};
use crate::carry::{self, CarryFault, TAKEN_SHARE};
use crate::made::MadeFile;
use crate::progress::Progress;
use crate::server::book_path;
use crate::show::{moment, now};

#[derive(Subcommand)]
pub(super) enum Deed {
    /// Write the book as plain texts: everything, or a single commission or kit
    Export {
        /// Only the commission or kit of this title; a commission goes with its kit
        #[arg(long)]
        only: Option<String>,
        /// Write the texts into this folder; nothing that is there is overwritten
        #[arg(long)]
        into: Option<PathBuf>,
        /// Write them as this new zip archive
        #[arg(long)]
        zip: Option<PathBuf>,
    },
    /// Take in what was written by export: beside what is there, never over it
    Import {
        /// The zip archive, or the folder
        carried: PathBuf,
    },
    /// The copies that the program keeps of the book, and the rule by which it keeps them
    Copies,
    /// Make a copy of the book now; it may be open meanwhile
    Copy,
    /// Put a copy in the place of the book, which is moved aside first, or make a new book of it
    Restore {
        /// The copy's file, or its name among the copies
        copy: PathBuf,
        /// Make this new book of it, and leave the present one where it is
        #[arg(long)]
        into: Option<PathBuf>,
    },
}

/// Does what was asked with the book at a path, or at the usual place.
pub(super) fn book(path: Option<&Path>, demo: bool, deed: &Deed) -> Result<(), Refusal> {
    let path = book_path(path, demo).map_err(Refusal::Impossible)?;
    match deed {
        Deed::Export { only, into, zip } => {
            let to = Destination {
                folder: into.as_deref(),
                archive: zip.as_deref(),
            };
            export(&path, only.as_deref(), to)
        }
        Deed::Import { carried } => import(&path, carried),
        Deed::Copies => copies(&path),
        Deed::Copy => copy(&path),
        Deed::Restore { copy, into } => restore(&path, copy, into.as_deref()),
    }
}

/// A book that must be there: a mistyped path is not to become a new, empty one.
fn open_there(path: &Path) -> Result<Book, Refusal> {
    if !path.exists() {
        return Err(Refusal::Impossible(format!(
            "there is no book at {}; name its file with --book",
            path.display()
        )));
    }
    open(path).map_err(|error| Refusal::Impossible(error.to_string()))
}

/// A book of an older format is copied before it is brought to the present one.
fn open(path: &Path) -> Result<Book, BookError> {
    if let Err(why) = Backups::of(path).make_before_upgrade(now()) {
        eprintln!(
            "camberwright: no copy was made before the book is brought to the new format: {why}"
        );
    }
    Book::open(path)
}

fn export(path: &Path, only: Option<&str>, to: Destination<'_>) -> Result<(), Refusal> {
    let Some(place) = to.words() else {
        return Err(bad_option(
            "book export",
            "nothing says where the texts shall go",
            "name a folder with --into, or an archive with --zip",
            AsJson::No,
        ));
    };
    let book = open_there(path)?;
    let progress = stoppable("taking out");
    let files = match only {
        None => carry::take_all_told(&book, progress.stretch(0.0, TAKEN_SHARE)),
        Some(title) => carry::take_entry(&book, entry_of_title(&book, title)?),
    };
    let files: Vec<MadeFile> = files
        .map_err(|fault| refusal(path, &fault))?
        .into_iter()
        .map(|(name, bytes)| MadeFile { name, bytes })
        .collect();
    to.write_told(&files, progress.stretch(TAKEN_SHARE, 1.0))?;
    drop(progress);
    print::out(&format!("{} files written to {place}.\n", files.len()))
}

/// A work with a bar, that Ctrl+C stops where it can be stopped without leaving anything half done;
/// a second one ends the program at once.
fn stoppable(name: &'static str) -> Arc<Progress> {
    let progress = Arc::new(Progress::on_terminal(name));
    // Weak, so that the bar goes when the work is done.
    let work = Arc::downgrade(&progress);
    std::thread::spawn(move || heed_keys(&work));
    progress
}

fn heed_keys(work: &Weak<Progress>) {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build();
    let Ok(runtime) = runtime else {
        // Ctrl+C ends the program then, as it does without a handler.
        return;
    };
    runtime.block_on(async {
        while tokio::signal::ctrl_c().await.is_ok() {
            match work.upgrade().filter(|work| !work.is_stopped()) {
                Some(work) => work.stop(),
                None => std::process::exit(ENDED_BY_KEYS),
            }
        }
    });
}

/// What a shell takes for an end by Ctrl+C; common practice, no source.
const ENDED_BY_KEYS: i32 = 130;

/// The entry of a title; one that is put away or old is named by its number when titles are alike.
fn entry_of_title(book: &Book, title: &str) -> Result<EntryId, Refusal> {
    let mut found = Vec::new();
    let mut titles = Vec::new();
    for kind in [Kind::Commission, Kind::Kit] {
        let entries = book.entries(kind);
        for entry in entries.map_err(|error| Refusal::Impossible(error.to_string()))? {
            if entry.title == title || entry.id.to_string() == title {
                found.push(entry.id);
            }
            titles.push(format!("{} ({})", entry.title, entry.id));
        }
    }
    match found.as_slice() {
        [only] => Ok(*only),
        found => Err(bad_option(
            "--only",
            match found.len() {
                0 => format!("the book has no entry with the title \"{title}\""),
                count => format!("{count} entries have the title \"{title}\""),
            },
            &format!(
                "name a title, or the number behind it: {}",
                titles.join(", ")
            ),
            AsJson::No,
        )),
    }
}

fn import(path: &Path, carried: &Path) -> Result<(), Refusal> {
    let files = if carried.is_dir() {
        carry::files_of_folder(carried)
    } else {
        read_archive(carried).and_then(|bytes| carry::files_of_zip(&bytes))
    };
    let progress = stoppable("taking in");
    let brought = files.and_then(|files| {
        let book = open(path)?;
        carry::bring_told(&book, &files, now(), progress.stretch(0.0, 1.0))
    });
    drop(progress);
    let brought = brought.map_err(|fault| refusal(carried, &fault))?;
    print::out(&format!("{}\n", brought.words()))
}

/// An archive is never larger than what may come out of it.
fn read_archive(path: &Path) -> Result<Vec<u8>, CarryFault> {
    let bad = |error: std::io::Error| CarryFault::Bad {
        place: String::new(),
        message: format!("cannot be read: {error}; name the archive or the folder"),
    };
    let length = std::fs::metadata(path).map_err(bad)?.len();
    if length > carry::MOST_BYTES {
        return Err(CarryFault::Bad {
            place: String::new(),
            message: format!(
                "is larger than the {} MiB that are read; take fewer entries out at once",
                carry::MOST_BYTES >> 20
            ),
        });
    }
    std::fs::read(path).map_err(bad)
}

fn refusal(path: &Path, fault: &CarryFault) -> Refusal {
    match fault {
        CarryFault::Bad { .. } => bad_option(
            &path.display().to_string(),
            fault,
            "nothing was taken in",
            AsJson::No,
        ),
        CarryFault::Book(error) => Refusal::Impossible(error.to_string()),
        CarryFault::Stopped => Refusal::Impossible(fault.to_string()),
    }
}

fn copies(path: &Path) -> Result<(), Refusal> {
    let backups = Backups::of(path);
    let copies = backups.list().map_err(Refusal::Impossible)?;
    let mut text = format!(
        "Copies of {} in {}\n",
        path.display(),
        backups.folder().display()
    );
    for copy in &copies {
        text.push_str(&format!(
            "  {}   {:>9.0} kB   {}\n",
            moment(copy.at),
            copy.bytes as f64 / 1_000.0,
            copy.name
        ));
    }
    if copies.is_empty() {
        text.push_str("  none yet\n");
    }
    print::out(&format!("{text}{RULE}\n"))
}

fn copy(path: &Path) -> Result<(), Refusal> {
    let book = open_there(path)?;
    let made = Backups::of(path).make(&book, now());
    match made.map_err(Refusal::Impossible)? {
        Made::New(made, _) => print::out(&format!("{}\n", made.display())),
        Made::Unchanged => Ok(()),
    }
}

fn restore(path: &Path, copy: &Path, into: Option<&Path>) -> Result<(), Refusal> {
    let backups = Backups::of(path);
    // A bare name is one of the list's; anything else is a file.
    let named = copy.to_str().and_then(|name| backups.find(name).ok());
    let copy = named.map_or_else(|| copy.to_owned(), |copy| copy.path);
    if let Some(new) = into {
        let facts = book::book_of_copy(&copy, new)
            .map_err(|error| Refusal::Impossible(error.to_string()))?;
        return print::out(&format!(
            "{} is a book with {}. {UNPAIRED}\n",
            new.display(),
            held(&facts)
        ));
    }
    let (aside, facts) = backups
        .restore_in_place(&copy, now())
        .map_err(Refusal::Impossible)?;
    if let Some(aside) = aside {
        print::out(&format!(
            "The book that was there is {} now.\n",
            aside.display()
        ))?;
    }
    print::out(&format!(
        "{} is the copy, with {}. {UNPAIRED}\n",
        path.display(),
        held(&facts)
    ))
}

fn held(facts: &book::CopyFacts) -> String {
    format!("{} commissions and {} kits", facts.commissions, facts.kits)
}
