//! The gate: who may ask, and what every answer carries along.
//!
//! The listener is on loopback. A web site open in the same browser could still send requests
//! there, or point a name of its own at this computer; so the host named must be this one, and
//! a request that changes something must come from these pages.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::Shop;
use super::carry_routes::{BRING, BRING_LIMIT_BYTES};

/// What pages may load: only from here, and nothing inline.
const CONTENT_POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; \
     connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

pub(super) async fn gate(State(shop): State<Arc<Shop>>, request: Request, next: Next) -> Response {
    if !host_is_here(request.headers(), shop.port) {
        return (
            StatusCode::MISDIRECTED_REQUEST,
            "this address is not served here\n",
        )
            .into_response();
    }
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    if changes && !from_these_pages(request.headers(), shop.port) {
        return (
            StatusCode::FORBIDDEN,
            "only these pages may change the book\n",
        )
            .into_response();
    }
    let limit = match request.uri().path() {
        BRING => BRING_LIMIT_BYTES,
        _ => super::FORM_LIMIT_BYTES,
    };
    let mut response = if declared_bytes(request.headers()) > limit {
        too_large(request).await
    } else {
        next.run(request).await
    };
    add_headers(response.headers_mut());
    response
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
async fn too_large(request: Request) -> Response {
    let _dropped = axum::body::to_bytes(request.into_body(), DRAIN_LIMIT_BYTES).await;
    let words = format!(
        "this form is larger than {} MB, more than any commission needs: nothing of it is stored\n",
        super::FORM_LIMIT_BYTES >> 20
    );
    (StatusCode::PAYLOAD_TOO_LARGE, words).into_response()
}

fn hosts(port: u16) -> [String; 3] {
    [
        format!("127.0.0.1:{port}"),
        format!("localhost:{port}"),
        format!("[::1]:{port}"),
    ]
}

fn host_is_here(headers: &HeaderMap, port: u16) -> bool {
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok());
    host.is_some_and(|host| hosts(port).iter().any(|here| here == host))
}

/// A browser names the origin with every form it sends; what names none and is no browser's
/// cross-site request is a program of the maker's own.
fn from_these_pages(headers: &HeaderMap, port: u16) -> bool {
    let text =
        |name: header::HeaderName| headers.get(name).map(|value| value.to_str().unwrap_or("?"));
    if let Some(site) = headers
        .get("sec-fetch-site")
        .map(|value| value.to_str().unwrap_or("?"))
        && !matches!(site, "same-origin" | "none")
    {
        return false;
    }
    match text(header::ORIGIN) {
        Some(origin) => hosts(port)
            .iter()
            .any(|here| origin == format!("http://{here}")),
        None => true,
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
