//! Addresses of an entry's history: its moments, the way back to one, and two beside each other.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use book::{Entry, EntryId, Kind, RevisionId};

use super::Shop;
use super::answer::{Answer, Trouble, go, page};
use super::book_routes::units_of;
use super::change::now;
use super::form::Fields;
use crate::pages::{Compared, Side, compare_page, history_page};
use crate::view::{chosen_kit, logged_stages};

type Pairs = Vec<(String, String)>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/commission/{id}/history", get(history))
        .route("/kit/{id}/history", get(history))
        .route("/commission/{id}/compare", get(compare))
        .route("/kit/{id}/compare", get(compare))
        .route("/commission/{id}/go-to", post(go_to))
        .route("/kit/{id}/go-to", post(go_to))
}

async fn history(State(shop): State<Arc<Shop>>, Path(id): Path<i64>) -> Answer {
    let id = EntryId(id);
    let entry = shop.book.entry(id)?;
    let moments = shop.book.history(id)?;
    Ok(page(history_page(&entry, &moments, units_of(&shop)?)).into_response())
}

async fn go_to(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(pairs): Form<Pairs>,
) -> Answer {
    let entry = shop.book.entry(EntryId(id))?;
    let revision = moment_asked(&Fields(pairs), "revision")?
        .ok_or_else(|| Trouble::Bad("the form names no moment".into()))?;
    shop.book.go_to(entry.id, revision, now())?;
    match entry.kind {
        Kind::Commission => go(&format!("/commission/{id}/history")),
        Kind::Kit => go(&format!("/kit/{id}/history")),
    }
}

/// Two moments, the present where none is named.
async fn compare(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let fields = Fields(pairs);
    let entry = shop.book.entry(EntryId(id))?;
    let side = |name: &str| -> Result<Side, Trouble> {
        let revision = moment_asked(&fields, name)?.unwrap_or(entry.revision);
        side(&shop, &entry, revision)
    };
    let compared = Compared {
        then: side("then")?,
        now: side("now")?,
        entry: &entry,
        moments: &shop.book.history(entry.id)?,
        units: units_of(&shop)?,
    };
    Ok(page(compare_page(&compared)).into_response())
}

fn moment_asked(fields: &Fields, name: &str) -> Result<Option<RevisionId>, Trouble> {
    let Some(number) = fields.get(name) else {
        return Ok(None);
    };
    let number = number.parse();
    number
        .map(|number| Some(RevisionId(number)))
        .map_err(|_| Trouble::Bad(format!("\"{name}\" is no number of a moment")))
}

/// A moment with its figures, worked out with the kit and the stages of the present.
fn side(shop: &Shop, entry: &Entry, revision: RevisionId) -> Result<Side, Trouble> {
    let moment = shop.book.moment(entry.id, revision)?;
    let figures = match entry.kind {
        Kind::Kit => None,
        Kind::Commission => {
            let kit = chosen_kit(&shop.book, entry)?;
            let logs = logged_stages(&shop.book)?;
            let planned = kit.as_ref().and_then(|chosen| chosen.planned(&logs));
            shop.known.figures(&moment.text, planned).ok()
        }
    };
    Ok(Side {
        revision,
        moment,
        figures,
    })
}
