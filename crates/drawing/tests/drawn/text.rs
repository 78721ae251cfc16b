//! Widths of printed text, and lines that fit.

use drawing::{Weight, text_width_mm, wrap_text};

const SIZE_MM: f64 = 3.0;

fn width(text: &str) -> f64 {
    text_width_mm(text, SIZE_MM, Weight::Regular)
}

fn wrapped(text: &str, max_width_mm: f64) -> Vec<String> {
    wrap_text(text, SIZE_MM, Weight::Regular, max_width_mm)
}

#[test]
fn letters_have_the_widths_of_the_font() {
    // DejaVu Sans 2.37 in units of 1/2048 em: figures 1303, space 651 (from memory).
    let em = |units: f64| units / 2048.0 * SIZE_MM;
    for figure in '0'..='9' {
        assert!(
            (width(&figure.to_string()) - em(1303.0)).abs() < 1e-6,
            "{figure}"
        );
    }
    assert!((width(" ") - em(651.0)).abs() < 1e-6);
    assert_eq!(width(""), 0.0);
    assert_eq!(width("\n\t\u{0}"), 0.0);
}

#[test]
fn widths_add_up_and_grow_with_the_size() {
    let parts: f64 = "11½ in"
        .chars()
        .map(|character| width(&character.to_string()))
        .sum();
    assert!((width("11½ in") - parts).abs() < 1e-12);
    let doubled = text_width_mm("11½ in", 2.0 * SIZE_MM, Weight::Regular);
    assert!((doubled - 2.0 * parts).abs() < 1e-12);
    assert!(text_width_mm("board", SIZE_MM, Weight::Bold) > width("board"));
}

#[test]
fn lines_fit_and_lose_no_word() {
    let text = "Start at the wide end with the flattest block, and swing the beam as the cone \
                asks; stop when the chalk is gone from the edges.";
    for max_width_mm in [18.0, 40.0, 75.0, 400.0] {
        let lines = wrapped(text, max_width_mm);
        assert!(
            lines.iter().all(|line| width(line) <= max_width_mm),
            "{lines:?}"
        );
        assert_eq!(lines.join(" "), text);
        // No line could have taken the next one's first word.
        for pair in lines.windows(2) {
            let first_word = pair[1].split(' ').next().unwrap();
            assert!(
                width(&format!("{} {first_word}", pair[0])) > max_width_mm,
                "{pair:?}"
            );
        }
    }
}

#[test]
fn line_ends_are_kept_and_long_words_broken() {
    assert_eq!(
        wrapped("one\n\ntwo  three", 400.0),
        ["one", "", "two three"]
    );
    assert!(wrapped("", 10.0).is_empty());
    assert_eq!(wrapped("  ", 10.0), [""]);
    let pieces = wrapped("a 0123456789 b", 4.0 * width("0") + 0.01);
    assert_eq!(pieces, ["a", "0123", "4567", "89 b"]);
    assert_eq!(wrapped("abc", 0.0), ["a", "b", "c"]);
    assert_eq!(wrapped("abc", f64::NAN), ["a", "b", "c"]);
    assert_eq!(
        wrapped("0.12\u{A0}mm gap", width("0.12\u{A0}mm") + 0.01),
        ["0.12\u{A0}mm", "gap"]
    );
}
