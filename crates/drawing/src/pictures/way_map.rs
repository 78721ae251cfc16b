//! A cutter's way over the blank, seen from above.

use instrument::Instrument;

use super::frame::{TEXT_MM, WIDE_MM};
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene};

/// A stretch of a cutter's way in plan, x and y in the instrument's frame, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct WayLine {
    /// Its points in order.
    pub points: Vec<(f64, f64)>,
    /// Whether it cuts, or moves in the air.
    pub cuts: bool,
}

/// The way of a program over the blank: where it cuts as lines, where it moves in the air broken,
/// the board's outline and the clamps.
pub fn way_map(instrument: &Instrument, title: &str, lines: &[WayLine]) -> Scene {
    let blank = instrument.blank;
    let rim = 12.0;
    let (from, to) = (
        blank.from_x_mm - rim,
        blank.from_x_mm + blank.length_mm + rim,
    );
    let scale = WIDE_MM / (to - from).max(1e-9);
    let half = scale * (0.5 * blank.width_mm + rim);
    let at = |(x, y): (f64, f64)| Point::new(scale * (x - from), half - scale * y);
    let description = format!(
        "{title}: the cutter's way seen from above, nut at the left, treble side up; broken lines are moves in the air."
    );
    let mut scene = Scene::new(WIDE_MM, 2.0 * half + 6.0, title, description);
    let half_blank = 0.5 * blank.width_mm;
    let end = blank.from_x_mm + blank.length_mm;
    let corners = [
        (blank.from_x_mm, half_blank),
        (end, half_blank),
        (end, -half_blank),
        (blank.from_x_mm, -half_blank),
    ];
    scene.layer("blank").add(Item::path(
        Path::polygon(&corners.map(at)),
        Some(crate::Stroke::new(Ink::WoodEdge, 0.3)),
        Some(Ink::Wood),
    ));
    let outline = Path::polygon(&instrument.outline.corners().map(at));
    scene
        .layer("board")
        .add(Item::stroked(outline, Ink::Line, 0.3));
    for line in lines {
        let points: Vec<Point> = line.points.iter().copied().map(at).collect();
        let path = Path::polyline(&points);
        let item = match line.cuts {
            true => Item::stroked(path, Ink::Accent, 0.12),
            false => Item::stroked(path, Ink::FaintText, 0.12).dashed(Dash::Dashed),
        };
        scene
            .layer(if line.cuts { "cuts" } else { "air" })
            .add(item);
    }
    for clamp in &instrument.cutting.clamps {
        let (low, high) = (clamp.from, clamp.to);
        let corners = [low, (high.0, low.1), high, (low.0, high.1)];
        let stroke = crate::Stroke::new(Ink::Caution, 0.4);
        let path = Path::polygon(&corners.map(at));
        scene
            .layer("clamps")
            .add(Item::path(path, Some(stroke), None));
    }
    let words = |x: f64, text: &str| {
        Item::text(
            Point::new(x, 2.0 * half + 4.0),
            text,
            TEXT_MM,
            Ink::FaintText,
        )
    };
    scene
        .layer("words")
        .add(words(3.0, "nut at the left, treble side above"))
        .add(words(WIDE_MM - 3.0, "broken: in the air").anchored(Anchor::End));
    scene
}
