//! Addresses of a kit.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use bench::{KIT_KEYS, read_kit};
use book::{EntryId, Kind};

use super::Shop;
use super::answer::{Answer, Trouble, go, page};
use super::book_routes::units_of;
use super::change::{Outcome, set_value, store, store_text, undo_or_redo};
use super::form::Fields;
use crate::edit;
use crate::pages::{KitView, Notice, kit_page};

type Pairs = Form<Vec<(String, String)>>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/kit/{id}", get(show))
        .route("/kit/{id}/{action}", post(act))
}

async fn show(State(shop): State<Arc<Shop>>, Path(id): Path<i64>) -> Answer {
    shown(&shop, EntryId(id), None, None)
}

fn shown(shop: &Shop, id: EntryId, notice: Option<Notice>, kept_text: Option<String>) -> Answer {
    let entry = shop.book.entry(id)?;
    if entry.kind != Kind::Kit {
        return Err(Trouble::NotThere("that entry is no kit".into()));
    }
    let faults = read_kit(&entry.text).err().unwrap_or_default();
    let view = KitView {
        entry,
        faults,
        units: units_of(shop)?,
        notice,
        kept_text,
    };
    Ok(page(kit_page(&view)).into_response())
}

async fn act(
    State(shop): State<Arc<Shop>>,
    Path((id, action)): Path<(i64, String)>,
    Form(pairs): Pairs,
) -> Answer {
    let (id, form) = (EntryId(id), Fields(pairs));
    let outcome = match action.as_str() {
        "set" => set_value(&shop.book, id, &KIT_KEYS, &form)?,
        "add" | "take" => change_list(&shop, id, &action, &form)?,
        "text" => {
            let entry = shop.book.entry(id)?;
            let text = form.need("text")?.replace("\r\n", "\n");
            if form.based_on()? != entry.revision && text != entry.text {
                let words = "another window changed this kit meanwhile. Your text is below, not stored yet: storing it now sets it over the other change, which stays in the history.";
                return shown(&shop, id, Some(Notice::NotDone(words.into())), Some(text));
            }
            store_text(&shop.book, &entry, &text, "as text")?
        }
        "undo" | "redo" => undo_or_redo(&shop.book, id, &action)?,
        _ => return Err(Trouble::NotThere("a kit has no such action".into())),
    };
    match outcome {
        Outcome::Stored | Outcome::Same => go(&format!("/kit/{id}")),
        Outcome::NotStored(words) => shown(&shop, id, Some(Notice::NotDone(words)), None),
    }
}

/// A cutter to begin from; its limits are to be set to what its maker states.
const FRESH_CUTTER: &str = "{ name = \"6 mm ball\", shape = \"ball\", diameter = \"6 mm\", flutes = 2, \
    reach = \"20 mm\", pass = \"2 mm\", rpm = 16000, feed = 1600, plunge = 500, \
    chip_least = \"0.02 mm\", chip_most = \"0.08 mm\" }";

fn change_list(shop: &Shop, id: EntryId, action: &str, form: &Fields) -> Result<Outcome, Trouble> {
    let path = form.need("path")?;
    let entry = shop.book.entry(id)?;
    if action == "take" {
        if form.based_on()? != entry.revision {
            return Ok(Outcome::NotStored(
                "another window changed this kit meanwhile; look at the list again before taking away".into(),
            ));
        }
        let edited = edit::take_away(&entry.text, path);
        return store(&shop.book, &entry, edited, &format!("{path} taken away"));
    }
    let fresh = match path {
        "blocks" => "{ radius = \"12 in\", length = \"200 mm\", width = \"70 mm\" }",
        "beams" => "{ length = \"460 mm\", width = \"60 mm\" }",
        "gauges" => "\"12 in\"",
        "abrasives" => "\"P120\"",
        "cutters" => FRESH_CUTTER,
        _ => return Err(Trouble::NotThere("a kit has no such list".into())),
    };
    store(
        &shop.book,
        &entry,
        edit::add(&entry.text, &KIT_KEYS, path, fresh),
        &format!("one more in {path}"),
    )
}
