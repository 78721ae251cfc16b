//! QR codes as pictures for a page.

use fast_qr::{ECL, QRBuilder};
use maud::{Markup, PreEscaped, html};

/// Light modules around the code, as ISO/IEC 18004 asks for.
const QUIET: usize = 4;

/// The code of a text as a picture, dark on light whatever the colours of the page, because that
/// is what cameras read; words when the text is too long for one.
///
/// # Errors
/// The text has more bytes than a QR code holds.
pub fn qr_picture(text: &str, name: &str) -> Result<Markup, String> {
    // Level M: a seventh of it may be dusty.
    let code = QRBuilder::new(text).ecl(ECL::M).build();
    let code = code.map_err(|error| format!("no QR code holds that: {error}"))?;
    let size = code.size;
    let is_dark = |row: usize, column: usize| code[row][column].value();
    let side = size + 2 * QUIET;
    Ok(html! {
        svg.qr xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {side} {side}"))
            role="img" aria-label=(name) shape-rendering="crispEdges" {
            rect width=(side) height=(side) fill="#ffffff" {}
            path fill="#000000" d=(PreEscaped(dark_runs(size, is_dark))) {}
        }
    })
}

/// Dark modules that stand side by side, as one rectangle each.
fn dark_runs(size: usize, is_dark: impl Fn(usize, usize) -> bool) -> String {
    let mut path = String::new();
    for row in 0..size {
        let mut column = 0;
        while column < size {
            let dark = (column..size).take_while(|at| is_dark(row, *at)).count();
            if dark > 0 {
                let (x, y) = (column + QUIET, row + QUIET);
                path.push_str(&format!("M{x} {y}h{dark}v1h-{dark}z"));
            }
            column += dark.max(1);
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_cover_the_dark_modules_and_no_others() {
        let rows = ["##.#", "....", "####", ".#.."];
        let path = dark_runs(4, |row, column| rows[row].as_bytes()[column] == b'#');
        assert_eq!(path, "M4 4h2v1h-2zM7 4h1v1h-1zM4 6h4v1h-4zM5 7h1v1h-1z");
    }

    #[test]
    fn the_three_finders_stand_in_their_corners() {
        // ISO/IEC 18004: a finder's upper row is seven dark modules, in three corners.
        let markup = qr_picture("http://192.168.178.20:4748/pair", "code").expect("it fits");
        let text = markup.into_string();
        let side: usize = text
            .split("viewBox=\"0 0 ")
            .nth(1)
            .and_then(|rest| rest.split(' ').next()?.parse().ok())
            .expect("a viewBox");
        let far = side - QUIET - 7;
        for place in [
            "M4 4h7v1".to_owned(),
            format!("M{far} 4h7v1"),
            format!("M4 {far}h7v1"),
        ] {
            assert!(text.contains(&place), "{place}");
        }
    }

    #[test]
    fn a_text_too_long_for_a_code_is_told() {
        let told = qr_picture(&"a".repeat(5_000), "code").expect_err("it does not fit");
        assert!(told.starts_with("no QR code holds that"), "{told}");
    }
}
