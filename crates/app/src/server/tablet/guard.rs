//! Who is let in at the second listener: paired tablets, and strangers as far as pairing.

use std::net::SocketAddr;
use std::time::Duration;

use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

use super::paired::{self, Paired};
use super::{Shop, Tablet};
use crate::pages::tablet_trouble_page;
use crate::server::answer::{Said, Trouble, page};
use crate::server::change::now;
use crate::server::line::Peer;

/// The answer to a request that is not let in; one that is let in carries its [`Paired`] along.
pub(in crate::server) fn refused_at_bench(shop: &Shop, request: &mut Request) -> Option<Response> {
    let (tablet, now) = (&shop.tablet, now());
    let paired = match known(shop, request.headers(), now) {
        Ok(paired) => paired,
        Err(trouble) => return Some(trouble.into_response()),
    };
    let peer = request.extensions().get::<Peer>().map(|peer| peer.0);
    let asker = peer.unwrap_or(SocketAddr::from(([0, 0, 0, 0], 0))).ip();
    let id = paired.as_ref().map(|paired| paired.id.as_str());
    if let Err(wait) = tablet.may_ask(id, asker) {
        return Some(too_often(wait));
    }
    let Some(paired) = paired else {
        let is_open = is_for_strangers(request.uri().path());
        return (!is_open).then(|| not_paired(request));
    };
    if !tablet.used(now) {
        return Some(closed());
    }
    if let Err(error) = paired::seen(&shop.book, &paired, now) {
        return Some(Trouble::from(error).into_response());
    }
    request.extensions_mut().insert(paired);
    None
}

/// What pairing needs: its page, and how pages look.
fn is_for_strangers(path: &str) -> bool {
    matches!(path, "/pair") || path.starts_with("/assets/")
}

/// The tablet whose secret the request carries.
fn known(shop: &Shop, headers: &HeaderMap, now: i64) -> Result<Option<Paired>, Trouble> {
    let Some(secret) = secret_of(&shop.tablet, headers) else {
        return Ok(None);
    };
    Ok(paired::by_secret(&shop.book, &secret, now)?)
}

/// Cookies know no ports: two programs on one computer tell theirs apart by name.
fn cookie_name(tablet: &Tablet) -> String {
    let port = tablet.state().open.as_ref().map(|open| open.address.port());
    format!("camberwright_bench_{}", port.unwrap_or_default())
}

fn secret_of(tablet: &Tablet, headers: &HeaderMap) -> Option<String> {
    let name = cookie_name(tablet);
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, secret)| secret.to_owned())
}

/// The header that gives a tablet its secret: no script reads it, and no other site sends it.
pub(super) fn cookie(tablet: &Tablet, secret: &str, lasts: i64) -> Result<HeaderValue, Trouble> {
    let name = cookie_name(tablet);
    let text = format!("{name}={secret}; Path=/; HttpOnly; SameSite=Strict; Max-Age={lasts}");
    HeaderValue::from_str(&text)
        .map_err(|_| Trouble::Here("the tablet's secret fits no header".into()))
}

fn not_paired(request: &Request) -> Response {
    if request.method() == Method::GET && request.uri().path() == "/" {
        return Redirect::to("/pair").into_response();
    }
    let words = "This tablet is not paired, or no longer. What waits on it is kept: pair it again, and it is sent.";
    refusal(
        StatusCode::FORBIDDEN,
        "Not paired",
        words,
        "Pair this tablet",
        "/pair",
    )
}

fn closed() -> Response {
    let words = "The maker's computer has closed the bench to tablets. What waits here is kept, and sent when it is opened again.";
    refusal(
        StatusCode::SERVICE_UNAVAILABLE,
        "Closed",
        words,
        "Try again",
        "/",
    )
}

fn too_often(wait: Duration) -> Response {
    let seconds = wait.as_secs_f64().ceil().max(1.0);
    let words =
        format!("So many requests are more than a hand makes: wait {seconds} s and try again.");
    let mut answer = refusal(
        StatusCode::TOO_MANY_REQUESTS,
        "Too often",
        &words,
        "Try again",
        "/",
    );
    let value = HeaderValue::from_str(&seconds.to_string());
    let value = value.unwrap_or(HeaderValue::from_static("60"));
    answer.headers_mut().insert(header::RETRY_AFTER, value);
    answer
}

pub(super) fn refusal(
    status: StatusCode,
    title: &str,
    words: &str,
    way_out: &str,
    way: &str,
) -> Response {
    (
        status,
        page(tablet_trouble_page(title, words, way_out, way)),
    )
        .into_response()
}

/// What the maker's pages say when something went wrong, said on a tablet's page.
pub(in crate::server) fn in_tablet_words(mut answer: Response) -> Response {
    match answer.extensions_mut().remove::<Said>() {
        Some(said) => refusal(
            said.status,
            said.title,
            &said.words,
            "Back to the bench",
            "/",
        ),
        None => answer,
    }
}
