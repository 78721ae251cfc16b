//! The board from above at true size: outline, slots, lanes and dots, and where each fret lies.

use instrument::Instrument;
use instrument::outline::Outline;
use instrument::scale::{CrossLine, ScaleLength};
use play::Sheet;

use super::draft::{Draft, Head, OUTLINE_MM, exact, round};
use super::fret_labels::{LABEL_GAP_MM, draw_labels};
use super::spread::spread;
use crate::pictures::Look;
use crate::{Anchor, Ink, Item, Path, Point, Scene};

/// How far the centreline runs past both ends of the board, mm.
const CENTRELINE_PAST_MM: f64 = 8.0;
/// Half the length of a dot's cross, as a share of its radius past the circle.
const CROSS: f64 = 0.5;

/// The board at true size, nut at the left, treble side up.
///
/// What it is for: to saw the slots and the outline by, and to drill the dots. Figures are those of
/// the sheet. Layers: `outline`, `slots` (both walls and the ends of every slot), `slot centres`,
/// `nut`, `binding` (where slots stop on a bound board), `lanes`, `centreline`, `dots`,
/// `dot centres`, `marks` (each fret's line carried on past the edges) and `words`.
///
/// Accuracy: points are exact to rounding; dots are circles to 6e-9 of their radius.
pub fn fret_pattern(instrument: &Instrument, sheet: &Sheet, look: Look) -> Scene {
    let mut draft = Draft::default();
    let corners = instrument.outline.corners().map(place);
    let outline = Item::stroked(Path::polygon(&corners), Ink::Line, OUTLINE_MM);
    draft.add("outline", outline);
    let inner = inside_binding(instrument);
    draw_slots(&mut draft, instrument, &inner);
    draw_ends(&mut draft, instrument, &inner);
    draw_lanes(&mut draft, instrument);
    draw_dots(&mut draft, instrument);
    draw_labels(&mut draft, instrument, sheet, look);
    draft.finish(&instrument.title, &head(instrument, look))
}

/// A place on the board as a point of the pattern.
pub(super) fn place((x, y): (f64, f64)) -> Point {
    Point::new(x, -y)
}

/// The outline inside the binding: where slots end.
fn inside_binding(instrument: &Instrument) -> Outline {
    let width = instrument.wood.binding.map_or(0.0, |strip| strip.width_mm);
    let mut inner = instrument.outline;
    inner.treble.at_nut_mm -= width;
    inner.bass.at_nut_mm -= width;
    inner
}

/// Each slot as the thin shape between its walls, and its middle.
fn draw_slots(draft: &mut Draft, instrument: &Instrument, inner: &Outline) {
    let half_mm = 0.5 * instrument.fret_spec.slot_width_mm;
    for line in instrument.frets.iter().skip(1) {
        // Walls lie half a width off square to the slot; along the centreline that is more.
        let along = half_mm / line.skew().cos();
        let wall = |sign: f64| {
            let moved = CrossLine {
                x_mm: line.x_mm + sign * along,
                slope: line.slope,
            };
            inner.edges_of(moved).map(place)
        };
        let (near, far) = (wall(-1.0), wall(1.0));
        let shape = Path::polygon(&[near[0], far[0], far[1], near[1]]);
        draft.hair("slots", shape);
        let [treble, bass] = inner.edges_of(*line).map(place);
        draft.tick("slot centres", treble, bass);
    }
}

/// The nut's line, and the binding's inner lines.
fn draw_ends(draft: &mut Draft, instrument: &Instrument, inner: &Outline) {
    let [treble, bass] = instrument.outline.edges_of(instrument.outline.nut);
    let nut = Path::line(place(treble), place(bass));
    draft.add("nut", Item::stroked(nut, Ink::Line, OUTLINE_MM));
    if instrument.wood.binding.is_some() {
        let [nut_treble, end_treble, end_bass, nut_bass] = inner.corners().map(place);
        draft.tick("binding", nut_treble, end_treble);
        draft.tick("binding", nut_bass, end_bass);
    }
}

/// The lanes from the nut to the board's end, named past it, and the centreline.
fn draw_lanes(draft: &mut Draft, instrument: &Instrument) {
    let (from, to) = instrument.outline.reach();
    let past = to + CENTRELINE_PAST_MM;
    draft.chain(
        Point::new(from - CENTRELINE_PAST_MM, 0.0),
        Point::new(past, 0.0),
    );
    let mut ends = Vec::new();
    for lane in &instrument.lanes {
        let end = place(lane.cross(instrument.outline.end));
        draft.tick("lanes", place(lane.cross(instrument.outline.nut)), end);
        ends.push(end.y);
    }
    let rows = spread(&ends, LABEL_GAP_MM);
    for (index, (row, string)) in rows.iter().zip(&instrument.strings).enumerate() {
        let words = format!("lane {} · {}", index + 1, string.note);
        draft.figure(Point::new(past + 1.5, row + 0.8), words, Anchor::Start);
    }
}

fn draw_dots(draft: &mut Draft, instrument: &Instrument) {
    for dot in &instrument.dots {
        let (centre, radius) = (place((dot.x_mm, dot.y_mm)), 0.5 * dot.diameter_mm);
        draft.hair("dots", round(centre, radius));
        let reach = CROSS * radius;
        for (dx, dy) in [(reach, 0.0), (0.0, reach)] {
            let (from, to) = (
                Point::new(centre.x - dx, centre.y - dy),
                Point::new(centre.x + dx, centre.y + dy),
            );
            draft.tick("dot centres", from, to);
        }
    }
}

fn head(instrument: &Instrument, look: Look) -> Head {
    let fret = instrument.action_fret();
    let check = exact(look, instrument.fret_x_mm(fret), 2);
    let mut notes = vec![
        scale_words(instrument, look),
        format!(
            "Before you saw, check the print with a steel rule: nut to fret {fret}, on the \
             centreline, is {check}."
        ),
        label_words(instrument),
        slot_words(instrument, look),
    ];
    if !instrument.dots.is_empty() {
        let mut sizes: Vec<String> = Vec::new();
        for dot in &instrument.dots {
            let size = exact(look, dot.diameter_mm, 2);
            if !sizes.contains(&size) {
                sizes.push(size);
            }
        }
        notes.push(format!("Dots: {} across.", sizes.join(" and ")));
    }
    notes.push(
        "Saw and drill with guards on, eyes and lungs protected; local rules come first.".into(),
    );
    Head {
        name: "fret pattern",
        purpose: "To saw the fret slots and the board's outline by; true size.".into(),
        notes,
    }
}

fn scale_words(instrument: &Instrument, look: Look) -> String {
    match instrument.scale {
        ScaleLength::Single { length_mm } => format!(
            "Scale length {}, from the nut's front face to the saddle on the centreline, before \
             compensation; the saddle lies past this pattern.",
            exact(look, length_mm, 2)
        ),
        ScaleLength::Fanned {
            bass_mm, treble_mm, ..
        } => {
            let square = instrument
                .frets
                .iter()
                .position(|line| line.slope.abs() < 1e-9)
                .map_or(String::new(), |fret| {
                    format!(" {} stands square to the centreline;", named(fret))
                });
            format!(
                "Scale lengths {} along lane {} and {} along lane 1, from the nut's front face to \
                 the saddle, before compensation;{square} the saddle lies past this pattern.",
                exact(look, bass_mm, 2),
                instrument.lanes.len(),
                exact(look, treble_mm, 2)
            )
        }
    }
}

/// What the figures beside the board are.
fn label_words(instrument: &Instrument) -> String {
    let lanes = match instrument.is_fanned() {
        true => "; then its distance from the nut along the outer lane of that side",
        false => "",
    };
    format!(
        "Beside each fret: its number, its distance from the nut, and after the plus the step from \
         the fret before, both on the centreline{lanes}."
    )
}

fn named(fret: usize) -> String {
    match fret {
        0 => "the nut".into(),
        fret => instrument::fret_name(fret),
    }
}

fn slot_words(instrument: &Instrument, look: Look) -> String {
    let width = exact(look, instrument.fret_spec.slot_width_mm, 2);
    let ends = match instrument.wood.binding {
        Some(strip) => format!(
            "they end at the binding, {} inside the edge",
            exact(look, strip.width_mm, 2)
        ),
        None => "they run from edge to edge".into(),
    };
    format!("Slots {width} wide; {ends}. Each fret's place is the middle of its slot.")
}
