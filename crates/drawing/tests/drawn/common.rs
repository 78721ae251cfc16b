//! Boards to draw, and what holds of every picture.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use drawing::{Anchor, Item, Layer, Path, Scene, Shape, SvgOptions, text_width_mm, write_svg};
use instrument::{Instrument, read_commission};
use quantity::LengthUnit;
use roxmltree::Document;

/// Every unit in which lengths are shown.
pub const UNITS: [LengthUnit; 3] = [
    LengthUnit::Millimetre,
    LengthUnit::DecimalInch,
    LengthUnit::FractionInch,
];

/// What rounding and a line's width may take beside the sheet, mm.
pub const BESIDE_SHEET_MM: f64 = 0.8;

const HERON: &str = include_str!("../../../../demo/heron.toml");
const BITTERN: &str = include_str!("../../../../demo/bittern.toml");
const SANDPIPER: &str = include_str!("../../../../demo/sandpiper.toml");

fn read(text: &str) -> Instrument {
    read_commission(text, &|_| Err("no files here".to_owned())).unwrap()
}

/// The demo's six-string with square ends.
pub fn heron() -> Instrument {
    read(HERON)
}

/// The demo's boards, a fanned one among them, and a board without camber.
pub fn boards() -> Vec<Instrument> {
    let cone = "law = \"cone\"\nnut = \"240 mm\"\nlast_fret = \"400 mm\"";
    assert!(HERON.contains(cone), "the demo's camber reads otherwise");
    let flat = HERON.replace(cone, "law = \"single\"\nradius = \"flat\"");
    [HERON, BITTERN, SANDPIPER, flat.as_str()]
        .map(read)
        .to_vec()
}

/// The layer of a name, empty if there is none.
pub fn layer(scene: &Scene, name: &str) -> Layer {
    let found = scene.layers.iter().find(|layer| layer.name == name);
    found.cloned().unwrap_or_default()
}

/// Every item of a layer or group, those inside groups after the group itself.
pub fn all(items: &[Item]) -> Vec<&Item> {
    let mut found = Vec::new();
    for item in items {
        found.push(item);
        if let Shape::Group { items, .. } = &item.shape {
            found.extend(all(items));
        }
    }
    found
}

/// The paths of some items.
pub fn paths(items: &[Item]) -> Vec<Path> {
    let path = |item: &Item| match &item.shape {
        Shape::Path { path, .. } => Some(path.clone()),
        _ => None,
    };
    all(items).into_iter().filter_map(path).collect()
}

/// Every text of a scene.
pub fn texts(scene: &Scene) -> Vec<String> {
    let text = |item: &Item| match &item.shape {
        Shape::Text { text, .. } => Some(text.clone()),
        _ => None,
    };
    let items = scene.layers.iter().flat_map(|layer| all(&layer.items));
    items.filter_map(text).collect()
}

/// What holds of every picture of sound figures: it can be drawn whole, says what it is, keeps
/// its words and lines on the sheet, and reads as SVG.
pub fn check(scene: &Scene) {
    assert_eq!(scene.count_undrawable(), 0, "{}", scene.title);
    check_frame(scene);
}

/// What holds even of figures that are no numbers.
pub fn check_frame(scene: &Scene) {
    assert!(!scene.title.trim().is_empty() && !scene.description.trim().is_empty());
    for layer in &scene.layers {
        layer.items.iter().for_each(|item| check_item(scene, item));
    }
    let svg = write_svg(scene, &SvgOptions::default());
    let document = Document::parse(&svg).unwrap();
    assert!(!svg.contains("NaN") || texts(scene).iter().any(|text| text.contains("NaN")));
    let layers = document
        .root_element()
        .children()
        .filter(|node| node.has_attribute("data-layer"));
    assert_eq!(layers.count(), scene.layers.len());
}

fn check_item(scene: &Scene, item: &Item) {
    if !item.is_drawable() {
        return;
    }
    let within = |x: f64, y: f64| {
        (-BESIDE_SHEET_MM..=scene.width_mm + BESIDE_SHEET_MM).contains(&x)
            && (-BESIDE_SHEET_MM..=scene.height_mm + BESIDE_SHEET_MM).contains(&y)
    };
    match &item.shape {
        Shape::Path { path, .. } => {
            for point in path.points() {
                assert!(within(point.x, point.y), "{}: {point:?}", scene.title);
            }
        }
        Shape::Text { .. } => check_text(scene, &item.shape),
        Shape::Group { items, clip: None } => {
            items.iter().for_each(|item| check_item(scene, item));
        }
        // What a clip holds is cut off at the clip.
        Shape::Group { clip, .. } => {
            for point in clip.iter().flat_map(Path::points) {
                assert!(within(point.x, point.y), "{}: {point:?}", scene.title);
            }
        }
    }
}

fn check_text(scene: &Scene, shape: &Shape) {
    let Shape::Text {
        at,
        text,
        size_mm,
        anchor,
        weight,
        ..
    } = shape
    else {
        return;
    };
    let width = text_width_mm(text, *size_mm, *weight);
    let left = match anchor {
        Anchor::Start => at.x,
        Anchor::Middle => at.x - 0.5 * width,
        Anchor::End => at.x - width,
    };
    // Capitals stand 0.73 of the em high.
    let is_inside = left >= -0.01
        && left + width <= scene.width_mm + 0.01
        && at.y - 0.73 * size_mm >= -0.01
        && at.y <= scene.height_mm;
    assert!(is_inside, "{}: “{text}” at {at:?}", scene.title);
}
