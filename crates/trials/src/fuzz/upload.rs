//! Forms that bring a file along: sound ones, and what must hold of what is found in one.
//!
//! The first line of an input is the form's content type; the form follows.

use std::borrow::Cow;

use book::{Book, Kind};
use camberwright::{Indoors, carry};

use super::Answered;
use super::enter::heard;

/// The part that the page Book sends.
const NAME: &str = "carried";
const KIND: &str = "multipart/form-data; boundary=----line7";
const LINE: &[u8] = b"\r\n------line7";

/// Lines, heads and signs of such forms.
pub const WORDS: [&str; 24] = [
    "multipart/form-data; boundary=",
    "Multipart/Form-Data;boundary=\"----line7\"\n",
    "; boundary=",
    "; charset=utf-8",
    "\"",
    "--",
    "\r\n",
    "\r\n\r\n",
    "\r",
    "----line7",
    "\r\n------line7",
    "\r\n------line7--\r\n",
    "------line7\r\n",
    "Content-Disposition: form-data; name=\"carried\"\r\n\r\n",
    "content-disposition:form-data;name=\"carried\"\r\n",
    "; name=\"carried\"",
    "; filename=\"a.zip\"",
    "; filename*=UTF-8''a",
    "Content-Type: application/zip\r\n",
    "Content-Transfer-Encoding: base64\r\n",
    ":",
    "carried",
    "PK\u{3}\u{4}",
    "PK\u{5}\u{6}",
];

/// Forms with a carried book, with words, with several parts, with an empty file.
pub(super) fn sound() -> Vec<Vec<u8>> {
    let book = carried_book();
    let other = b"Content-Disposition: form-data; name=\"word\"\r\n\r\ncarried";
    let named = format!("Content-Disposition: form-data; name=\"{NAME}\"");
    let head = format!("{named}; filename=\"a.zip\"\r\nContent-Type: application/zip\r\n\r\n");
    let of_file = |content: &[u8]| [head.as_bytes(), content].concat();
    vec![
        form(&[]),
        form(&[&of_file(b"")]),
        form(&[&of_file(b"no archive\r\n--\r\n-")]),
        form(&[&of_file(&book)]),
        form(&[other, &of_file(&book)]),
        form(&[&of_file(b"PK"), other]),
        form(&[format!("{}\r\n\r\nx", named.to_lowercase()).as_bytes()]),
    ]
}

fn carried_book() -> Vec<u8> {
    let fits = "a book in memory takes it";
    let book = Book::open_in_memory().expect(fits);
    book.create(Kind::Kit, "N", "a = 1\n", "made", 1)
        .expect(fits);
    let files = carry::take_all(&book).expect(fits);
    let named = files
        .iter()
        .map(|(name, content)| (name.as_str(), content.as_slice()));
    solid::package(&named.collect::<Vec<_>>()).expect(fits)
}

fn form(parts: &[&[u8]]) -> Vec<u8> {
    let mut input = format!("{KIND}\n").into_bytes();
    for (number, part) in parts.iter().enumerate() {
        let line = if number == 0 { &LINE[2..] } else { LINE };
        input.extend([line, b"\r\n", part].concat());
    }
    input.extend([LINE, b"--\r\n"].concat());
    input
}

/// The content type, and the form.
pub(super) fn halves(input: &[u8]) -> (Cow<'_, str>, &[u8]) {
    let end = input.iter().position(|byte| *byte == b'\n');
    let (kind, form) = input.split_at(end.unwrap_or(input.len()));
    (
        String::from_utf8_lossy(kind),
        form.get(1..).unwrap_or_default(),
    )
}

/// Looks for the file in a form, and for the input itself in a form around it.
pub(super) fn enter(server: &Indoors, input: &[u8]) -> Result<Answered, String> {
    let (kind, body) = halves(input);
    comes_back(server, body)?;
    let Some(content) = server.uploaded(&kind, body, NAME) else {
        let parts = body.split(|byte| *byte == b'\n').count().min(40);
        let kind = heard(29 ^ parts as u64, &kind);
        return Ok(Answered { kind, sound: false });
    };
    let from = content.as_ptr() as usize - body.as_ptr() as usize;
    let (before, after) = (&body[..from], &body[from + content.len()..]);
    if !before.ends_with(b"\r\n\r\n") || !after.starts_with(b"\r\n--") {
        return Err("the file does not end where its part does".into());
    }
    let size = content.len().checked_ilog2().map_or(0, |log| log + 1);
    let lines = before.iter().filter(|byte| **byte == b'\n').count();
    let kind = heard(u64::from(size) << 8 | lines.min(40) as u64, &kind);
    Ok(Answered { kind, sound: true })
}

/// Whatever bytes a file has, they are found as they are, unless the line between parts is in them.
fn comes_back(server: &Indoors, content: &[u8]) -> Result<(), String> {
    let head = format!("content-disposition: form-data; name=\"{NAME}\"\r\n\r\n");
    let around = form(&[&[head.as_bytes(), content].concat()]);
    let (kind, body) = halves(&around);
    let cut = content.windows(LINE.len()).any(|window| window == LINE);
    match server.uploaded(&kind, body, NAME) {
        Some(found) if cut || found == content => Ok(()),
        Some(found) => Err(format!("{} bytes came as {}", content.len(), found.len())),
        None => Err("a file was not found in its form".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_of_every_sound_form_that_has_one_is_found() {
        let book = Book::open_in_memory().expect("there is memory for it");
        let server = Indoors::new(book).expect("the system lets a server run");
        let found = sound().into_iter().filter(|input| {
            let (kind, body) = halves(input);
            server.uploaded(&kind, body, NAME).is_some()
        });
        assert_eq!(found.count(), sound().len() - 1);
    }
}
