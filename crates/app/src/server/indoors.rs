//! The server without its door to the network: for trials, which ask it more in a minute than a
//! maker does in a year.

use std::convert::Infallible;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{Form, FromRequest};
use axum::http::{Method, Request, header};
use book::Book;
use tower_service::Service;

use super::carry_routes::BRING_LIMIT_BYTES;
use super::upload::uploaded;
use super::{FORM_LIMIT_BYTES, Shop, TabletOptions, router};

/// The port that requests seem to come to.
const PORT: u16 = 4747;
/// More than any page or file has, bytes.
const ANSWER_LIMIT_BYTES: usize = 256 << 20;
/// How a browser marks a form without a file.
const PLAIN_FORM: &str = "application/x-www-form-urlencoded";

/// The pages of a book, asked by function calls.
pub struct Indoors {
    router: Router,
    runtime: tokio::runtime::Runtime,
}

impl Indoors {
    /// The pages of that book.
    ///
    /// # Errors
    /// When the system gives no means to run them.
    pub fn new(book: Book) -> Result<Self, String> {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .map_err(|error| format!("the server cannot start: {error}"))?;
        let shop = Arc::new(Shop::of_maker(book, PORT, TabletOptions::default()));
        Ok(Self {
            router: router(shop),
            runtime,
        })
    }

    /// The fields of a form as the handlers get them; nothing when it is none.
    pub fn fields(&self, form: &[u8]) -> Option<Vec<(String, String)>> {
        let request = request(Method::POST, "/", PLAIN_FORM, form)?;
        let read = Form::<Vec<(String, String)>>::from_request(request, &());
        self.runtime.block_on(read).ok().map(|Form(fields)| fields)
    }

    /// Asks for a page or file: the status and the body. Nothing when it is no address at all.
    pub fn get(&mut self, address: &str) -> Option<(u16, Vec<u8>)> {
        let request = request(Method::GET, address, PLAIN_FORM, b"")?;
        Some(self.ask(request))
    }

    /// Sends a form, as [`get`](Self::get).
    pub fn send(&mut self, address: &str, form: &[u8]) -> Option<(u16, Vec<u8>)> {
        self.send_as(address, PLAIN_FORM, form)
    }

    /// Sends a form of that content type, as [`get`](Self::get).
    pub fn send_as(&mut self, address: &str, kind: &str, form: &[u8]) -> Option<(u16, Vec<u8>)> {
        let request = request(Method::POST, address, kind, form)?;
        Some(self.ask(request))
    }

    /// The file of that name in a form of that content type, as the handlers get it.
    pub fn uploaded<'f>(&self, kind: &str, form: &'f [u8], name: &str) -> Option<&'f [u8]> {
        uploaded(kind, form, name)
    }

    fn ask(&mut self, request: Request<Body>) -> (u16, Vec<u8>) {
        let answer = self.router.call(request);
        self.runtime.block_on(async {
            let answer = answer
                .await
                .unwrap_or_else(|never: Infallible| match never {});
            let status = answer.status().as_u16();
            let body = to_bytes(answer.into_body(), ANSWER_LIMIT_BYTES).await;
            (status, body.map(Vec::from).unwrap_or_default())
        })
    }
}

fn request(method: Method, address: &str, kind: &str, form: &[u8]) -> Option<Request<Body>> {
    // A browser sends no more than the gate lets in.
    let limit = match kind {
        PLAIN_FORM => FORM_LIMIT_BYTES,
        _ => BRING_LIMIT_BYTES,
    };
    let form = form.get(..limit).unwrap_or(form);
    Request::builder()
        .method(method)
        .uri(address)
        .header(header::HOST, format!("127.0.0.1:{PORT}"))
        .header(header::ORIGIN, format!("http://127.0.0.1:{PORT}"))
        .header(header::CONTENT_TYPE, kind)
        .body(Body::from(form.to_vec()))
        .ok()
}
