//! All addresses that the second listener knows: pairing, and bench mode. What is not here cannot
//! be asked for by a tablet.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use axum::routing::{get, post};
use axum::{Router, middleware};
use book::Kind;

use super::guard::{cookie, refusal};
use super::invitation::Standing;
use super::paired::{Paired, pair, plain_name};
use crate::pages::{choose_page, pair_page};
use crate::server::answer::{self, Answer, Trouble, go, page};
use crate::server::change::now;
use crate::server::form::Fields;
use crate::server::{Shop, commission_routes, gate, readings_routes};

type Pairs = Vec<(String, String)>;

pub(in crate::server) fn router(shop: Arc<Shop>) -> Router {
    Router::new()
        .route("/", get(choose))
        .route("/pair", get(ask).post(answered))
        .route("/assets/style.css", get(answer::style))
        .route("/assets/follow.js", get(answer::script))
        .route("/assets/outbox.js", get(answer::outbox))
        .route("/assets/icon.svg", get(answer::icon))
        .route("/commission/{id}/bench", get(readings_routes::bench))
        .route("/commission/{id}/reading", post(reading))
        .route("/commission/{id}/stage-done", post(stage_done))
        .fallback(nothing_for_tablets)
        .method_not_allowed_fallback(nothing_for_tablets)
        .layer(middleware::from_fn_with_state(shop.clone(), gate::gate))
        .with_state(shop)
}

async fn nothing_for_tablets() -> impl IntoResponse {
    let words = "A tablet shows bench mode, takes readings and logs stages. Everything else is done on the maker's own computer.";
    refusal(
        StatusCode::FORBIDDEN,
        "Not at the bench",
        words,
        "Back to the bench",
        "/",
    )
}

/// The commissions on the bench: those that are not put away.
async fn choose(State(shop): State<Arc<Shop>>, Extension(paired): Extension<Paired>) -> Answer {
    let commissions = shop.book.entries(Kind::Commission)?;
    let out: Vec<_> = commissions
        .into_iter()
        .filter(|entry| !entry.put_away)
        .collect();
    Ok(page(choose_page(&out, &paired.name, paired.ends_at)).into_response())
}

async fn ask(Query(pairs): Query<Pairs>) -> Answer {
    let fields = Fields(pairs);
    Ok(page(pair_page(fields.get("with"), "Tablet", None)).into_response())
}

async fn answered(State(shop): State<Arc<Shop>>, Form(pairs): Form<Pairs>) -> Answer {
    let form = Fields(pairs);
    let name = plain_name(form.get("name").unwrap_or_default());
    let said = match (form.get("with"), form.get("code")) {
        (Some(secret), _) => secret.to_owned(),
        (None, Some(code)) => code.chars().filter(char::is_ascii_digit).collect(),
        (None, None) => return Err(Trouble::Bad("the form brings no code".into())),
    };
    let Some(lasts) = shop.tablet.state().standing.answer(&said, now()) else {
        let words = "this code does not hold: it is wrong, or was used, or is too old. Ask for another one on the maker's screen";
        let again = page(pair_page(None, &name, Some(words)));
        return Ok((StatusCode::FORBIDDEN, again).into_response());
    };
    let secret = pair(&shop.book, &name, now(), lasts).map_err(Trouble::Here)?;
    let cookie = cookie(&shop.tablet, &secret, lasts)?;
    let mut state = shop.tablet.state();
    state.standing = Standing::Used(name);
    drop(state);
    let _closed_meanwhile = shop.tablet.used(now());
    let mut answer = go("/")?;
    answer.headers_mut().insert(header::SET_COOKIE, cookie);
    Ok(answer)
}

/// A tablet's forms come from bench mode, and their answers lead back there.
fn from_bench(form: &Pairs) -> Result<(), Trouble> {
    let is_from_bench = form.iter().any(|(name, _)| name == "bench");
    is_from_bench
        .then_some(())
        .ok_or_else(|| Trouble::Bad("the form does not say at which stage it was filled in".into()))
}

async fn reading(shop: State<Arc<Shop>>, id: Path<i64>, Form(form): Form<Pairs>) -> Answer {
    from_bench(&form)?;
    readings_routes::one(shop, id, Form(form)).await
}

async fn stage_done(
    shop: State<Arc<Shop>>,
    Path(id): Path<i64>,
    Form(form): Form<Pairs>,
) -> Answer {
    from_bench(&form)?;
    commission_routes::act(shop, Path((id, "stage-done".to_owned())), Form(form)).await
}
