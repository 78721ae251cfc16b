//! Addresses of a kit.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use bench::{KIT_KEYS, read_kit};
use book::{EntryId, Kind};

use super::Shop;
use super::answer::{Answer, Trouble, go, page};
use super::book_routes::units_of;
use super::change::{
    Outcome, add_entry, mend_address, set_text, set_value, take_entry, undo_or_redo,
};
use super::form::Fields;
use super::meanwhile::{merged_address, merged_notice};
use crate::pages::{Clash, KitView, Notice, kit_page};
use crate::view::Mend;

type Pairs = Form<Vec<(String, String)>>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/kit/{id}", get(show))
        .route("/kit/{id}/{action}", post(act))
}

async fn show(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Vec<(String, String)>>,
) -> Answer {
    let entry = shop.book.entry(EntryId(id))?;
    let fields = Fields(pairs);
    let notice = merged_notice(&shop.book, &entry, &fields)?;
    let words = Words {
        notice,
        mend: fields.get("mend").map(Mend::at),
        ..Words::default()
    };
    shown(&shop, EntryId(id), words)
}

/// What a kit's page says and keeps besides the kit.
#[derive(Default)]
struct Words {
    notice: Option<Notice>,
    mend: Option<Mend>,
    clash: Option<Clash>,
    kept_text: Option<String>,
}

fn shown(shop: &Shop, id: EntryId, words: Words) -> Answer {
    let entry = shop.book.entry(id)?;
    if entry.kind != Kind::Kit {
        return Err(Trouble::NotThere("that entry is no kit".into()));
    }
    let faults = read_kit(&entry.text).err().unwrap_or_default();
    let is_open = |mend: &Mend| mend.refused.is_some() || !faults.is_empty();
    let mend = words.mend.filter(is_open);
    let view = KitView {
        entry,
        faults,
        units: units_of(shop)?,
        notice: words.notice,
        mend,
        clash: words.clash,
        kept_text: words.kept_text,
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
        "text" => set_text(&shop.book, id, &KIT_KEYS, &form)?,
        "undo" | "redo" => undo_or_redo(&shop.book, id, &action, &form)?,
        _ => return Err(Trouble::NotThere("a kit has no such action".into())),
    };
    match outcome {
        Outcome::Stored | Outcome::Same => {
            let mend = mend_address(&shop.book, id, &form, |text| {
                read_kit(text).err().unwrap_or_default()
            })?;
            let mend = mend.map(|mend| format!("?{mend}")).unwrap_or_default();
            go(&format!("/kit/{id}{mend}"))
        }
        Outcome::Merged(merged) => go(&format!("/kit/{id}?{}", merged_address(merged))),
        Outcome::Refused { field, words } => {
            let typed = form.get("value").unwrap_or_default().to_owned();
            let words = Words {
                mend: Some(Mend {
                    refused: Some((typed, words.clone())),
                    field,
                }),
                notice: Some(Notice::NotDone(words)),
                ..Words::default()
            };
            shown(&shop, id, words)
        }
        Outcome::NotStored(words) => shown(
            &shop,
            id,
            Words {
                notice: Some(Notice::NotDone(words)),
                ..Words::default()
            },
        ),
        Outcome::Clash(clash) => shown(
            &shop,
            id,
            Words {
                clash: Some(clash),
                ..Words::default()
            },
        ),
        Outcome::TextClash(text, clash) => shown(
            &shop,
            id,
            Words {
                clash: Some(clash),
                kept_text: Some(text),
                ..Words::default()
            },
        ),
    }
}

/// A cutter to begin from; its limits are to be set to what its maker states.
const FRESH_CUTTER: &str = "{ name = \"6 mm ball\", shape = \"ball\", diameter = \"6 mm\", flutes = 2, \
    reach = \"20 mm\", pass = \"2 mm\", rpm = 16000, feed = 1600, plunge = 500, \
    chip_least = \"0.02 mm\", chip_most = \"0.08 mm\" }";

fn change_list(shop: &Shop, id: EntryId, action: &str, form: &Fields) -> Result<Outcome, Trouble> {
    if action == "take" {
        return take_entry(&shop.book, id, form);
    }
    let path = form.need("path")?;
    let fresh = match path {
        "blocks" => "{ radius = \"12 in\", length = \"200 mm\", width = \"70 mm\" }",
        "beams" => "{ length = \"460 mm\", width = \"60 mm\" }",
        "gauges" => "\"12 in\"",
        "abrasives" => "\"P120\"",
        "straightedges" => "\"500 mm\"",
        "dials" => "{ chord = \"40 mm\", resolution = \"0.01 mm\" }",
        "cutters" => FRESH_CUTTER,
        _ => return Err(Trouble::NotThere("a kit has no such list".into())),
    };
    let what = format!("one more in {path}");
    add_entry(&shop.book, id, &KIT_KEYS, form, fresh, &what)
}
