//! The pages served on this computer: on loopback, and bench mode on the shop's network while the
//! maker opens it; nothing from elsewhere, nothing to elsewhere.

mod answer;
mod book_routes;
mod carry_routes;
mod chance;
mod change;
mod commission_routes;
mod form;
mod gate;
mod guide_routes;
mod history_routes;
mod indoors;
mod kit_routes;
mod line;
mod made_routes;
mod meanwhile;
mod play_routes;
mod rate;
mod readings_routes;
mod seed;
mod tablet;
mod upload;
mod works;

use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use axum::routing::get;
use book::{Book, BookError, EntryId};
use drawing::pictures::Pointed;
use tokio::net::TcpListener;

use crate::backups::Backups;
use crate::known::Known;
use crate::standing::Standings;
use crate::view::View;

pub use indoors::Indoors;
pub use line::Limits;
pub use rate::Rate;
pub(crate) use seed::put_demo;
use tablet::Tablet;
pub use tablet::TabletOptions;

/// The port that is tried first.
const USUAL_PORT: u16 = 4747;

/// The largest form that is taken, bytes: a commission's text with room for its coding.
const FORM_LIMIT_BYTES: usize = 4 << 20;

/// The largest form of readings that is taken, bytes: the book's own limit with room for coding.
const READINGS_LIMIT_BYTES: usize = 3 * book::MAX_READINGS_BYTES;

/// How the pages are served.
pub struct Options {
    /// The book's file; the usual place when not given.
    pub book: Option<PathBuf>,
    /// Put the demo commissions and kit into a book that is empty.
    pub demo: bool,
    /// The port; the usual one, or a free one when that is taken, when not given.
    pub port: Option<u16>,
    /// What the listener on this computer puts up with.
    pub limits: Limits,
    /// How the bench is opened to tablets, when the maker opens it.
    pub tablet: TabletOptions,
}

/// What stands open when the pages are ready.
pub struct Ready<'a> {
    /// The book's file.
    pub book: &'a Path,
    /// The port on this computer.
    pub port: u16,
    /// The address of the book's page.
    pub home: String,
}

/// What every request can reach.
pub(crate) struct Shop {
    pub book: Arc<Book>,
    pub tablet: Arc<Tablet>,
    /// By which listener the request came.
    pub side: Side,
    /// The names by which that listener may be asked, with its port.
    pub hosts: Vec<String>,
    /// What that listener puts up with.
    pub limits: Limits,
    /// What takes longer than a page may.
    pub works: works::Works,
    /// Figures that were worked out lately.
    pub known: Arc<Known>,
    /// Where each instrument stands, as far as it was worked out.
    pub standings: Standings,
    /// What keeps the copies of the book; nothing when it has no file.
    pub keeper: Option<Arc<carry_routes::Keeper>>,
}

impl Shop {
    /// What the maker's own listener reaches, at a port of this computer.
    fn of_maker(book: Book, port: u16, tablet: TabletOptions) -> Self {
        Self {
            book: Arc::new(book),
            tablet: Arc::new(Tablet::new(tablet)),
            side: Side::Maker,
            hosts: ["127.0.0.1", "localhost", "[::1]"]
                .map(|name| format!("{name}:{port}"))
                .to_vec(),
            limits: Limits::MAKER,
            works: works::Works::default(),
            known: Arc::default(),
            standings: Standings::default(),
            keeper: None,
        }
    }

    /// A commission as its pages show it.
    fn view(&self, id: EntryId, pointed: Pointed) -> Result<View, BookError> {
        self.trying(id, pointed, None)
    }

    /// A commission as its pages would show it with a text that is not stored.
    fn trying(
        &self,
        id: EntryId,
        pointed: Pointed,
        text: Option<String>,
    ) -> Result<View, BookError> {
        View::load(&self.book, &self.known, id, pointed, text)
    }
}

/// The two listeners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    /// On this computer only, for the maker: everything.
    Maker,
    /// On the shop's network while it is open, for paired tablets: bench mode.
    Tablet,
}

/// Serves the pages until the program is ended; `ready` is told once when they can be asked for.
///
/// # Errors
/// What is wrong, in words, when the book cannot be opened or no port can be had.
pub fn serve(options: &Options, ready: impl FnOnce(&Ready)) -> Result<(), String> {
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
    runtime.block_on(run(options, book, &path, ready))
}

async fn run(
    options: &Options,
    book: Book,
    path: &Path,
    ready: impl FnOnce(&Ready),
) -> Result<(), String> {
    let listener = listen(options.port).await?;
    let address = listener.local_addr().map_err(|error| error.to_string())?;
    let port = address.port();
    let keeper = Arc::new(carry_routes::Keeper::new(Backups::of(path)));
    tokio::spawn(carry_routes::keep_copies(keeper.clone(), path.to_owned()));
    let shop = Arc::new(Shop {
        limits: options.limits,
        keeper: Some(keeper),
        ..Shop::of_maker(book, port, options.tablet)
    });
    ready(&Ready {
        book: path,
        port,
        home: format!("http://127.0.0.1:{port}/book"),
    });
    let ended = async {
        // Without a signal handler the program simply ends: every change is stored already.
        let _no_handler = tokio::signal::ctrl_c().await;
    };
    line::attend(listener, router(shop), options.limits, ended).await;
    Ok(())
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
        .route("/assets/outbox.js", get(answer::outbox))
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
        .merge(tablet::routes())
        .fallback(answer::nothing_here)
        .layer(DefaultBodyLimit::max(FORM_LIMIT_BYTES))
        .layer(middleware::from_fn_with_state(shop.clone(), gate::gate))
        .with_state(shop)
}
