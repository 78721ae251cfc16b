//! Addresses of the guide.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::IntoResponse;
use axum::routing::get;

use super::Shop;
use super::answer::{Answer, Trouble, page};
use super::book_routes::units_of;
use crate::guide;
use crate::pages::{guide_contents, guide_text};

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/guide", get(contents))
        .route("/guide/{name}", get(one))
        .route("/guide/pictures/{name}", get(picture))
}

async fn contents(State(shop): State<Arc<Shop>>) -> Answer {
    Ok(page(guide_contents(units_of(&shop)?)).into_response())
}

async fn one(State(shop): State<Arc<Shop>>, Path(name): Path<String>) -> Answer {
    let Some(text) = guide::page(&name) else {
        return Err(Trouble::NotThere(
            "the guide has no page of that name".into(),
        ));
    };
    Ok(page(guide_text(text, units_of(&shop)?)).into_response())
}

async fn picture(Path(name): Path<String>) -> Answer {
    let svg = name.strip_suffix(".svg").and_then(guide::picture);
    let Some(svg) = svg else {
        return Err(Trouble::NotThere(
            "the guide has no picture of that name".into(),
        ));
    };
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], svg).into_response())
}
