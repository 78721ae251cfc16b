//! Addresses of what leaves the book and comes into it: the book as text, and its copies.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Form, Path, Query, State};
use axum::http::{HeaderMap, header};
use axum::response::Response;
use axum::routing::{get, post};
use book::{Book, BookError, EntryId};
use solid::PackageFault;

use super::Shop;
use super::answer::{Answer, Trouble, file};
use super::book_routes::{Words, listed};
use super::change::now;
use super::form::Fields;
use super::upload::uploaded;
use super::works::STOPPED;
use crate::backups::{Backups, Copy, EVERY_S, Made, UNPAIRED};
use crate::carry::{self, Brought, CarriedFile, CarryFault, TAKEN_SHARE};
use crate::made::stem;
use crate::pages::{Copies, Notice};
use crate::progress::{Progress, Stretch};

/// The address that takes a carried book in.
pub(super) const BRING: &str = "/book/bring";

/// The largest archive that is taken in over a page, bytes; the command line takes larger ones.
pub(super) const BRING_LIMIT_BYTES: usize = 64 << 20;

type Pairs = Vec<(String, String)>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/book/everything.zip", get(everything))
        .route("/commission/{id}/carried.zip", get(one))
        .route("/kit/{id}/carried.zip", get(one))
        .route(
            BRING,
            post(bring).layer(DefaultBodyLimit::max(BRING_LIMIT_BYTES)),
        )
        .route("/book/copy-now", post(copy_now))
        .route("/book/restore", post(restore))
}

async fn everything(State(shop): State<Arc<Shop>>, Query(pairs): Query<Pairs>) -> Answer {
    let book = shop.book.clone();
    let work = move |progress: &Progress| {
        let files = carry::take_all_told(&book, progress.stretch(0.0, TAKEN_SHARE));
        Ok(files.map(|files| zip(&files, progress.stretch(TAKEN_SHARE, 1.0))))
    };
    let fields = Fields(pairs);
    let packed = shop.works.watched(fields.get("work"), work).await?;
    Ok(archive("book-as-text.zip", packed.map_err(trouble)??))
}

async fn one(State(shop): State<Arc<Shop>>, Path(id): Path<i64>) -> Answer {
    let entry = shop.book.entry(EntryId(id))?;
    let name = format!("{}-as-text.zip", stem(&entry.title));
    let files = carry::take_entry(&shop.book, entry.id).map_err(trouble)?;
    let packed = zip(&files, Progress::unseen().stretch(0.0, 1.0))?;
    Ok(archive(&name, packed))
}

fn zip(files: &[CarriedFile], told: Stretch<'_>) -> Result<Vec<u8>, Trouble> {
    let named: Vec<(&str, &[u8])> = files
        .iter()
        .map(|(name, content)| (name.as_str(), content.as_slice()))
        .collect();
    let packed = solid::package_told(&named, &mut |done| told.tell(done, named.len()));
    packed.map_err(|fault| match fault {
        PackageFault::Stopped => Trouble::NotThere(STOPPED.into()),
        fault => Trouble::Here(format!("the archive cannot be made: {fault}")),
    })
}

fn archive(name: &str, packed: Vec<u8>) -> Response {
    file(name, "application/zip", packed)
}

fn trouble(fault: CarryFault) -> Trouble {
    match fault {
        CarryFault::Bad { .. } => Trouble::Bad(fault.to_string()),
        CarryFault::Book(error) => error.into(),
        CarryFault::Stopped => Trouble::NotThere(STOPPED.into()),
    }
}

/// Takes a carried book in. What is wrong with it is said on the page; what is wrong with this
/// book is trouble.
async fn bring(
    State(shop): State<Arc<Shop>>,
    Query(pairs): Query<Pairs>,
    headers: HeaderMap,
    body: Bytes,
) -> Answer {
    let kind = headers.get(header::CONTENT_TYPE);
    let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let (kind, book) = (kind.to_owned(), shop.book.clone());
    let work = move |progress: &Progress| Ok(taken_in(&book, &kind, &body, progress));
    let fields = Fields(pairs);
    let brought = shop.works.watched(fields.get("work"), work).await?;
    match brought {
        Ok(brought) => listed(&shop, Words::done(brought.words())),
        Err(CarryFault::Book(error)) if is_of_the_file(&error) => Err(error.into()),
        Err(fault) => listed(&shop, Words::not_done(fault.to_string())),
    }
}

fn taken_in(
    book: &Book,
    kind: &str,
    body: &[u8],
    progress: &Progress,
) -> Result<Brought, CarryFault> {
    let content = uploaded(kind, body, "carried").unwrap_or_default();
    if content.is_empty() {
        return Err(CarryFault::Bad {
            place: String::new(),
            message: "no file was chosen; choose the zip file of a book as text".into(),
        });
    }
    let files = carry::files_of_zip(content)?;
    carry::bring_told(book, &files, now(), progress.stretch(0.0, 1.0))
}

/// Whether an error is of this book's own file, and not of what was to be put into it.
fn is_of_the_file(error: &BookError) -> bool {
    matches!(
        error,
        BookError::Damaged { .. }
            | BookError::Full { .. }
            | BookError::Busy { .. }
            | BookError::Storage { .. }
            | BookError::NotWritable { .. }
    )
}

/// What keeps the copies of a book that is open.
pub(crate) struct Keeper {
    backups: Backups,
    /// Why the last copy that was due could not be made.
    trouble: Mutex<Option<String>>,
}

impl Keeper {
    pub(crate) fn new(backups: Backups) -> Self {
        Self {
            backups,
            trouble: Mutex::new(None),
        }
    }

    /// Makes a copy when one is due; that it could not be made is said on the page and at the
    /// terminal, and nothing else happens.
    fn keep(&self, make: impl FnOnce(&Backups) -> Result<Made, String>) -> Result<Made, String> {
        let made = make(&self.backups);
        if let Err(why) = &made {
            crate::terminal::say(&format!(
                "camberwright: no copy of the book was made: {why}\n"
            ));
        }
        let mut trouble = self.trouble.lock().unwrap_or_else(PoisonError::into_inner);
        *trouble = made.as_ref().err().cloned();
        made
    }

    fn copies(&self) -> Copies {
        let trouble = self.trouble.lock().unwrap_or_else(PoisonError::into_inner);
        let (copies, unread) = match self.backups.list() {
            Ok(copies) => (copies, None),
            Err(why) => (Vec::new(), Some(why)),
        };
        Copies {
            folder: self.backups.folder().to_owned(),
            copies,
            trouble: trouble.clone().or(unread),
        }
    }
}

/// The copies of the open book, as its page shows them; none for a book without a file.
pub(super) fn copies(shop: &Shop) -> Option<Copies> {
    shop.keeper.as_ref().map(|keeper| keeper.copies())
}

/// Makes copies when they are due, from now on and for as long as the program runs.
pub(super) async fn keep_copies(keeper: Arc<Keeper>, path: std::path::PathBuf) {
    let mut hours = tokio::time::interval(Duration::from_secs(EVERY_S));
    loop {
        hours.tick().await;
        let (keeper, path) = (keeper.clone(), path.clone());
        // A handle and a thread of its own: pages are answered while the copy is made.
        let work = tokio::task::spawn_blocking(move || {
            let made = keeper.keep(|backups| {
                let book = Book::open(&path).map_err(|error| error.to_string())?;
                backups.make_when_due(&book, now())
            });
            drop(made);
        });
        let _told_already = work.await;
    }
}

async fn copy_now(State(shop): State<Arc<Shop>>) -> Answer {
    let made = with_keeper(&shop)?.keep(|backups| backups.make(&shop.book, now()));
    listed(
        &shop,
        match made {
            Ok(_) => Words::done("A copy of the book was made, and found sound."),
            Err(why) => Words::not_done(why),
        },
    )
}

async fn restore(State(shop): State<Arc<Shop>>, Form(pairs): Form<Pairs>) -> Answer {
    let form = Fields(pairs);
    let backups = &with_keeper(&shop)?.backups;
    let restored = backups
        .find(form.need("copy")?)
        .and_then(|Copy { path, .. }| backups.restore_beside(&path, now()));
    let words = match restored {
        Ok((new, facts)) => Words::done(format!(
            "The copy is a book of its own now, with {} commissions and {} kits: {}. {UNPAIRED} The book that is open stays as it is. To work with the other one, end the program and start it again with: camberwright --book \"{}\"",
            facts.commissions,
            facts.kits,
            new.display(),
            new.display()
        )),
        Err(why) => Words::not_done(why),
    };
    listed(&shop, words)
}

fn with_keeper(shop: &Shop) -> Result<&Keeper, Trouble> {
    let keeper = shop.keeper.as_deref();
    keeper.ok_or_else(|| Trouble::NotThere("this book has no file, and no copies".into()))
}

impl Words {
    fn done(words: impl Into<String>) -> Self {
        Self {
            notice: Some(Notice::Done(words.into())),
            ..Self::default()
        }
    }
}
