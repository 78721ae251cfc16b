//! The board in plan with what was measured as colour: how far the wood departs from the
//! planned camber, or how deep to take off.

use instrument::Instrument;

use super::frame::{Frame, Look, Lying, Pointed, TEXT_MM, WIDE_MM, fitted};
use super::map_marks::{draw_key, draw_marks, key_height_mm, marks_in_words};
use super::measured_map::{
    Colours, MapKind, MeasuredMap, Veil, draw_bar, draw_map, draw_veil_words, draw_what_is_missing,
};
use crate::{Ink, Item, Point, Scene};

/// Steps of colour from zero to the greatest figure.
const STEPS: usize = 8;

/// The measured wood's departure, or the depth to take off, with how well each place is known,
/// the marks and a key. Marks are keyed `mark-N` in the order given.
///
/// Colours stand in full where the standard uncertainty is at most the map's `known_mm`, and go
/// under a grey veil from there to three times that, where a hatch says that nothing is known.
pub fn departure_map(instrument: &Instrument, map: &MeasuredMap, look: Look) -> Scene {
    let probe = Frame::fit(instrument, 3.0, WIDE_MM - 3.0, 0.0);
    let half = probe.half_height(instrument);
    let foot = 2.0 * half + 11.0;
    let key = key_height_mm(&map.marks, WIDE_MM);
    let lying = Lying {
        instrument,
        frame: Frame::fit(instrument, 3.0, WIDE_MM - 3.0, half + 11.0),
        look,
    };
    let colours = Colours::of(map, STEPS, look);
    let mut scene = Scene::new(
        WIDE_MM,
        foot + key + 25.5,
        title(map),
        description(instrument, map, look),
    );
    draw_map(&mut scene, map, &colours, Veil::Gradual, &lying);
    draw_board(&mut scene, &lying);
    draw_marks(&mut scene, &map.marks, &lying);
    draw_what_is_missing(&mut scene, map, &lying);
    lying
        .frame
        .draw_fret_numbers(&mut scene, instrument, foot + 4.6);
    draw_key(&mut scene, &map.marks, foot + 6.0);
    draw_bar(&mut scene, &colours, foot + key + 8.5, look);
    draw_veil_words(&mut scene, map, Veil::Gradual, foot + key + 23.0, look);
    let words = fitted(&title(map), TEXT_MM, WIDE_MM - 6.0);
    scene
        .layer("words")
        .add(Item::text(Point::new(3.0, 4.0), words, TEXT_MM, Ink::Text));
    scene
}

/// The map's own title, or what it is.
pub(super) fn title(map: &MeasuredMap) -> String {
    if !map.title.trim().is_empty() {
        return map.title.clone();
    }
    match map.kind {
        MapKind::Departure => "Departure from the planned camber".to_owned(),
        MapKind::TakeOff => "Depth to take off".to_owned(),
    }
}

fn description(instrument: &Instrument, map: &MeasuredMap, look: Look) -> String {
    let figures = match (map.known_range_mm(), map.kind) {
        (None, _) => "nothing is known yet".to_owned(),
        (Some((low, high)), MapKind::Departure) => format!(
            "between {} and {} over the planned camber",
            look.length(low, 3),
            look.length(high, 3)
        ),
        (Some((_, high)), MapKind::TakeOff) => {
            format!("at most {} to take off", look.length(high, 3))
        }
    };
    format!(
        "Map of {}, nut at the left, treble side up: {figures}; {:.0} percent of the board is known.{}",
        instrument.title,
        100.0 * map.known_share(),
        marks_in_words(&map.marks)
    )
}

/// Frets, the lane and fret pointed at, and the board's edge, on a map.
fn draw_board(scene: &mut Scene, lying: &Lying<'_>) {
    let Lying {
        instrument,
        frame,
        look,
    } = lying;
    for fret in &instrument.frets {
        let line = frame.across(instrument, *fret);
        let layer = scene.layer("frets");
        layer.add(Item::stroked(line.clone(), Ink::OverMapRim, 0.4));
        layer.add(Item::stroked(line, Ink::OverMap, 0.15));
    }
    let edge = frame.outline(instrument);
    scene
        .layer("edge")
        .add(Item::stroked(edge, Ink::WoodEdge, 0.4));
    if let Some(pointed) = look.pointed {
        draw_place(scene, instrument, frame, pointed);
    }
}

/// The lane and the fret pointed at, on rims that part them from the map.
fn draw_place(scene: &mut Scene, instrument: &Instrument, frame: &Frame, pointed: Pointed) {
    let layer = scene.layer("pointed");
    if let Some(lane) = instrument.lanes.get(pointed.lane) {
        let lane = frame.along(instrument, lane);
        layer.add(Item::stroked(lane.clone(), Ink::OverMapRim, 0.9));
        layer.add(Item::stroked(lane, Ink::OverMap, 0.35));
    }
    if let Some(line) = instrument.frets.get(pointed.fret) {
        let fret = frame.across(instrument, *line);
        layer.add(Item::stroked(fret, Ink::OverMapRim, 1.6));
    }
    frame.draw_pointed(scene, instrument, pointed, Ink::OverMap);
}
