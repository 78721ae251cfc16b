//! The board on a reading form: numbered stations, lettered places for thickness, dials.

use instrument::Instrument;
use instrument::scale::CrossLine;

use super::form_sheet::{FORM_TEXT_MM, SHEET_WIDTH_MM, Sheets};
use super::frame::{Frame, words_mm};
use super::reading_form::{ReadingForm, letters};
use crate::{Anchor, Ink, Item, Path, Point, Scene, Stroke};

/// The greatest height that the board takes, mm; a wider board is drawn smaller.
const MOST_HEIGHT_MM: f64 = 90.0;
/// Above and below the board: two rows of names, mm.
const NAMES_MM: f64 = 11.0;
/// Height of a row of names, mm.
const NAME_ROW_MM: f64 = 4.2;

/// The plan of the board to scale, nut at the left and treble side up, with what the tables
/// ask for: stations numbered above, dials below, places for thickness lettered on the wood.
pub(super) fn draw_plan(sheets: &mut Sheets, instrument: &Instrument, form: &ReadingForm) {
    let (left, right) = (3.0, SHEET_WIDTH_MM - 3.0);
    let widest = Frame::fit(instrument, left, right, 0.0).half_height(instrument);
    let shrink = (0.5 * MOST_HEIGHT_MM / widest).min(1.0);
    let right = left + shrink * (right - left);
    let half = shrink * widest;
    let top = sheets.take(2.0 * (half + NAMES_MM) + 6.0);
    let middle = top + NAMES_MM + half;
    let frame = Frame::fit(instrument, left, right, middle);
    let page = sheets.page();
    draw_board(page, instrument, &frame);
    let stations = form.lights.iter().enumerate();
    let stations: Vec<(f64, String)> = stations
        .map(|(index, light)| (light.x_mm, (index + 1).to_string()))
        .collect();
    let dials = form.dials.iter().enumerate();
    let dials: Vec<(f64, String)> = dials
        .map(|(index, dial)| (dial.x_mm, format!("D{}", index + 1)))
        .collect();
    for (x, _) in &stations {
        let across = frame.across(instrument, CrossLine::square(*x));
        page.layer("stations")
            .add(Item::stroked(across, Ink::Accent, 0.5));
    }
    draw_names(page, &frame, &stations, middle - half - 2.4, -NAME_ROW_MM);
    draw_dials(page, &frame, &dials);
    draw_names(page, &frame, &dials, middle + half + 4.4, NAME_ROW_MM);
    draw_spots(page, &frame, form);
    let words = "stations numbered above, thickness lettered, dials D below; nut at the left, treble side up";
    let at = Point::new(0.0, middle + half + NAMES_MM + 4.0);
    page.layer("words")
        .add(Item::text(at, words, FORM_TEXT_MM, Ink::FaintText));
}

fn draw_board(page: &mut Scene, instrument: &Instrument, frame: &Frame) {
    let edge = Stroke::new(Ink::WoodEdge, 0.4);
    let board = Item::path(frame.outline(instrument), Some(edge), None);
    page.layer("board").add(board);
    for fret in &instrument.frets {
        let line = frame.across(instrument, *fret);
        page.layer("frets")
            .add(Item::stroked(line, Ink::FaintLine, 0.2));
    }
}

/// Names in two rows, the second further out, so that neighbours do not touch; a name that finds
/// no room is left to the table.
fn draw_names(
    page: &mut Scene,
    frame: &Frame,
    names: &[(f64, String)],
    base_mm: f64,
    step_mm: f64,
) {
    let mut taken: [Vec<(f64, f64)>; 2] = [Vec::new(), Vec::new()];
    for (x, name) in names {
        let at = frame.point(*x, 0.0).x;
        let half = 0.5 * words_mm(name, FORM_TEXT_MM) + 0.5;
        let is_free = |row: &Vec<(f64, f64)>| {
            row.iter()
                .all(|(other, width)| (other - at).abs() > half + width)
        };
        let Some(row) = taken.iter().position(is_free) else {
            continue;
        };
        taken[row].push((at, half));
        let place = Point::new(at, base_mm + step_mm * row as f64);
        let text = Item::text(place, name.clone(), FORM_TEXT_MM, Ink::Text);
        page.layer("names").add(text.anchored(Anchor::Middle));
    }
}

/// A dial stands on the centreline: a cross.
fn draw_dials(page: &mut Scene, frame: &Frame, dials: &[(f64, String)]) {
    for (x, _) in dials {
        let at = frame.point(*x, 0.0);
        let off = |x: f64, y: f64| Point::new(at.x + x, at.y + y);
        let mut cross = Path::line(off(-1.3, 0.0), off(1.3, 0.0));
        cross.append(&Path::line(off(0.0, -1.3), off(0.0, 1.3)));
        page.layer("dials")
            .add(Item::stroked(cross, Ink::Second, 0.5));
    }
}

/// Places for thickness: a ring, its letter inward of it, so that corners keep theirs on the
/// wood.
fn draw_spots(page: &mut Scene, frame: &Frame, form: &ReadingForm) {
    for (index, spot) in form.thickness.iter().enumerate() {
        let at = frame.point(spot.x_mm, spot.y_mm);
        let ring = Item::stroked(Path::circle(at, 1.0), Ink::Third, 0.5);
        let name = letters(index);
        let to_the_right = at.x < 0.5 * SHEET_WIDTH_MM;
        let (x, anchor) = if to_the_right {
            (at.x + 1.8, Anchor::Start)
        } else {
            (at.x - 1.8, Anchor::End)
        };
        // Below the middle the letter rises, above it sinks.
        let y = at.y + if spot.y_mm < 0.0 { -0.2 } else { 2.4 };
        let text = Item::text(Point::new(x, y), name, FORM_TEXT_MM, Ink::Third);
        let layer = page.layer("thickness");
        layer.add(ring);
        layer.add(text.anchored(anchor));
    }
}
