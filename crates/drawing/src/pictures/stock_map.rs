//! The map of the wood that a machine's program leaves over the finished face.

use instrument::Instrument;

use super::frame::{Frame, Look, WIDE_MM};
use crate::{Anchor, ColourMap, Field, Ink, Item, Path, Point, Scene};

/// Steps of colour between nothing and the greatest height.
const STEPS: usize = 8;

/// Heights left over the finished face, at equal shares of the board's length and of its width.
#[derive(Clone, Copy, Debug)]
pub struct StockMap<'a> {
    /// What left it, such as `finishing of the camber`.
    pub after: &'a str,
    /// Places along the board, from the nut's line to the end's.
    pub columns: usize,
    /// Places across it, from the bass edge.
    pub rows: usize,
    /// Heights, µm, row by row; slots and dots may lie below zero.
    pub over_um: &'a [f32],
}

/// Wood left over the finished face as bands of colour, dark for nothing, with a bar that tells the
/// colours. Where there is no grid the board is shown bare.
pub fn stock_map(instrument: &Instrument, map: &StockMap<'_>, look: Look) -> Scene {
    let probe = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, 0.0);
    let half = probe.half_height(instrument);
    let height = 2.0 * half + 17.0;
    let frame = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, half + 4.0);
    let most_mm = 1e-3 * f64::from(map.over_um.iter().copied().fold(0.0f32, f32::max));
    let words = in_words(most_mm, look);
    let title = format!("Wood left by the {}", map.after);
    let description = format!("Map of the wood left over the finished face: {words} at most.");
    let mut scene = Scene::new(WIDE_MM, height, title, description);
    let ground = Ink::Map(ColourMap::Cividis, 0.0);
    scene
        .layer("ground")
        .add(Item::filled(frame.outline(instrument), ground));
    draw_bands(&mut scene, instrument, map, &frame, most_mm);
    scene
        .layer("edge")
        .add(Item::stroked(frame.outline(instrument), Ink::WoodEdge, 0.4));
    draw_bar(&mut scene, height, &words);
    scene
}

/// A height in the unit that shows it: micrometres, or thousandths of an inch.
fn in_words(mm: f64, look: Look) -> String {
    match look.unit {
        quantity::LengthUnit::Millimetre if mm < 0.1 => format!("{:.1} µm", 1e3 * mm),
        quantity::LengthUnit::Millimetre => format!("{mm:.2} mm"),
        _ => format!("{:.2} thousandths of an inch", mm / 0.0254),
    }
}

fn draw_bands(
    scene: &mut Scene,
    instrument: &Instrument,
    map: &StockMap<'_>,
    frame: &Frame,
    most_mm: f64,
) {
    if most_mm < 1e-7 || map.columns < 2 || map.rows < 2 {
        return;
    }
    let share = |index: usize, count: usize| index as f64 / (count - 1) as f64;
    let field = Field::from_fn(map.columns, map.rows, |column, row| {
        let (along, across) = (share(column, map.columns), share(row, map.rows));
        let (x, y) = instrument.outline.place(along, across);
        let over = map.over_um.get(row * map.columns + column);
        (
            frame.point(x, y),
            1e-3 * over.copied().map_or(0.0, f64::from).max(0.0),
        )
    });
    let Ok(field) = field else { return };
    for step in 1..=STEPS {
        let level = step as f64 / (STEPS + 1) as f64 * most_mm;
        let region = field.region_above(level);
        if !region.is_empty() {
            let ink = Ink::Map(ColourMap::Cividis, step as f64 / STEPS as f64);
            scene.layer("bands").add(Item::filled(region, ink));
        }
    }
}

/// The colours from nothing to the most, with both ends lettered.
fn draw_bar(scene: &mut Scene, height: f64, words: &str) {
    let (left, top, step) = (30.0, height - 8.5, 12.0);
    let layer = scene.layer("bar");
    for index in 0..=STEPS {
        let ink = Ink::Map(ColourMap::Cividis, index as f64 / STEPS as f64);
        let swatch = Path::rect(left + step * index as f64, top, step, 4.0);
        layer.add(Item::filled(swatch, ink));
    }
    let lettered =
        |x: f64, text: String| Item::text(Point::new(x, top + 3.2), text, 3.2, Ink::Text);
    layer.add(lettered(left - 2.0, "nothing left".into()).anchored(Anchor::End));
    let right = left + step * (STEPS + 1) as f64 + 2.0;
    layer.add(lettered(right, format!("{words} left, at most")));
}
