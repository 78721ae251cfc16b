//! The gate: who may ask, and what every answer carries along.
//!
//! The maker's listener is on loopback. A web site open in the same browser could still send
//! requests there, or point a name of its own at this computer; so the host named must be this
//! one, and a request that changes something must come from these pages. The listener for tablets
//! asks the same, and lets only paired ones in.

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use tokio::time::timeout;

use super::carry_routes::{BRING, BRING_LIMIT_BYTES};
use super::tablet::{in_tablet_words, refused_at_bench};
use super::{Shop, Side};

/// What pages may load: only from here, and nothing inline.
const CONTENT_POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; \
     connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

pub(super) async fn gate(
    State(shop): State<Arc<Shop>>,
    mut request: Request,
    next: Next,
) -> Response {
    let mut response = match refused(&shop, &mut request) {
        None => pass(&shop, request, next).await,
        Some(refused) => refused,
    };
    if shop.side == Side::Tablet {
        response = in_tablet_words(response);
    }
    add_headers(response.headers_mut());
    response
}

/// The answer to a request that is not let in.
fn refused(shop: &Shop, request: &mut Request) -> Option<Response> {
    if !host_is_here(request.headers(), &shop.hosts) {
        let words = "this address is not served here\n";
        return Some((StatusCode::MISDIRECTED_REQUEST, words).into_response());
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if changes && !from_these_pages(request.headers(), shop) {
        let words = "only these pages may change the book\n";
        return Some((StatusCode::FORBIDDEN, words).into_response());
    }
    match shop.side {
        Side::Maker => None,
        Side::Tablet => refused_at_bench(shop, request),
    }
}

/// Takes the form in, within its limits of size and time, before anybody looks at it.
async fn pass(shop: &Shop, request: Request, next: Next) -> Response {
    let limits = &shop.limits;
    let limit = match (shop.side, request.uri().path()) {
        (Side::Maker, path) if path.ends_with("/readings") => super::READINGS_LIMIT_BYTES,
        (Side::Maker, BRING) => BRING_LIMIT_BYTES,
        _ => limits.form_bytes,
    };
    if declared_bytes(request.headers()) > limit {
        let taken = drain(request, DRAIN_LIMIT_BYTES.min(4 * limit));
        let _late_ones_are_refused_too = timeout(limits.form, taken).await;
        return too_large(limit);
    }
    let (head, body) = request.into_parts();
    match timeout(limits.form, to_bytes(body, limit)).await {
        Ok(Ok(form)) => next.run(Request::from_parts(head, Body::from(form))).await,
        Ok(Err(_)) => too_large(limit),
        Err(_) => too_slow(limits.form.as_secs()),
    }
}

/// So much of a form that is too large is still taken from the line, bytes.
const DRAIN_LIMIT_BYTES: usize = 16 << 20;

fn declared_bytes(headers: &HeaderMap) -> usize {
    let length = headers.get(header::CONTENT_LENGTH);
    let length = length.and_then(|value| value.to_str().ok());
    length.and_then(|text| text.parse().ok()).unwrap_or(0)
}

/// A browser hears an answer only after it has sent its form to the end: the form is taken from
/// the line before it is refused, or the maker would see a broken connection and no words.
async fn drain(request: Request, limit: usize) {
    let _dropped = to_bytes(request.into_body(), limit).await;
}

fn too_large(limit: usize) -> Response {
    let limit = match limit >> 20 {
        0 => format!("{} kB", limit >> 10),
        megabytes => format!("{megabytes} MB"),
    };
    let words = format!(
        "this form is larger than {limit}, more than is ever needed here: nothing of it is stored\n"
    );
    (StatusCode::PAYLOAD_TOO_LARGE, words).into_response()
}

fn too_slow(seconds: u64) -> Response {
    let words = format!(
        "this form did not arrive within {seconds} s: nothing of it is stored; send it again\n"
    );
    let ends = [(header::CONNECTION, "close")];
    (StatusCode::REQUEST_TIMEOUT, ends, words).into_response()
}

fn host_is_here(headers: &HeaderMap, hosts: &[String]) -> bool {
    let mut named = headers.get_all(header::HOST).iter();
    let (Some(host), None) = (named.next(), named.next()) else {
        return false;
    };
    host.to_str()
        .is_ok_and(|host| hosts.iter().any(|here| here == host))
}

/// A browser names the origin with every form it sends; what names none and is no browser's
/// cross-site request is a program of the maker's own. Such a program has no place on a tablet.
fn from_these_pages(headers: &HeaderMap, shop: &Shop) -> bool {
    let text = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or("?"));
    if let Some(site) = text("sec-fetch-site")
        && !matches!(site, "same-origin" | "none")
    {
        return false;
    }
    match text("origin") {
        Some(origin) => shop
            .hosts
            .iter()
            .any(|here| origin == format!("http://{here}")),
        None => shop.side == Side::Maker,
    }
}

fn add_headers(headers: &mut HeaderMap) {
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, CONTENT_POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
}
