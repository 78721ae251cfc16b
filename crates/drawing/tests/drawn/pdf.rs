//! The paper writer, judged by a general PDF reader.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use drawing::{
    Anchor, Dash, DrawingError, Ink, Item, Page, Palette, Paper, Path, PdfOptions, Point, Scene,
    Stroke, Weight, text_width_mm, write_pdf,
};
use lopdf::{Document, Object};

/// One point is 1/72 in, and 1 in is 25.4 mm, both by definition.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// What single precision leaves of a place on a sheet, in mm.
const SINGLE_PRECISION_MM: f64 = 1e-4;

/// What the bench writes on paper.
const WORDS: &str = "mm² mm³ µ κ ° ± × – — 16″ 11½ ≤ ≥ √ player’s “wish” ✓ □ −0.12";

fn options() -> PdfOptions {
    PdfOptions {
        title: "Patterns for Heron".to_owned(),
        language: "en".to_owned(),
    }
}

fn page(paper: Paper, items: Vec<Item>) -> Page {
    let (width_mm, height_mm) = (paper.width_mm(), paper.height_mm());
    let mut scene = Scene::new(width_mm, height_mm, "t", "d");
    scene.layer("l").extend(items);
    Page {
        width_mm,
        height_mm,
        scene,
    }
}

fn square() -> Path {
    Path::rect(20.0, 30.0, 40.0, 50.0)
}

fn sampler() -> Vec<Page> {
    let text = Item::text(Point::new(20.0, 40.0), WORDS, 4.0, Ink::Text);
    let bold = Item::text(Point::new(20.0, 60.0), "Bold", 4.0, Ink::Accent);
    let items = vec![
        Item::path(square(), Some(Stroke::new(Ink::Line, 0.3)), Some(Ink::Wood)),
        Item::stroked(Path::circle(Point::new(50.0, 50.0), 9.0), Ink::Fret, 0.2),
        Item::stroked(square(), Ink::Line, 0.2).dashed(Dash::Chain),
        text,
        bold.weighted(Weight::Bold)
            .anchored(Anchor::Middle)
            .turned(90.0),
        Item::clipped(vec![Item::filled(square(), Ink::Good)], square()),
    ];
    vec![page(Paper::A4, items.clone()), page(Paper::Letter, items)]
}

fn read(bytes: &[u8]) -> Document {
    Document::load_mem(bytes).unwrap()
}

fn floats(objects: &[Object]) -> Vec<f64> {
    objects
        .iter()
        .map(|object| f64::from(object.as_float().unwrap()))
        .collect()
}

fn media_box(document: &Document, number: u32) -> Vec<f64> {
    let id = document.get_pages()[&number];
    let page = document.get_dictionary(id).unwrap();
    let found = page.get(b"MediaBox").unwrap();
    let found = document.dereference(found).unwrap().1;
    floats(found.as_array().unwrap())
}

/// Every point a page moves or draws a line to, or starts a text at, in points from the page's
/// lower left corner.
fn drawn_points(document: &Document, number: u32) -> Vec<[f64; 2]> {
    let id = document.get_pages()[&number];
    let content = document.get_and_decode_page_content(id).unwrap();
    let mut matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut saved, mut points) = (Vec::new(), Vec::new());
    for operation in &content.operations {
        match operation.operator.as_str() {
            "q" => saved.push(matrix),
            "Q" => matrix = saved.pop().unwrap(),
            "cm" => matrix = multiplied(&floats(&operation.operands), &matrix),
            "m" | "l" | "Tm" => {
                // The place is a text matrix's last two numbers, and all a point has.
                let operands = floats(&operation.operands);
                let p = &operands[operands.len() - 2..];
                points.push([
                    matrix[0] * p[0] + matrix[2] * p[1] + matrix[4],
                    matrix[1] * p[0] + matrix[3] * p[1] + matrix[5],
                ]);
            }
            _ => {}
        }
    }
    points
}

/// The matrix that does `first` and then `next`, both as PDF writes them (ISO 32000-1, 8.3.4).
fn multiplied(first: &[f64], next: &[f64; 6]) -> [f64; 6] {
    let cell = |row: usize, column: usize| {
        first[2 * row] * next[column] + first[2 * row + 1] * next[2 + column]
    };
    [
        cell(0, 0),
        cell(0, 1),
        cell(1, 0),
        cell(1, 1),
        cell(2, 0) + next[4],
        cell(2, 1) + next[5],
    ]
}

#[test]
fn the_same_pages_give_the_same_bytes_and_no_date() {
    let first = write_pdf(&sampler(), &options()).unwrap();
    assert_eq!(first, write_pdf(&sampler(), &options()).unwrap());
    let text = String::from_utf8_lossy(&first);
    assert!(!text.contains("CreationDate") && !text.contains("ModDate"));
    assert!(!text.contains("CreateDate") && !text.contains("ModifyDate"));
}

#[test]
fn pages_have_the_sizes_of_their_sheets() {
    let document = read(&write_pdf(&sampler(), &options()).unwrap());
    assert_eq!(document.get_pages().len(), 2);
    // A4 in points, as print references give it: 595.276 by 841.890; Letter is 612 by 792.
    for (number, size) in [(1, [595.276, 841.890]), (2, [612.0, 792.0])] {
        let found = media_box(&document, number);
        assert_eq!(found[..2], [0.0, 0.0]);
        let off = (found[2] - size[0]).abs().max((found[3] - size[1]).abs());
        assert!(off < 0.0006, "{found:?}");
    }
}

#[test]
fn a_hundred_millimetres_are_a_hundred_millimetres() {
    let line = Path::line(Point::new(55.0, 20.0), Point::new(155.0, 20.0));
    let diagonal = Path::line(Point::new(10.0, 10.0), Point::new(200.0, 280.0));
    let items = vec![
        Item::stroked(line, Ink::Line, 0.2),
        Item::group(vec![Item::stroked(diagonal, Ink::Line, 0.2)]),
    ];
    let document = read(&write_pdf(&[page(Paper::A4, items)], &options()).unwrap());
    let points = drawn_points(&document, 1);
    // The sheet's y points down from the top edge, PDF's up from the bottom one.
    let expected = [[55.0, 20.0], [155.0, 20.0], [10.0, 10.0], [200.0, 280.0]];
    assert_eq!(points.len(), expected.len());
    for (found, [x, y]) in points.iter().zip(expected) {
        let off_x = found[0] / POINTS_PER_MM - x;
        let off_y = 297.0 - found[1] / POINTS_PER_MM - y;
        assert!(
            off_x.hypot(off_y) < SINGLE_PRECISION_MM,
            "{found:?} for {x}, {y}"
        );
    }
}

#[test]
fn texts_start_where_their_anchors_say() {
    let text = |anchor, degrees| {
        let item = Item::text(Point::new(100.0, 40.0), "0.12 mm", 5.0, Ink::Text);
        item.anchored(anchor).turned(degrees)
    };
    let items = vec![
        text(Anchor::Start, 0.0),
        text(Anchor::Middle, 0.0),
        text(Anchor::End, 0.0),
        text(Anchor::End, 90.0),
    ];
    let document = read(&write_pdf(&[page(Paper::A4, items)], &options()).unwrap());
    let width = text_width_mm("0.12 mm", 5.0, Weight::Regular);
    // Turned a quarter clockwise, a text reads downwards: it starts above the place it ends at.
    let expected = [
        [100.0, 40.0],
        [100.0 - width / 2.0, 40.0],
        [100.0 - width, 40.0],
        [100.0, 40.0 - width],
    ];
    let points = drawn_points(&document, 1);
    assert_eq!(points.len(), expected.len());
    for (found, [x, y]) in points.iter().zip(expected) {
        let off_x = found[0] / POINTS_PER_MM - x;
        let off_y = 297.0 - found[1] / POINTS_PER_MM - y;
        assert!(
            off_x.hypot(off_y) < SINGLE_PRECISION_MM,
            "{found:?} for {x}, {y}"
        );
    }
}

#[test]
fn words_can_be_searched_and_copied() {
    let document = read(&write_pdf(&sampler(), &options()).unwrap());
    let text = document.extract_text(&[1]).unwrap();
    for word in WORDS.split(' ') {
        assert!(text.contains(word), "{word} is not in {text}");
    }
    assert!(text.contains("Bold"));
}

#[test]
fn both_fonts_are_embedded_and_cut_down() {
    let bytes = write_pdf(&sampler(), &options()).unwrap();
    let document = read(&bytes);
    let embedded = document.objects.values().filter(|object| {
        object
            .as_dict()
            .is_ok_and(|dictionary| dictionary.has(b"FontFile2"))
    });
    assert_eq!(embedded.count(), 2);
    assert!(bytes.len() < 60_000, "{} bytes", bytes.len());
}

#[test]
fn title_and_language_are_written() {
    let document = read(&write_pdf(&sampler(), &options()).unwrap());
    let catalog = document.catalog().unwrap();
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en");
    let info = document.trailer.get(b"Info").unwrap();
    let info = document.dereference(info).unwrap().1.as_dict().unwrap();
    let title = lopdf::decode_text_string(info.get(b"Title").unwrap()).unwrap();
    assert_eq!(title, "Patterns for Heron");
}

#[test]
fn colours_are_those_of_paper() {
    let items = vec![Item::filled(square(), Ink::Accent)];
    let document = read(&write_pdf(&[page(Paper::A4, items)], &options()).unwrap());
    let id = document.get_pages()[&1];
    let content = document.get_and_decode_page_content(id).unwrap();
    let fill = content
        .operations
        .iter()
        .find(|operation| operation.operator == "rg");
    let found = floats(&fill.unwrap().operands);
    let ink = Palette::Print.colour(Ink::Accent);
    let expected = [ink.red, ink.green, ink.blue].map(|channel| f64::from(channel) / 255.0);
    let is_near = |(a, b): (&f64, f64)| (a - b).abs() < 1e-4;
    assert!(
        found.len() == 3 && found.iter().zip(expected).all(is_near),
        "{found:?}"
    );
}

#[test]
fn what_cannot_be_drawn_leaves_no_trace() {
    let good = || Item::filled(square(), Ink::Wood);
    let at = |value: f64| Point::new(value, 10.0);
    let mut items = vec![good()];
    for value in [f64::NAN, f64::INFINITY, 1e300, -1e7] {
        items.push(Item::stroked(
            Path::line(at(value), at(0.0)),
            Ink::Line,
            0.2,
        ));
        items.push(Item::text(at(value), "x", 3.0, Ink::Text));
        items.push(Item::text(at(0.0), "x", value, Ink::Text));
        items.push(Item::clipped(vec![good()], Path::circle(at(value), 3.0)));
    }
    items.push(Item::path(square(), None, None));
    let with_bad = write_pdf(&[page(Paper::A4, items)], &options()).unwrap();
    let without = write_pdf(&[page(Paper::A4, vec![good()])], &options()).unwrap();
    assert_eq!(with_bad, without);
}

#[test]
fn odd_but_sound_items_are_written() {
    let dot = Path::line(at(5.0), at(5.0));
    fn at(x: f64) -> Point {
        Point::new(x, 5.0)
    }
    let items = vec![
        Item::stroked(dot.clone(), Ink::Line, 0.2).dashed(Dash::Dotted),
        Item::filled(dot.clone(), Ink::Line),
        Item::clipped(vec![Item::filled(square(), Ink::Wood)], dot),
        Item::clipped(vec![], Path::new().move_to(at(1.0))),
        Item::filled(Path::new().move_to(at(1.0)).close().close(), Ink::Line),
        Item::stroked(square(), Ink::Line, 1e-300),
        Item::text(at(0.0), "\u{1}\n", 3.0, Ink::Text),
        Item::text(
            at(0.0),
            "\u{10FFFD}\u{FEFF} 𝄞 क שלום e\u{301}",
            3.0,
            Ink::Text,
        ),
        Item::text(at(0.0), "tiny", 1e-300, Ink::Text),
        Item::text(at(1.0e6), "far", 1.0e6, Ink::Text).turned(-1.0e6),
        Item::group(vec![]),
    ];
    let document = read(&write_pdf(&[page(Paper::A4, items)], &options()).unwrap());
    assert_eq!(document.get_pages().len(), 1);
}

#[test]
fn a_character_the_font_lacks_is_shown_as_missing() {
    let width = |text: &str| text_width_mm(text, 10.0, Weight::Regular);
    assert_eq!(width("\u{10FFFD}"), width("\u{FFFD}"));
    assert!(width("\u{FFFD}") > 0.0);
    // Each of these has a glyph of its own.
    for character in WORDS.chars().filter(|character| *character != ' ') {
        assert_ne!(
            width(&character.to_string()),
            width("\u{FFFD}"),
            "{character}"
        );
    }
}

#[test]
fn sheets_no_pdf_can_have_are_refused_by_name() {
    assert_eq!(write_pdf(&[], &options()), Err(DrawingError::NoPages));
    for side in [f64::NAN, f64::INFINITY, 0.0, -210.0, 1.0, 6000.0] {
        let good = page(Paper::A4, vec![]);
        let bad = Page {
            width_mm: side,
            ..good.clone()
        };
        let error = write_pdf(&[good, bad], &options()).unwrap_err();
        assert!(
            matches!(error, DrawingError::PageSize { page: 2, .. }),
            "{side}: {error}"
        );
    }
    let bad = Page {
        width_mm: -210.0,
        ..page(Paper::A4, vec![])
    };
    let error = write_pdf(&[bad], &options()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "page 1 is -210 mm by 297 mm; give a width and height between 2 mm and 5000 mm"
    );
}

#[test]
fn a_veil_is_printed_with_its_opacity() {
    let veil = Item::filled(square(), Ink::Veil(0.25));
    let pdf = write_pdf(&[page(Paper::A4, vec![veil])], &options()).unwrap();
    let document = Document::load_mem(&pdf).unwrap();
    // ISO 32000-1, 11.6.4.4: `ca` is the opacity of what is filled.
    let opacities: Vec<f32> = document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok()?.get(b"ca").ok()?.as_float().ok())
        .collect();
    assert_eq!(opacities, [0.25]);
}
