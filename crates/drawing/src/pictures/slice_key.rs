//! The lines of a slice and their key: each differs from the others by dash or width, not only
//! by its ink.

use super::frame::{WIDE_MM, fitted, flow, words_mm};
use super::map_marks::Ground;
use super::slice::{PointTrust, Slice, band_middles_mm, runs};
use crate::{Dash, Ink, Item, Path, Point, Scene, Stroke};

/// Height of a row of the key, mm.
const ROW_MM: f64 = 5.0;
/// Length of a line's sample, mm.
const SAMPLE_MM: f64 = 11.0;
/// Size of the words, mm.
const TEXT_MM: f64 = 3.0;

/// One line of the chart.
pub(super) struct Line<'a> {
    /// What the key says.
    pub(super) name: &'a str,
    /// Height at each place, mm.
    pub(super) heights_mm: &'a [f64],
    /// How it is drawn.
    pub(super) stroke: Stroke,
}

/// Every line of a slice that can be drawn, the most important first.
pub(super) fn lines(slice: &Slice) -> Vec<Line<'_>> {
    let wood = Stroke::new(Ink::Accent, 0.7);
    let proposed = Stroke::new(Ink::Second, 0.55).dashed(Dash::Dashed);
    let planned = Stroke::new(Ink::Line, 0.3).dashed(Dash::Chain);
    let line = |name, heights_mm, stroke| Line {
        name,
        heights_mm,
        stroke,
    };
    let mut lines = vec![line("wood now", slice.wood_mm.as_slice(), wood)];
    let list = slice.proposed_mm.as_deref();
    lines.extend(list.map(|list| line("after the next step", list, proposed)));
    let list = slice.planned_mm.as_deref();
    lines.extend(list.map(|list| line("planned", list, planned)));
    for (visit, (name, heights)) in slice.earlier.iter().enumerate() {
        lines.push(line(name, heights, earlier(visit)));
    }
    lines.retain(|line| !runs(slice, line.heights_mm).is_empty());
    lines
}

/// Earlier visits are faint; three ways of breaking and two widths tell six of them apart.
fn earlier(visit: usize) -> Stroke {
    let width = if (visit / 3).is_multiple_of(2) {
        0.3
    } else {
        0.5
    };
    let line = Stroke::new(Ink::FaintText, width);
    match visit % 3 {
        0 => line.dashed(Dash::Dotted),
        1 => line,
        _ => line.dashed(Dash::Dashed),
    }
}

/// What stands before an entry's words.
enum Sample {
    Line(Stroke),
    Band,
    Mark(PointTrust),
}

fn entries(slice: &Slice) -> Vec<(Sample, String)> {
    let mut entries: Vec<(Sample, String)> = Vec::new();
    for line in lines(slice) {
        let name = fitted(line.name, TEXT_MM, 70.0);
        entries.push((Sample::Line(line.stroke), name));
    }
    if !runs(slice, &band_middles_mm(slice)).is_empty() {
        entries.push((Sample::Band, "where the wood lies, 95 %".to_owned()));
    }
    let trusts = [
        (PointTrust::Taken, "reading, 95 %"),
        (PointTrust::Doubted, "doubted reading"),
        (PointTrust::SetAside, "reading set aside"),
    ];
    for (trust, words) in trusts {
        if slice.readings.iter().any(|point| point.trust == trust) {
            entries.push((Sample::Mark(trust), words.to_owned()));
        }
    }
    entries
}

fn places(entries: &[(Sample, String)]) -> Vec<(usize, f64)> {
    let width = |entry: &(Sample, String)| SAMPLE_MM + 2.0 + words_mm(&entry.1, TEXT_MM) + 6.0;
    let widths: Vec<f64> = entries.iter().map(width).collect();
    flow(&widths, 8.0, WIDE_MM)
}

/// How high the key is, mm.
pub(super) fn key_height_mm(slice: &Slice) -> f64 {
    let last = places(&entries(slice)).last().map(|place| place.0 + 1);
    ROW_MM * last.unwrap_or(0) as f64 + 2.0
}

/// The key to what is drawn, from a height down.
pub(super) fn draw_key(scene: &mut Scene, slice: &Slice, top_mm: f64) {
    let entries = entries(slice);
    let places = places(&entries);
    for ((sample, words), (row, x)) in entries.into_iter().zip(places) {
        let middle = top_mm + ROW_MM * (row as f64 + 0.5);
        let layer = scene.layer("key");
        layer.add(sample_item(&sample, x, middle));
        let at = Point::new(x + SAMPLE_MM + 2.0, middle + 1.1);
        layer.add(Item::text(at, words, TEXT_MM, Ink::Text));
    }
}

fn sample_item(sample: &Sample, x: f64, middle: f64) -> Item {
    match sample {
        Sample::Line(stroke) => {
            let line = Path::line(Point::new(x, middle), Point::new(x + SAMPLE_MM, middle));
            Item::path(line, Some(*stroke), None)
        }
        Sample::Band => {
            let area = Path::rect(x, middle - 1.5, SAMPLE_MM, 3.0);
            let edge = Stroke::new(Ink::Accent, 0.12);
            Item::path(area, Some(edge), Some(Ink::AccentFill))
        }
        Sample::Mark(trust) => {
            let at = Point::new(x + 0.7 * SAMPLE_MM, middle);
            trust.mark().item(at, Ground::Sheet)
        }
    }
}
