//! The pages served on this computer: loopback only, nothing from elsewhere, nothing to elsewhere.

mod answer;
mod book_routes;
mod carry_routes;
mod change;
mod commission_routes;
mod form;
mod gate;
mod guide_routes;
mod history_routes;
mod indoors;
mod kit_routes;
mod made_routes;
mod meanwhile;
mod play_routes;
mod readings_routes;
mod seed;
mod upload;
mod works;

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::get;
use book::Book;
use tokio::net::TcpListener;

use crate::backups::Backups;

pub use indoors::Indoors;
pub(crate) use seed::put_demo;

/// The port that is tried first.
const USUAL_PORT: u16 = 4747;

/// The largest form that is taken, bytes: a commission's text with room for its coding.
const FORM_LIMIT_BYTES: usize = 4 << 20;

/// How the pages are served.
pub struct Options {
    /// The book's file; the usual place when not given.
    pub book: Option<PathBuf>,
    /// Put the demo commissions and kit into a book that is empty.
    pub demo: bool,
    /// The port; the usual one, or a free one when that is taken, when not given.
    pub port: Option<u16>,
    /// Whether the browser is opened.
    pub browser: Browser,
}

/// Whether the browser is opened when the pages are ready.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Browser {
    /// It is opened at the book.
    Open,
    /// Only the address is printed.
    Leave,
}

/// What every request can reach.
pub(crate) struct Shop {
    pub book: Book,
    pub port: u16,
    /// What takes longer than a page may.
    pub works: works::Works,
    /// What keeps the copies of the book; nothing when it has no file.
    pub keeper: Option<Arc<carry_routes::Keeper>>,
}

/// Serves the pages until the program is ended.
///
/// # Errors
/// What is wrong, in words, when the book cannot be opened or no port can be had.
pub fn serve(options: &Options) -> Result<(), String> {
    let path = book_path(options.book.as_deref(), options.demo)?;
    let backups = Backups::of(&path);
    if let Err(why) = backups.make_before_upgrade(change::now()) {
        crate::terminal::say(&format!(
            "camberwright: no copy was made before the book is brought to the new format: {why}\n"
        ));
    }
    let book = Book::open(&path).map_err(|error| error.to_string())?;
    if options.demo {
        seed::put_demo(&book).map_err(|error| error.to_string())?;
    }
    // One thread serves one maker; sqlite answers in well under a millisecond.
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| format!("the server cannot start: {error}"))?;
    runtime.block_on(run(options, book, &path))
}

async fn run(options: &Options, book: Book, path: &std::path::Path) -> Result<(), String> {
    let listener = listen(options.port).await?;
    let address = listener.local_addr().map_err(|error| error.to_string())?;
    let keeper = Arc::new(carry_routes::Keeper::new(Backups::of(path)));
    tokio::spawn(carry_routes::keep_copies(keeper.clone(), path.to_owned()));
    let shop = Arc::new(Shop {
        book,
        port: address.port(),
        works: works::Works::default(),
        keeper: Some(keeper),
    });
    let home = format!("http://127.0.0.1:{}/book", address.port());
    crate::terminal::say(&format!(
        "The book {} is open at {home}\nEnd with Ctrl+C.\n",
        path.display()
    ));
    if options.browser == Browser::Open && open::that_detached(&home).is_err() {
        crate::terminal::say("No browser could be opened: open that address yourself.\n");
    }
    axum::serve(listener, router(shop))
        .with_graceful_shutdown(async {
            // Without a signal handler the program simply ends: every change is stored already.
            let _no_handler = tokio::signal::ctrl_c().await;
        })
        .await
        .map_err(|error| format!("the server stopped: {error}"))
}

async fn listen(port: Option<u16>) -> Result<TcpListener, String> {
    let at = |port: u16| SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    if let Some(port) = port {
        return TcpListener::bind(at(port)).await.map_err(|error| {
            format!("port {port} on this computer cannot be had: {error}; leave --port away to take a free one")
        });
    }
    if let Ok(listener) = TcpListener::bind(at(USUAL_PORT)).await {
        return Ok(listener);
    }
    TcpListener::bind(at(0))
        .await
        .map_err(|error| format!("no port can be had: {error}"))
}

/// Where the book lies: as asked, or in the user's own data folder.
pub(crate) fn book_path(book: Option<&std::path::Path>, demo: bool) -> Result<PathBuf, String> {
    if let Some(path) = book {
        return Ok(path.to_owned());
    }
    let name = if demo {
        "demo.camberbook"
    } else {
        "shop.camberbook"
    };
    let folder = std::env::var_os("XDG_DATA_HOME")
        .map(PathBuf::from)
        .filter(|path| path.is_absolute())
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/share")))
        .or_else(|| std::env::var_os("APPDATA").map(PathBuf::from))
        .ok_or("no folder for the book is known: name its file with --book")?;
    Ok(folder.join("camberwright").join(name))
}

pub(crate) fn router(shop: Arc<Shop>) -> Router {
    Router::new()
        .route("/", get(book_routes::home))
        .route("/assets/style.css", get(answer::style))
        .route("/assets/follow.js", get(answer::script))
        .route("/assets/icon.svg", get(answer::icon))
        .merge(book_routes::routes())
        .merge(carry_routes::routes())
        .merge(history_routes::routes())
        .merge(guide_routes::routes())
        .merge(readings_routes::routes())
        .merge(play_routes::routes())
        .merge(made_routes::routes())
        .merge(works::routes())
        .merge(commission_routes::routes())
        .merge(kit_routes::routes())
        .fallback(answer::nothing_here)
        .layer(DefaultBodyLimit::max(FORM_LIMIT_BYTES))
        .layer(middleware::from_fn_with_state(shop.clone(), gate::gate))
        .with_state(shop)
}
