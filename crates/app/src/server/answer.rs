//! Answers: pages, moves, assets, and errors in words.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use book::BookError;
use maud::Markup;

use crate::assets;
use crate::pages::trouble_page;

/// Why a request was not answered as asked.
pub(super) enum Trouble {
    /// There is nothing at that address.
    NotThere(String),
    /// The request makes no sense.
    Bad(String),
    /// The book could not do it.
    Book(BookError),
    /// Something else went wrong here.
    Here(String),
}

impl From<BookError> for Trouble {
    fn from(error: BookError) -> Self {
        match error {
            BookError::NoSuchEntry { .. }
            | BookError::NoSuchRevision { .. }
            | BookError::NoSuchLog { .. }
            | BookError::NoSuchVisit { .. }
            | BookError::NoSuchBatch { .. }
            | BookError::NoSuchLine { .. }
            | BookError::WrongKind { .. } => Trouble::NotThere(error.to_string()),
            other => Trouble::Book(other),
        }
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let (status, title, words) = match self {
            Trouble::NotThere(words) => (StatusCode::NOT_FOUND, "Nothing here", words),
            Trouble::Bad(words) => (StatusCode::BAD_REQUEST, "Not understood", words),
            Trouble::Book(error) => {
                crate::terminal::say(&format!("camberwright: the book: {error}\n"));
                (
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "The book could not do that",
                    error.to_string(),
                )
            }
            Trouble::Here(words) => {
                crate::terminal::say(&format!("camberwright: {words}\n"));
                (
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "Something went wrong here",
                    words,
                )
            }
        };
        let shown = page(trouble_page(title, &words, "Back to the book", "/book"));
        let mut answer = (status, shown).into_response();
        answer.extensions_mut().insert(Said {
            status,
            title,
            words,
        });
        answer
    }
}

/// What an answer of trouble says, for those who say it on a page of their own.
#[derive(Clone)]
pub(super) struct Said {
    pub status: StatusCode,
    pub title: &'static str,
    pub words: String,
}

pub(super) type Answer = Result<Response, Trouble>;

pub(super) fn page(markup: Markup) -> Html<String> {
    Html(markup.into_string())
}

/// After a change the browser asks for the page anew, so that going back sends nothing twice.
pub(super) fn go(address: &str) -> Answer {
    Ok(Redirect::to(address).into_response())
}

/// A file for the browser to keep, under a name of its own.
pub(super) fn file(name: &str, kind: &'static str, content: Vec<u8>) -> Response {
    let safe: String = name
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_') {
                c
            } else {
                '-'
            }
        })
        .collect();
    let disposition = HeaderValue::from_str(&format!("inline; filename=\"{safe}\""))
        .unwrap_or(HeaderValue::from_static("inline"));
    (
        [
            (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
            (header::CONTENT_DISPOSITION, disposition),
        ],
        content,
    )
        .into_response()
}

fn asset(kind: &'static str, content: &'static str) -> Response {
    (
        [
            (header::CONTENT_TYPE, kind),
            (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
        ],
        content,
    )
        .into_response()
}

pub(super) async fn style() -> Response {
    asset("text/css; charset=utf-8", &assets::STYLE)
}

pub(super) async fn script() -> Response {
    asset("text/javascript; charset=utf-8", assets::SCRIPT)
}

pub(super) async fn outbox() -> Response {
    asset("text/javascript; charset=utf-8", assets::OUTBOX)
}

pub(super) async fn icon() -> Response {
    asset("image/svg+xml", assets::ICON)
}

pub(super) async fn nothing_here() -> Response {
    Trouble::NotThere("no page has this address".into()).into_response()
}
