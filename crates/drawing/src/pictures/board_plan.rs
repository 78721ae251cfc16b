//! The plan of the board, to scale: frets, lanes, edges, contours of height, the pointed place.

use instrument::scale::CrossLine;
use instrument::{Instrument, fret_name};

use super::frame::{Frame, Look, Pointed, WIDE_MM};
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene, nice_ticks};

/// The plan of the finished board with contours of its height. Frets are keyed `fret-N`, lanes
/// `lane-N` (counted from 0), as places to point at.
pub fn board_plan(instrument: &Instrument, look: Look) -> Scene {
    let pointed = look.place();
    let probe = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, 0.0);
    let half = probe.half_height(instrument);
    let height = 2.0 * half + 16.5;
    let frame = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, half + 6.0);
    let description = format!(
        "Plan of {}: {} frets, nut at the left, treble side up; {} and string {} are pointed at.",
        instrument.title,
        instrument.last_fret(),
        fret_name(pointed.fret),
        pointed.lane + 1
    );
    let mut scene = Scene::new(WIDE_MM, height, "Plan of the board", description);
    scene
        .layer("wood")
        .add(Item::path(frame.outline(instrument), None, Some(Ink::Wood)));
    let step = draw_contours(&mut scene, instrument, &frame);
    frame.draw_frets(&mut scene, instrument, height - 6.2);
    draw_lanes(&mut scene, instrument, &frame, pointed);
    frame.draw_pointed(&mut scene, instrument, pointed, Ink::Accent);
    scene
        .layer("edge")
        .add(Item::stroked(frame.outline(instrument), Ink::WoodEdge, 0.4));
    draw_words(&mut scene, look, height, step);
    draw_places(&mut scene, instrument, &frame);
    scene
}

/// Contours of the finished surface, at a round step; returns the step, mm.
fn draw_contours(scene: &mut Scene, instrument: &Instrument, frame: &Frame) -> Option<f64> {
    let camber = &instrument.camber;
    let field = frame.field(instrument, 64, 25, |x, y| camber.height(x, y))?;
    let (low, high) = field.range()?;
    if high - low < 1e-6 {
        return None;
    }
    // At the very crown a contour has no width: it would break up along the centreline.
    let mut levels = nice_ticks(low, high, 8);
    levels.retain(|level| *level < high - 1e-6);
    let layer = scene.layer("contours");
    for level in &levels {
        for line in field.isolines(*level) {
            layer.add(Item::stroked(Path::polyline(&line), Ink::WoodEdge, 0.15));
        }
    }
    levels.windows(2).next().map(|pair| pair[1] - pair[0])
}

fn draw_lanes(scene: &mut Scene, instrument: &Instrument, frame: &Frame, pointed: Pointed) {
    for (index, lane) in instrument.lanes.iter().enumerate() {
        let path = frame.along(instrument, lane);
        // A string is drawn by its thickness, though never thinner than can be seen.
        let width = (frame.scale() * instrument.strings[index].gauge.mm()).max(0.18);
        let item = if index == pointed.lane {
            Item::stroked(path, Ink::Accent, width.max(0.5))
        } else {
            Item::stroked(path, Ink::String, width)
        };
        scene.layer("lanes").add(item);
    }
}

fn draw_words(scene: &mut Scene, look: Look, height: f64, step: Option<f64>) {
    let layer = scene.layer("words");
    let words =
        |x: f64, y: f64, text: &str| Item::text(Point::new(x, y), text, 3.0, Ink::FaintText);
    layer.add(words(
        3.0,
        height - 1.2,
        "nut at the left, treble side above",
    ));
    if let Some(step) = step {
        let text = format!("contours every {} of height", look.length(step, 2));
        layer.add(words(WIDE_MM - 3.0, height - 1.2, &text).anchored(Anchor::End));
    }
}

/// Unseen places to point at: each fret takes the board halfway to its neighbours, each lane a
/// band of the length of the board.
fn draw_places(scene: &mut Scene, instrument: &Instrument, frame: &Frame) {
    let frets = &instrument.frets;
    let between = |a: CrossLine, b: CrossLine| CrossLine {
        x_mm: 0.5 * (a.x_mm + b.x_mm),
        slope: 0.5 * (a.slope + b.slope),
    };
    for (fret, line) in frets.iter().enumerate() {
        let before = fret
            .checked_sub(1)
            .map_or(instrument.outline.nut, |index| between(frets[index], *line));
        let after = frets
            .get(fret + 1)
            .map_or(instrument.outline.end, |next| between(*line, *next));
        let [a, b] = instrument.outline.edges_of(before);
        let [c, d] = instrument.outline.edges_of(after);
        let area = Path::polygon(&[a, c, d, b].map(|(x, y)| frame.point(x, y)));
        let name = fret_name(fret);
        scene.layer("places").add(
            Item::path(area, None, None)
                .keyed(format!("fret-{fret}"))
                .labelled(name),
        );
    }
    let dash = |index: usize| -> Option<Item> {
        let lane = instrument.lanes.get(index)?;
        let path = frame.along(instrument, lane);
        // Drawn in the wood's own ink so that it is a place to point at and nothing to see.
        Some(
            Item::stroked(path, Ink::FaintLine, 0.01)
                .dashed(Dash::Dotted)
                .keyed(format!("lane-{index}")),
        )
    };
    for index in 0..instrument.lanes.len() {
        scene.layer("lane places").items.extend(dash(index));
    }
}
