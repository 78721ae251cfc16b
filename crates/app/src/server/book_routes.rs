//! Addresses of the book: its list, new entries, putting away.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use book::{BookError, EntryId, EntrySummary, Kind};

use super::Shop;
use super::answer::{Answer, Trouble, go, page};
use super::change::now;
use super::form::Fields;
use crate::edit::title_of;
use crate::find::{Wanted, find};
use crate::pages::{BookPage, Listed, Notice, book_page};
use crate::show::Units;
use crate::starts::{STARTS, start};

/// A kit with nothing in it yet.
const PLAIN_KIT: &str = "camberwright_kit = 1\ntitle = \"New kit\"\nblocks = []\nbeams = []\ngauges = []\nabrasives = []\nsmallest_light = \"0.02 mm\"\n";

type Pairs = Form<Vec<(String, String)>>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/book", get(list))
        .route("/book/new", post(new))
        .route("/book/{action}", post(entry_action))
        .route("/units", post(units))
}

pub(super) async fn home() -> Answer {
    go("/book")
}

/// The units in which the book shows lengths.
pub(super) fn units_of(shop: &Shop) -> Result<Units, BookError> {
    Ok(Units::from_name(
        shop.book.setting("length unit")?.as_deref().unwrap_or("mm"),
    ))
}

async fn list(State(shop): State<Arc<Shop>>, Query(pairs): Query<Vec<(String, String)>>) -> Answer {
    let fields = Fields(pairs);
    let wanted = Wanted {
        words: fields.get("find").unwrap_or("").chars().take(200).collect(),
        tag: fields.get("tag").map(str::to_owned),
    };
    let words = Words {
        wanted,
        ..Words::default()
    };
    listed(&shop, words)
}

/// What the page says, keeps and looks for besides the book.
#[derive(Default)]
pub(super) struct Words {
    pub notice: Option<Notice>,
    pub kept_text: Option<String>,
    pub wanted: Wanted,
}

impl Words {
    pub fn not_done(words: impl Into<String>) -> Self {
        Self {
            notice: Some(Notice::NotDone(words.into())),
            ..Self::default()
        }
    }
}

pub(super) fn listed(shop: &Shop, words: Words) -> Answer {
    let book = &shop.book;
    let kits = book.entries(Kind::Kit)?;
    let units = units_of(shop)?;
    let content = BookPage {
        commissions: listed_commissions(shop, &kits, units)?,
        kits,
        tags: book.all_tags()?,
        found: match words.wanted.is_anything() {
            true => find(book, &words.wanted)?,
            false => Vec::new(),
        },
        wanted: words.wanted,
        copies: super::carry_routes::copies(shop),
        units,
        notice: words.notice,
        kept_text: words.kept_text,
    };
    Ok(page(book_page(&content)).into_response())
}

/// The commissions with their kits, and where each one that is not put away stands.
fn listed_commissions(
    shop: &Shop,
    kits: &[EntrySummary],
    units: Units,
) -> Result<Vec<Listed>, BookError> {
    let book = &shop.book;
    let listed = |entry: EntrySummary| {
        let chosen = kits.iter().find(|each| Some(each.id) == entry.kit);
        let told = match entry.put_away {
            true => None,
            false => Some(shop.standings.of(book, &entry, chosen, units)?),
        };
        Ok(Listed { entry, told })
    };
    let commissions = book.entries(Kind::Commission)?;
    commissions.into_iter().map(listed).collect()
}

async fn new(State(shop): State<Arc<Shop>>, Form(pairs): Pairs) -> Answer {
    let form = Fields(pairs);
    let typed_title = form.get("title").unwrap_or("").trim().to_owned();
    match form.get("start") {
        Some("text") => from_text(&shop, &form, &typed_title),
        Some("kit") => create(&shop, Kind::Kit, PLAIN_KIT, &typed_title, "New kit"),
        named => {
            let start = named.and_then(start).unwrap_or(STARTS[0]);
            create(
                &shop,
                Kind::Commission,
                start.text,
                &typed_title,
                "New commission",
            )
        }
    }
}

/// A pasted text is taken in even with faults: nothing typed is lost. What kind it is, its
/// version key says.
fn from_text(shop: &Shop, form: &Fields, typed_title: &str) -> Answer {
    let text = form.get("text").unwrap_or("").replace("\r\n", "\n");
    if text.trim().is_empty() {
        let words = "nothing was pasted; paste a commission or kit file, or choose another start";
        return listed(shop, Words::not_done(words));
    }
    let kind = if text.contains("camberwright_kit") {
        Kind::Kit
    } else {
        Kind::Commission
    };
    create(shop, kind, &text, typed_title, "from a pasted text")
}

fn create(shop: &Shop, kind: Kind, text: &str, typed_title: &str, what: &str) -> Answer {
    let keys = match kind {
        Kind::Kit => &bench::KIT_KEYS,
        Kind::Commission => &instrument::COMMISSION_KEYS,
    };
    let titled = match typed_title {
        "" => text.to_owned(),
        title => crate::edit::set(text, keys, "title", title).unwrap_or_else(|_| text.to_owned()),
    };
    let title = title_of(&titled).unwrap_or_else(|| "without a title".into());
    match shop.book.create(kind, &title, &titled, what, now()) {
        Ok(id) => {
            if kind == Kind::Commission {
                give_only_kit(shop, id)?;
            }
            go(&entry_address(kind, id))
        }
        Err(error @ (BookError::TextTooLong { .. } | BookError::TooLong { .. })) => {
            let words = Words {
                kept_text: Some(titled),
                ..Words::not_done(error.to_string())
            };
            listed(shop, words)
        }
        Err(error) => Err(error.into()),
    }
}

/// A shop with a single kit plans with it from the start.
fn give_only_kit(shop: &Shop, commission: EntryId) -> Result<(), BookError> {
    let kits: Vec<_> = shop
        .book
        .entries(Kind::Kit)?
        .into_iter()
        .filter(|kit| !kit.put_away)
        .collect();
    if let [only] = kits.as_slice() {
        shop.book.set_kit(commission, Some(only.id), now())?;
    }
    Ok(())
}

fn entry_address(kind: Kind, id: EntryId) -> String {
    match kind {
        Kind::Commission => format!("/commission/{id}/wish"),
        Kind::Kit => format!("/kit/{id}"),
    }
}

async fn entry_action(
    State(shop): State<Arc<Shop>>,
    Path(action): Path<String>,
    Form(pairs): Pairs,
) -> Answer {
    let form = Fields(pairs);
    let id = form.entry("entry")?;
    match action.as_str() {
        "tag" => return put_on_tag(&shop, id, form.need("tag")?),
        "untag" => shop.book.take_off_tag(id, form.need("tag")?, now())?,
        "put-away" => shop.book.put_away(id, now())?,
        "take-out" => shop.book.take_out(id, now())?,
        "copy" => return copy(&shop, id),
        _ => return Err(Trouble::NotThere("the book has no such action".into())),
    }
    go("/book")
}

fn put_on_tag(shop: &Shop, id: EntryId, tag: &str) -> Answer {
    match shop.book.put_on_tag(id, tag, now()) {
        Ok(_) => go("/book"),
        Err(
            error @ (BookError::Empty { .. }
            | BookError::TooLong { .. }
            | BookError::BadTag { .. }
            | BookError::TooManyTags { .. }),
        ) => listed(shop, Words::not_done(error.to_string())),
        Err(error) => Err(error.into()),
    }
}

fn copy(shop: &Shop, id: EntryId) -> Answer {
    let entry = shop.book.entry(id)?;
    let title: String = format!("{}, copy", entry.title)
        .chars()
        .take(book::MAX_TITLE_CHARS)
        .collect();
    let keys = match entry.kind {
        Kind::Kit => &bench::KIT_KEYS,
        Kind::Commission => &instrument::COMMISSION_KEYS,
    };
    let text = crate::edit::set(&entry.text, keys, "title", &title).unwrap_or(entry.text);
    let made = shop.book.create(
        entry.kind,
        &title,
        &text,
        &format!("copied from {}", entry.title)
            .chars()
            .take(200)
            .collect::<String>(),
        now(),
    )?;
    for tag in shop.book.tags(id)? {
        shop.book.put_on_tag(made, &tag, now())?;
    }
    if let (Kind::Commission, Some(kit)) = (entry.kind, entry.kit) {
        shop.book.set_kit(made, Some(kit), now())?;
    }
    go(&entry_address(entry.kind, made))
}

async fn units(State(shop): State<Arc<Shop>>, Form(pairs): Pairs) -> Answer {
    let form = Fields(pairs);
    let units = Units::from_name(form.get("unit").unwrap_or("mm"));
    shop.book.set_setting("length unit", units.name(), now())?;
    // Only a place of these pages is gone back to.
    let back = form
        .get("back")
        .filter(|back| back.starts_with('/') && !back.starts_with("//"));
    go(back.unwrap_or("/book"))
}

/// A page that could not be made for want of sense in its address.
pub(super) fn no_such_page() -> Response {
    Trouble::NotThere("a commission has no such page".into()).into_response()
}
