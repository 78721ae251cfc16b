//! What the charts of playing share: figures that can be drawn, words for them, keys to their
//! lines, and what tells one string's line from another's.

use super::frame::{TEXT_MM, WIDE_MM, fitted, flow, words_mm};
use crate::{
    Anchor, ColourMap, Ink, Item, Palette, Path, Point, Scene, Stroke, Transform, contrast_ratio,
};

/// The greatest figure that a chart takes, in its unit; a greater one comes from a fault.
pub(super) const MOST: f64 = 1.0e6;
/// Height of a row of a key, mm.
pub(super) const KEY_ROW_MM: f64 = 5.6;

/// Whether a figure can stand on a chart.
pub(super) fn is_sound(figure: f64) -> bool {
    // A comparison with NaN is false.
    figure.abs() <= MOST
}

/// The least and greatest of the figures that can be drawn; nothing if there is none.
pub(super) fn range(figures: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    figures
        .filter(|figure| is_sound(*figure))
        .fold(None, |range, figure| {
            let (low, high) = range.unwrap_or((figure, figure));
            Some((low.min(figure), high.max(figure)))
        })
}

/// A figure with so many decimals, six at most, and a true minus sign; never `−0`.
pub(super) fn figure_text(figure: f64, decimals: usize) -> String {
    let digits = format!("{:.*}", decimals.min(6), figure.abs());
    let is_zero = digits.chars().all(|digit| matches!(digit, '0' | '.'));
    if figure < 0.0 && !is_zero {
        format!("−{digits}")
    } else {
        digits
    }
}

/// [`figure_text`] with a sign before figures above zero too.
pub(super) fn signed_text(figure: f64, decimals: usize) -> String {
    let text = figure_text(figure, decimals);
    let is_zero = text.chars().all(|digit| matches!(digit, '0' | '.'));
    if figure > 0.0 && !is_zero {
        format!("+{text}")
    } else {
        text
    }
}

/// The greatest round factor (1, 1.5, 2, 3, 4, 5, 6, 8 times a power of ten) that is at most
/// `factor`; 1 for what is less or no number, and a million at most.
pub(super) fn round_factor(factor: f64) -> f64 {
    let factor = if factor.is_nan() {
        1.0
    } else {
        factor.clamp(1.0, MOST)
    };
    let power = 10_f64.powf(factor.log10().floor());
    [8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.5]
        .into_iter()
        .find(|step| step * power <= factor)
        .map_or(power, |step| step * power)
}

/// The ink, dark or light, in which words on a place of a colour map are read best.
pub(super) fn ink_on(map: ColourMap, place: f64) -> Ink {
    // The map and both inks are the same on every page.
    let ground = map.colour(place);
    let contrast = |ink: Ink| contrast_ratio(ground, Palette::Light.colour(ink));
    if contrast(Ink::OverMap) >= contrast(Ink::OverMapRim) {
        Ink::OverMap
    } else {
        Ink::OverMapRim
    }
}

/// The picture's title at the top left, cut to the sheet.
pub(super) fn draw_title(scene: &mut Scene) {
    let words = fitted(&scene.title, TEXT_MM, scene.width_mm - 6.0);
    scene
        .layer("words")
        .add(Item::text(Point::new(3.0, 4.0), words, TEXT_MM, Ink::Text));
}

/// The caller's words, or ours where there are none.
pub(super) fn or_else<'a>(words: &'a str, ours: &'a str) -> &'a str {
    match words.trim() {
        "" => ours,
        words => words,
    }
}

/// Says in the middle of a place that there is nothing to draw.
pub(super) fn draw_nothing(scene: &mut Scene, middle: Point, words: &str) {
    let item = Item::text(middle, words, 4.0, Ink::FaintText).anchored(Anchor::Middle);
    scene.layer("figure").add(item);
}

/// A word on a plate of the sheet's own colour, so that lines under it do not cross it.
pub(super) fn draw_on_plate(scene: &mut Scene, at: Point, words: &str, ink: Ink, anchor: Anchor) {
    let width = words_mm(words, TEXT_MM) + 1.6;
    let left = match anchor {
        Anchor::Start => at.x - 0.8,
        Anchor::Middle => at.x - 0.5 * width,
        Anchor::End => at.x + 0.8 - width,
    };
    let place = Path::rect(left, at.y - 0.95 * TEXT_MM, width, 1.35 * TEXT_MM);
    let layer = scene.layer("labels");
    layer.add(Item::filled(place, Ink::Paper));
    layer.add(Item::text(at, words, TEXT_MM, ink).anchored(anchor));
}

/// One entry of a key: a sample, drawn about a point, and its words.
pub(super) struct KeyEntry {
    /// The sample, drawn about the origin, at most [`SAMPLE_MM`] wide.
    pub(super) sample: Vec<Item>,
    /// What it stands for.
    pub(super) words: String,
}

impl KeyEntry {
    /// Where the words begin: at once where there is no sample.
    fn words_from_mm(&self) -> f64 {
        if self.sample.is_empty() {
            0.0
        } else {
            SAMPLE_MM + 1.6
        }
    }
}

/// Width of a key's sample, mm.
pub(super) const SAMPLE_MM: f64 = 9.0;

fn key_places(entries: &[KeyEntry]) -> Vec<(usize, f64)> {
    let width = |entry: &KeyEntry| entry.words_from_mm() + 6.4 + key_words(entry).1;
    let widths: Vec<f64> = entries.iter().map(width).collect();
    flow(&widths, 4.0, WIDE_MM)
}

/// An entry's words, cut to the sheet, and how wide they are, mm.
fn key_words(entry: &KeyEntry) -> (String, f64) {
    let words = fitted(&entry.words, TEXT_MM, WIDE_MM - 30.0);
    let width = words_mm(&words, TEXT_MM);
    (words, width)
}

/// How high a key stands, mm.
pub(super) fn key_height_mm(entries: &[KeyEntry]) -> f64 {
    let rows = key_places(entries).last().map_or(0, |place| place.0 + 1);
    KEY_ROW_MM * rows as f64
}

/// A key across the sheet, from a height down.
pub(super) fn draw_key(scene: &mut Scene, entries: &[KeyEntry], top_mm: f64) {
    let places = key_places(entries);
    for (entry, (row, x)) in entries.iter().zip(places) {
        let middle = top_mm + KEY_ROW_MM * (row as f64 + 0.5);
        let to = Transform::translate(x + 0.5 * SAMPLE_MM, middle);
        let layer = scene.layer("key");
        layer.extend(entry.sample.iter().map(|item| item.transformed(&to)));
        let at = Point::new(x + entry.words_from_mm(), middle + 0.36 * TEXT_MM);
        layer.add(Item::text(at, key_words(entry).0, TEXT_MM, Ink::Text));
    }
}

/// A short level line as the sample of a key.
pub(super) fn line_sample(stroke: Stroke) -> Item {
    let half = 0.5 * SAMPLE_MM;
    let path = Path::line(Point::new(-half, 0.0), Point::new(half, 0.0));
    Item::path(path, Some(stroke), None)
}

/// The mark of a string by its place among the strings: twelve shapes, every other one open, so
/// that no line hangs on its colour.
pub(super) fn string_mark(string: usize, at: Point, ink: Ink, reach_mm: f64) -> Item {
    let place = |(x, y): &(f64, f64)| Point::new(at.x + reach_mm * x, at.y + reach_mm * y);
    let outline = match mark_corners(string) {
        [] => Path::circle(at, 0.9 * reach_mm),
        corners => Path::polygon(&corners.iter().map(place).collect::<Vec<Point>>()),
    };
    let is_filled = string.is_multiple_of(2);
    let fill = if is_filled { ink } else { Ink::Paper };
    Item::path(outline, Some(Stroke::new(ink, 0.35)), Some(fill))
}

/// The corners of a string's mark about the origin; none for a circle.
fn mark_corners(string: usize) -> &'static [(f64, f64)] {
    match (string % 12) / 2 {
        0 => &[],
        1 => &[(-0.85, -0.85), (0.85, -0.85), (0.85, 0.85), (-0.85, 0.85)],
        2 => &[(-1.0, 0.75), (0.0, -1.05), (1.0, 0.75)],
        3 => &[(0.0, -1.15), (1.15, 0.0), (0.0, 1.15), (-1.15, 0.0)],
        4 => &[(-1.0, -0.75), (1.0, -0.75), (0.0, 1.05)],
        _ => &[(-0.45, -1.1), (0.45, -1.1), (0.45, 1.1), (-0.45, 1.1)],
    }
}
