//! Touch maps as chalk: what the board must look like at moments of a stage.

use bench::touch::{MOMENTS, TouchMap};
use bench::{Stage, Work};
use instrument::Instrument;

use super::frame::{Frame, Look, WIDE_MM};
use crate::{Anchor, Dash, Field, Ink, Item, Path, Point, Scene};

/// Samples along and across the board: fine enough that the chalk's border is smooth.
const COLUMNS: usize = 96;
const ROWS: usize = 25;

/// The first touch is a line; so much of the depth below it is shown as touched, to be seen.
const FIRST_TOUCH_SHARE: f64 = 0.05;

/// Five boards, one for each moment of a stage, chalk white where the tool has not yet been.
pub fn touch_strip(instrument: &Instrument, stage: &Stage, look: Look) -> Scene {
    let map = TouchMap::of(instrument, stage, COLUMNS, ROWS);
    let probe = Frame::fit(instrument, 34.0, WIDE_MM - 4.0, 0.0);
    let step = 2.0 * probe.half_height(instrument) + 4.5;
    let description = "What chalk must look like at 0, 25, 50, 75 and 95 percent of the stage: white where it stays, bare where the tool has met the wood.";
    let mut scene = Scene::new(
        WIDE_MM,
        5.0 * step + 3.0,
        "Chalk during the stage",
        description,
    );
    for (moment, share) in MOMENTS.iter().enumerate() {
        let middle = step * (moment as f64 + 0.5) + 1.0;
        let frame = Frame::fit(instrument, 34.0, WIDE_MM - 4.0, middle);
        draw_chalk(&mut scene, instrument, stage, &map, &frame, moment);
        let label = if moment == 0 {
            "first touch".to_owned()
        } else {
            format!("{:.0} % done", share * 100.0)
        };
        scene
            .layer("words")
            .add(Item::text(Point::new(2.0, middle), label, 3.4, Ink::Text));
        let still = format!("{} to go", look.length(map.tool_height_mm[moment], 3));
        scene.layer("words").add(Item::text(
            Point::new(2.0, middle + 4.0),
            still,
            3.0,
            Ink::FaintText,
        ));
    }
    scene
}

/// One board with the chalk as it must look at a moment (an index into [`MOMENTS`]).
pub fn chalk_map(instrument: &Instrument, stage: &Stage, moment: usize) -> Scene {
    let moment = moment.min(MOMENTS.len() - 1);
    let map = TouchMap::of(instrument, stage, COLUMNS, ROWS);
    let probe = Frame::fit(instrument, 4.0, WIDE_MM - 4.0, 0.0);
    let height = 2.0 * probe.half_height(instrument) + 4.0;
    let frame = Frame::fit(instrument, 4.0, WIDE_MM - 4.0, 0.5 * height);
    let description = format!(
        "Chalk at {:.0} percent of the stage.",
        MOMENTS[moment] * 100.0
    );
    let mut scene = Scene::new(WIDE_MM, height, "Chalk on the board", description);
    draw_chalk(&mut scene, instrument, stage, &map, &frame, moment);
    scene
}

fn draw_chalk(
    scene: &mut Scene,
    instrument: &Instrument,
    stage: &Stage,
    map: &TouchMap,
    frame: &Frame,
    moment: usize,
) {
    scene
        .layer("wood")
        .add(Item::filled(frame.outline(instrument), Ink::Chalk));
    let height = map.tool_height_mm[moment];
    if let Some(field) = touched_field(map, frame) {
        // The first touch is a line; a hair below it shows where it lies.
        let level = if moment == 0 {
            height * (1.0 - FIRST_TOUCH_SHARE)
        } else {
            height
        };
        let gone = field.region_above(level);
        if !gone.is_empty() {
            scene.layer("gone").add(Item::filled(gone, Ink::Wood));
        }
    }
    if moment == 0 {
        draw_first_touch(scene, map, frame);
    }
    for fret in &instrument.frets {
        scene.layer("frets").add(Item::stroked(
            frame.across(instrument, *fret),
            // A fret's own ink would be lost on chalk where the page is dark.
            Ink::WoodEdge,
            0.2,
        ));
    }
    scene
        .layer("edge")
        .add(Item::stroked(frame.outline(instrument), Ink::WoodEdge, 0.3));
    draw_zone_end(scene, instrument, stage, frame);
}

/// Rings around the places that the tool meets first, when they are few: a corner hardly shows.
fn draw_first_touch(scene: &mut Scene, map: &TouchMap, frame: &Frame) {
    let deepest = map.depth_mm.iter().copied().fold(0.0, f64::max);
    let first: Vec<Point> = map
        .points
        .iter()
        .zip(&map.depth_mm)
        .filter(|(_, depth)| deepest > 0.0 && **depth >= 0.99 * deepest)
        .map(|((x, y), _)| frame.point(*x, *y))
        .collect();
    if first.len() > map.points.len() / 40 {
        return;
    }
    let mut ringed: Vec<Point> = Vec::new();
    for place in first {
        let apart = |other: &Point| (other.x - place.x).hypot(other.y - place.y) > 8.0;
        if ringed.iter().all(apart) {
            let ring = Path::circle(place, 2.2);
            scene
                .layer("first")
                .add(Item::stroked(ring, Ink::Accent, 0.5));
            ringed.push(place);
        }
    }
}

/// A field of the wood to take off. Where nothing comes off chalk stays to the end, so that
/// those samples lie under every level.
fn touched_field(map: &TouchMap, frame: &Frame) -> Option<Field> {
    Field::from_fn(map.columns, map.rows, |column, row| {
        let sample = column * map.rows + row;
        let (x, y) = map.points[sample];
        let depth = map.depth_mm[sample];
        (frame.point(x, y), if depth > 1e-9 { depth } else { -1.0 })
    })
    .ok()
}

/// Where the tool must stop.
fn draw_zone_end(scene: &mut Scene, instrument: &Instrument, stage: &Stage, frame: &Frame) {
    let end = instrument.end_x_mm();
    let stops = stage
        .spans
        .iter()
        .flat_map(|span| [span.from_mm, span.to_mm]);
    for x in stops.filter(|x| *x > 1.0 && *x < end - 1.0) {
        let half = instrument.outline.half_width(x) + 1.5 / frame.scale();
        let line = Path::line(frame.point(x, half), frame.point(x, -half));
        scene
            .layer("stops")
            .add(Item::stroked(line, Ink::Caution, 0.5).dashed(Dash::Dashed));
        if matches!(stage.work, Work::Block(_)) {
            let at = frame.point(x, half);
            let words = Item::text(
                Point::new(at.x + 1.0, at.y + 2.6),
                "stop",
                3.0,
                Ink::Caution,
            );
            scene.layer("stops").add(words.anchored(Anchor::Start));
        }
    }
}
