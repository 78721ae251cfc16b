//! The next step on the board, large and plain for the bench: where to work, the low places
//! that say how far, the tool's stretch, and how the tool moves.

use instrument::Instrument;

use super::departure_map::title;
use super::frame::{Frame, Look, Lying, WIDE_MM, fitted, words_mm};
use super::measured_map::{
    Colours, MapKind, MeasuredMap, Veil, draw_map, draw_veil_words, draw_what_is_missing,
};
use crate::{Anchor, Dash, Ink, Item, Path, Point, Scene, Stroke, Weight, wrap_text};

/// Steps of colour from nothing to the most: few, to be told apart from across the bench.
const STEPS: usize = 4;
/// Size of the words, mm.
const WORDS_MM: f64 = 5.0;
/// Height of a line of words, mm.
const LINE_MM: f64 = 7.0;
/// Above the board: the step's words and the tool's stretch, mm.
const HEAD_MM: f64 = 27.0;
/// Length and half breadth of an arrow's head, mm.
const HEAD_LENGTH_MM: f64 = 3.6;
const HEAD_HALF_MM: f64 = 1.7;

/// The next step as it is to be drawn on the board.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StepLook {
    /// The tool with what is on it, in words.
    pub tool: String,
    /// The stretches of the board that the tool works, from and to, mm from the nut.
    pub spans_mm: Vec<(f64, f64)>,
    /// How a beam swings; nothing for a tool that runs straight along the board.
    pub sweep: Option<BeamSweep>,
    /// The low places that say how far all must come down.
    pub limiting: Vec<LimitingSpot>,
}

/// How a beam swings: it lies over two places of the board, and each end moves as far to both
/// sides of the centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeamSweep {
    /// Where its nut end lies, mm from the nut.
    pub near_x_mm: f64,
    /// How far its nut end moves to each side, mm.
    pub near_y_mm: f64,
    /// Where its far end lies, mm from the nut.
    pub far_x_mm: f64,
    /// How far its far end moves to each side, mm.
    pub far_y_mm: f64,
}

/// A low place that limits a step.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitingSpot {
    /// From the nut's front face along the centreline, mm.
    pub x_mm: f64,
    /// From the centreline toward the treble side, mm.
    pub y_mm: f64,
    /// What is said of it.
    pub words: String,
}

/// The next step: depths to take off in a few colours, the tool's stretch and its movement, the
/// limiting places ringed and numbered. Rings are keyed `limiting-N`, counted from 0.
///
/// Of a map of [`MapKind::Departure`] the wood over the plan is shown as what is to come off.
pub fn step_on_board(
    instrument: &Instrument,
    map: &MeasuredMap,
    step: &StepLook,
    look: Look,
) -> Scene {
    let probe = Frame::fit(instrument, 6.0, WIDE_MM - 6.0, 0.0);
    let half = probe.half_height(instrument) + 3.0;
    let foot = HEAD_MM + 2.0 * half;
    let lying = Lying {
        instrument,
        frame: Frame::fit(instrument, 6.0, WIDE_MM - 6.0, HEAD_MM + half),
        look,
    };
    let map = as_take_off(map);
    let colours = Colours::of(&map, STEPS, look);
    let lines = limiting_lines(step);
    let height = foot + 24.0 + LINE_MM * lines.len() as f64;
    let description = description(&map, step, look);
    let mut scene = Scene::new(WIDE_MM, height, title(&map), description);
    draw_map(&mut scene, &map, &colours, Veil::UnknownOnly, &lying);
    draw_board(&mut scene, &lying);
    draw_spans(&mut scene, step, &lying);
    draw_movement(&mut scene, step, &lying);
    draw_limiting(&mut scene, step, &lying);
    draw_what_is_missing(&mut scene, &map, &lying);
    draw_colours(&mut scene, &colours, foot + 4.0, look);
    draw_veil_words(&mut scene, &map, Veil::UnknownOnly, foot + 19.0, look);
    draw_words(&mut scene, &map, step, &lines, foot + 24.0);
    scene
}

/// A map of depths; wood under the plan is left as it is.
fn as_take_off(map: &MeasuredMap) -> MeasuredMap {
    MeasuredMap {
        kind: MapKind::TakeOff,
        ..map.clone()
    }
}

fn description(map: &MeasuredMap, step: &StepLook, look: Look) -> String {
    let most = map
        .known_range_mm()
        .map_or("not known".to_owned(), |range| {
            look.length(range.1.max(0.0), 3)
        });
    let spots: Vec<&str> = step
        .limiting
        .iter()
        .map(|spot| spot.words.as_str())
        .collect();
    let limited = if spots.is_empty() {
        "no place limits it".to_owned()
    } else {
        format!("limited at {} places: {}", spots.len(), spots.join("; "))
    };
    let tool = if step.tool.trim().is_empty() {
        "no tool named"
    } else {
        &step.tool
    };
    format!("The next step on the board: {tool}; {most} to take off at most; {limited}.")
}

fn draw_board(scene: &mut Scene, lying: &Lying<'_>) {
    for fret in &lying.instrument.frets {
        let line = lying.frame.across(lying.instrument, *fret);
        let layer = scene.layer("frets");
        layer.add(Item::stroked(line, Ink::OverMapRim, 0.25));
    }
    let edge = lying.frame.outline(lying.instrument);
    scene
        .layer("edge")
        .add(Item::stroked(edge, Ink::WoodEdge, 0.6));
}

/// The tool's stretches: dimension lines above the board, and where the tool must stop.
fn draw_spans(scene: &mut Scene, step: &StepLook, lying: &Lying<'_>) {
    let mut free_from = f64::NEG_INFINITY;
    for (from, to) in &step.spans_mm {
        let at = |x: f64| Point::new(lying.frame.point(x, 0.0).x, HEAD_MM - 4.0);
        let (start, end) = (at(*from), at(*to));
        let layer = scene.layer("stretch");
        layer.extend(arrow(start, end, Ink::Text));
        for x in [*from, *to] {
            let half = lying.instrument.outline.half_width(x);
            let (top, edge) = (
                Point::new(at(x).x, HEAD_MM - 6.5),
                lying.frame.point(x, half),
            );
            let stop = Path::line(edge, lying.frame.point(x, -half));
            layer.add(Item::stroked(Path::line(top, edge), Ink::Text, 0.5));
            layer.add(Item::stroked(stop.clone(), Ink::OverMapRim, 1.2));
            layer.add(Item::stroked(stop, Ink::OverMap, 0.6).dashed(Dash::Dashed));
        }
        let length = |mm: f64| lying.look.known_length(mm, 1);
        let words = format!("{} to {} from the nut", length(*from), length(*to));
        let half = 0.5 * words_mm(&words, WORDS_MM);
        let least = (half + 3.0).max(free_from + half);
        let middle = (0.5 * (start.x + end.x))
            .min(WIDE_MM - half - 3.0)
            .max(least);
        if middle + half < WIDE_MM {
            let place = Point::new(middle, HEAD_MM - 8.0);
            layer.add(Item::text(place, words, WORDS_MM, Ink::Text).anchored(Anchor::Middle));
            free_from = middle + half + 4.0;
        }
    }
}

/// An arrow with a head at both ends.
fn arrow(from: Point, to: Point, ink: Ink) -> Vec<Item> {
    let length = (to.x - from.x).hypot(to.y - from.y);
    if length.is_nan() || length <= 0.0 {
        return Vec::new();
    }
    // A short arrow has short heads, so that they do not cross.
    let size = (0.45 * length / HEAD_LENGTH_MM).min(1.0);
    let (ux, uy) = ((to.x - from.x) / length, (to.y - from.y) / length);
    let head = |tip: Point, sign: f64| {
        let back = sign * HEAD_LENGTH_MM * size;
        let aside = HEAD_HALF_MM * size;
        let foot = Point::new(tip.x - back * ux, tip.y - back * uy);
        Path::polygon(&[
            tip,
            Point::new(foot.x - aside * uy, foot.y + aside * ux),
            Point::new(foot.x + aside * uy, foot.y - aside * ux),
        ])
    };
    let inner = size * HEAD_LENGTH_MM / length;
    let shaft = Path::line(from.toward(to, inner), to.toward(from, inner));
    vec![
        Item::stroked(shaft, ink, 0.7),
        Item::filled(head(to, 1.0), ink),
        Item::filled(head(from, -1.0), ink),
    ]
}

/// How the tool moves: a beam's two end positions with arrows between, or along the board.
fn draw_movement(scene: &mut Scene, step: &StepLook, lying: &Lying<'_>) {
    let rim = |scene: &mut Scene, from: Point, to: Point| {
        let under = Item::stroked(Path::line(from, to), Ink::OverMapRim, 2.2);
        scene.layer("movement").add(under);
        let over = arrow(from, to, Ink::OverMap);
        scene.layer("movement").extend(over);
    };
    let point = |x: f64, y: f64| lying.frame.point(x, y);
    let Some(sweep) = step.sweep else {
        for (from, to) in &step.spans_mm {
            let quarter = 0.2 * (to - from);
            rim(scene, point(from + quarter, 0.0), point(to - quarter, 0.0));
        }
        return;
    };
    for side in [1.0, -1.0] {
        let near = point(sweep.near_x_mm, side * sweep.near_y_mm);
        let far = point(sweep.far_x_mm, side * sweep.far_y_mm);
        let beam = Path::line(near, far);
        let line = Stroke::new(Ink::OverMap, 0.7).dashed(Dash::Dashed);
        let layer = scene.layer("movement");
        layer.add(Item::stroked(beam.clone(), Ink::OverMapRim, 1.4));
        layer.add(Item::path(beam, Some(line), None));
    }
    // A little inside the beam's ends, where the arrows stand clear of the stops.
    for share in [0.06, 0.94] {
        let x = sweep.near_x_mm + share * (sweep.far_x_mm - sweep.near_x_mm);
        let y = sweep.near_y_mm + share * (sweep.far_y_mm - sweep.near_y_mm);
        rim(scene, point(x, y), point(x, -y));
    }
}

/// Rings with numbers around the limiting places.
fn draw_limiting(scene: &mut Scene, step: &StepLook, lying: &Lying<'_>) {
    for (index, spot) in step.limiting.iter().enumerate() {
        let at = lying.frame.point(spot.x_mm, spot.y_mm);
        let ring = Path::circle(at, 3.6);
        let number = Item::text(
            Point::new(at.x, at.y + 0.36 * 4.6),
            (index + 1).to_string(),
            4.6,
            Ink::OverMap,
        );
        let group = Item::group(vec![
            Item::stroked(ring.clone(), Ink::OverMapRim, 2.0),
            Item::path(
                ring,
                Some(Stroke::new(Ink::OverMap, 0.9)),
                Some(Ink::OverMapRim),
            ),
            number.anchored(Anchor::Middle).weighted(Weight::Bold),
        ]);
        let group = group.keyed(format!("limiting-{index}"));
        scene
            .layer("limiting")
            .add(group.labelled(spot.words.clone()));
    }
}

/// The few colours, each with the depth at its end.
fn draw_colours(scene: &mut Scene, colours: &Colours, top_mm: f64, look: Look) {
    let width = (WIDE_MM - 12.0) / colours.count() as f64;
    for step in 0..colours.count() {
        let left = 6.0 + width * step as f64;
        let swatch = Path::rect(left, top_mm, 9.0, 6.0);
        let layer = scene.layer("bar");
        let edge = Stroke::new(Ink::Line, 0.2);
        layer.add(Item::path(swatch, Some(edge), Some(colours.ink(step))));
        let words = if step == 0 {
            "leave".to_owned()
        } else {
            format!("to {}", look.length(colours.end_mm(step), 3))
        };
        let at = Point::new(left + 11.0, top_mm + 4.7);
        layer.add(Item::text(
            at,
            fitted(&words, 4.6, width - 11.0),
            4.6,
            Ink::Text,
        ));
    }
}

/// The limiting places in words, each under its number.
fn limiting_lines(step: &StepLook) -> Vec<String> {
    let spots = step.limiting.iter().enumerate();
    let lines = spots.flat_map(|(index, spot)| {
        let words = format!("{}: {}", index + 1, spot.words);
        wrap_text(&words, WORDS_MM, Weight::Regular, WIDE_MM - 12.0)
    });
    lines.collect()
}

fn draw_words(
    scene: &mut Scene,
    map: &MeasuredMap,
    step: &StepLook,
    lines: &[String],
    top_mm: f64,
) {
    let words = match step.tool.trim() {
        "" => title(map),
        tool => tool.to_owned(),
    };
    let words = fitted(&words, 6.5, WIDE_MM - 12.0);
    let layer = scene.layer("words");
    layer.add(Item::text(Point::new(6.0, 8.0), words, 6.0, Ink::Text).weighted(Weight::Bold));
    for (row, line) in lines.iter().enumerate() {
        let at = Point::new(6.0, top_mm + LINE_MM * (row as f64 + 0.7));
        layer.add(Item::text(at, line.clone(), WORDS_MM, Ink::Text));
    }
}
