//! A file sent by a form: the one part of it that is asked for.
//!
//! Source: RFC 2046, section 5.1.1 (the parts and the line between them), and RFC 7578 (forms).

/// The content of the part with that name; nothing when the form has none, or is cut off.
pub(super) fn uploaded<'b>(content_type: &str, body: &'b [u8], name: &str) -> Option<&'b [u8]> {
    let line = format!("--{}", boundary(content_type)?);
    let wanted = format!("name=\"{name}\"");
    let between = format!("\r\n{line}");
    let mut rest = &body[find(body, line.as_bytes())? + line.len()..];
    loop {
        // After the last part two hyphens stand where the others have an end of line.
        rest = rest.strip_prefix(b"\r\n")?;
        let head_end = find(rest, b"\r\n\r\n")?;
        let head = String::from_utf8_lossy(&rest[..head_end]);
        let content = &rest[head_end + 4..];
        let end = find(content, between.as_bytes())?;
        let is_wanted = head.split("\r\n").any(|header| {
            let (key, value) = header.split_once(':').unwrap_or_default();
            key.eq_ignore_ascii_case("content-disposition")
                && value.split(';').any(|part| part.trim() == wanted)
        });
        if is_wanted {
            return Some(&content[..end]);
        }
        rest = &content[end + between.len()..];
    }
}

fn boundary(content_type: &str) -> Option<&str> {
    let (kind, values) = content_type.split_once(';')?;
    if !kind.trim().eq_ignore_ascii_case("multipart/form-data") {
        return None;
    }
    let value = values
        .split(';')
        .find_map(|value| value.trim().strip_prefix("boundary="))?;
    let plain = value.trim_matches('"');
    (1..=70).contains(&plain.len()).then_some(plain)
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    let first = *wanted.first()?;
    let mut from = 0;
    // Looking for the first byte alone is what the library does fastest.
    while let Some(at) = bytes.get(from..)?.iter().position(|byte| *byte == first) {
        if bytes[from + at..].starts_with(wanted) {
            return Some(from + at);
        }
        from += at + 1;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    const KIND: &str = "multipart/form-data; boundary=----line7";

    fn form() -> Vec<u8> {
        let mut body = Vec::new();
        body.extend(b"------line7\r\nContent-Disposition: form-data; name=\"word\"\r\n\r\nname=\"file\"\r\n");
        body.extend(
            b"------line7\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.zip\"\r\n",
        );
        body.extend(b"Content-Type: application/zip\r\n\r\nPK\r\n--\r\n------lin\x00\xff\r\n------line7--\r\n");
        body
    }

    #[test]
    fn the_part_that_is_asked_for_comes_out_byte_for_byte() {
        let body = form();
        assert_eq!(
            uploaded(KIND, &body, "file"),
            Some(b"PK\r\n--\r\n------lin\x00\xff".as_slice())
        );
        assert_eq!(
            uploaded(KIND, &body, "word"),
            Some(b"name=\"file\"".as_slice())
        );
        let quoted = "Multipart/Form-Data; charset=utf-8; boundary=\"----line7\"";
        assert!(uploaded(quoted, &body, "file").is_some());
    }

    #[test]
    fn what_is_no_such_form_gives_nothing() {
        let body = form();
        assert_eq!(uploaded(KIND, &body, "other"), None);
        for kind in [
            "",
            "text/plain",
            "multipart/form-data",
            "multipart/form-data; boundary=",
            "multipart/form-data; boundary=other",
        ] {
            assert_eq!(uploaded(kind, &body, "file"), None, "{kind}");
        }
        // A form that was cut off has no such part, whatever came of it.
        let end = find(&body, b"\r\n------line7--").expect("is there");
        for cut in 0..end {
            assert_eq!(uploaded(KIND, &body[..cut], "file"), None, "cut at {cut}");
        }
    }
}
