//! The paper writer, judged by Poppler's tools where they are installed.
//!
//! Where they are not, each test says that it was skipped.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use std::io::Write;
use std::path::PathBuf;
use std::process::Command;

use drawing::{
    Anchor, Ink, Item, Page, Paper, PdfOptions, Point, Scene, Weight, text_width_mm, write_pdf,
};

const WORDS: &str = "mm²³µ°±×–—″½≤≥√κ’“”✓□−";

/// A page with one line of words that ends 10 mm from the right edge, 40 mm down.
fn write_page(name: &str) -> PathBuf {
    let (width_mm, height_mm) = (Paper::A4.width_mm(), Paper::A4.height_mm());
    let mut scene = Scene::new(width_mm, height_mm, "t", "d");
    let text = Item::text(Point::new(200.0, 40.0), WORDS, 5.0, Ink::Text);
    scene.layer("words").add(text.anchored(Anchor::End));
    let page = Page {
        width_mm,
        height_mm,
        scene,
    };
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, write_pdf(&[page], &PdfOptions::default()).unwrap()).unwrap();
    path
}

/// What a tool prints about a file; `None`, with a message, if the tool is not there.
fn run(tool: &str, arguments: &[&str], file: &PathBuf) -> Option<String> {
    let output = match Command::new(tool)
        .args(arguments)
        .arg(file)
        .arg("-")
        .output()
    {
        Ok(output) => output,
        Err(error) => {
            // Written past the test harness, which would swallow it.
            let message = format!("skipped: {tool} cannot be run ({error})\n");
            std::io::stderr().write_all(message.as_bytes()).unwrap();
            return None;
        }
    };
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    Some(String::from_utf8(output.stdout).unwrap())
}

#[test]
fn poppler_reads_every_character() {
    let file = write_page("characters.pdf");
    if let Some(text) = run("pdftotext", &["-enc", "UTF-8"], &file) {
        assert_eq!(text.trim_end_matches(['\n', '\u{C}']), WORDS);
    }
}

#[test]
fn poppler_finds_the_words_where_they_were_put_and_as_wide_as_measured() {
    let file = write_page("places.pdf");
    let Some(text) = run("pdftotext", &["-bbox"], &file) else {
        return;
    };
    let side = |name: &str| -> f64 {
        let word = text.lines().find(|line| line.contains("<word")).unwrap();
        let rest = word.split(&format!("{name}=\"")).nth(1).unwrap();
        let points: f64 = rest.split('"').next().unwrap().parse().unwrap();
        points * 25.4 / 72.0
    };
    // Poppler prints six decimals of a point; single precision leaves 0.0001 mm.
    let measured = text_width_mm(WORDS, 5.0, Weight::Regular);
    assert!((side("xMax") - 200.0).abs() < 0.002, "{} mm", side("xMax"));
    assert!(
        (side("xMax") - side("xMin") - measured).abs() < 0.002,
        "{measured} mm"
    );
    assert!((35.0..40.0).contains(&side("yMin")) && (40.0..43.0).contains(&side("yMax")));
}
