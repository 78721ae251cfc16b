//! The map of what the blocks leave: height above the camber all over the board.

use bench::BenchPlan;
use bench::left::height_left;
use instrument::Instrument;

use super::frame::{Frame, Look, WIDE_MM};
use crate::{Anchor, ColourMap, Dash, Field, Ink, Item, Path, Point, Scene};

/// Steps of colour between nothing and the greatest height.
const STEPS: usize = 8;
/// Samples along the board, besides those at both sides of every zone's end.
const COLUMNS: usize = 72;
/// Samples across it.
const ROWS: usize = 25;

/// Height left above the camber by the blocks, as bands of colour, dark for nothing, with the
/// zones' ends as dashed lines and a bar that tells the colours.
pub fn left_map(instrument: &Instrument, plan: &BenchPlan, look: Look) -> Scene {
    let probe = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, 0.0);
    let half = probe.half_height(instrument);
    let height = 2.0 * half + 17.0;
    let frame = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, half + 4.0);
    let most = plan.blocks_leave.max_mm;
    let description = format!(
        "Map of the wood the blocks leave above the camber: nothing on the crown, {} at most at the edges.",
        look.length(most, 3)
    );
    let mut scene = Scene::new(WIDE_MM, height, "Map of what the blocks leave", description);
    let ground = Ink::Map(ColourMap::Cividis, 0.0);
    scene
        .layer("ground")
        .add(Item::filled(frame.outline(instrument), ground));
    draw_bands(&mut scene, instrument, plan, &frame);
    draw_zone_ends(&mut scene, instrument, plan, &frame);
    scene
        .layer("edge")
        .add(Item::stroked(frame.outline(instrument), Ink::WoodEdge, 0.4));
    draw_bar(&mut scene, height, most, look);
    scene
}

fn draw_bands(scene: &mut Scene, instrument: &Instrument, plan: &BenchPlan, frame: &Frame) {
    let most = plan.blocks_leave.max_mm;
    if most < 1e-6 {
        return;
    }
    let Some(field) = field(instrument, plan, frame) else {
        return;
    };
    for step in 1..=STEPS {
        let share = step as f64 / (STEPS + 1) as f64;
        let ink = Ink::Map(ColourMap::Cividis, step as f64 / STEPS as f64);
        let region = field.region_above(share * most);
        // On a skewed board the samples may miss a step's very top.
        if !region.is_empty() {
            scene.layer("bands").add(Item::filled(region, ink));
        }
    }
}

/// The height left, sampled from nut to end; at every zone's end on both sides, so that the
/// steps stand upright on a square board.
fn field(instrument: &Instrument, plan: &BenchPlan, frame: &Frame) -> Option<Field> {
    let (nut, end) = (instrument.outline.nut, instrument.outline.end);
    let length = end.x_mm - nut.x_mm;
    let mut shares: Vec<f64> = (0..=COLUMNS)
        .map(|step| step as f64 / COLUMNS as f64)
        .collect();
    for at in bench::blocks::zone_ends(&plan.zones) {
        let share = (at - nut.x_mm) / length;
        shares.extend([share - 1e-7, share + 1e-7]);
    }
    shares.retain(|share| (0.0..=1.0).contains(share));
    shares.sort_by(f64::total_cmp);
    Field::from_fn(shares.len(), ROWS, |column, row| {
        let across = row as f64 / (ROWS - 1) as f64;
        let (x, y) = instrument.outline.place(shares[column], across);
        (
            frame.point(x, y),
            height_left(instrument, &plan.zones, x, y),
        )
    })
    .ok()
}

fn draw_zone_ends(scene: &mut Scene, instrument: &Instrument, plan: &BenchPlan, frame: &Frame) {
    let end = instrument.end_x_mm();
    for x in bench::blocks::zone_ends(&plan.zones) {
        if x < 1.0 || x > end - 1.0 {
            continue;
        }
        let half = instrument.outline.half_width(x) + 1.5 / frame.scale();
        let line = Path::line(frame.point(x, half), frame.point(x, -half));
        scene
            .layer("zones")
            .add(Item::stroked(line, Ink::Second, 0.4).dashed(Dash::Dashed));
    }
}

/// The colours from nothing to the most, with both ends lettered.
fn draw_bar(scene: &mut Scene, height: f64, most: f64, look: Look) {
    let (left, top, step) = (30.0, height - 8.5, 12.0);
    let layer = scene.layer("bar");
    for index in 0..=STEPS {
        let ink = Ink::Map(ColourMap::Cividis, index as f64 / STEPS as f64);
        layer.add(Item::filled(
            Path::rect(left + step * index as f64, top, step, 4.0),
            ink,
        ));
    }
    let words = |x: f64, text: String| Item::text(Point::new(x, top + 3.2), text, 3.2, Ink::Text);
    layer.add(words(left - 2.0, "nothing left".into()).anchored(Anchor::End));
    let right = left + step * (STEPS + 1) as f64 + 2.0;
    layer.add(words(
        right,
        format!("{} left, at most", look.length(most, 3)),
    ));
}
