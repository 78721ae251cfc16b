//! A form to take to the bench: what is to be measured where, with room to write it down.

use instrument::Instrument;

use super::form_plan::draw_plan;
use super::form_sheet::{Cell, Column, FORM_TEXT_MM, ROW_MM, SHEET_WIDTH_MM, Sheets};
use super::frame::{Look, fitted};
use crate::{Ink, Item, Point, Scene, Weight};

/// Columns of gaps side by side at most, so that each has room for a figure.
const MOST_GAP_COLUMNS: usize = 8;
/// Ruled lines for notes, at least.
const LEAST_NOTE_LINES: usize = 4;

/// What a reading form asks for. Lists may be empty: the form then leaves their table out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadingForm {
    /// The form's title, such as the commission's name.
    pub title: String,
    /// The visit that the form is for; may be empty.
    pub visit: String,
    /// Where a gauge is to be laid on and its light read.
    pub lights: Vec<FormLight>,
    /// The lines along which gaps are measured: a row each.
    pub gap_lines: Vec<String>,
    /// The frets at which gaps are measured: a column each.
    pub gap_frets: Vec<FormPlace>,
    /// Where thickness is measured.
    pub thickness: Vec<FormSpot>,
    /// Where a dial is to be read.
    pub dials: Vec<FormPlace>,
    /// What the tools at hand can tell apart, a paragraph each.
    pub resolution_words: Vec<String>,
    /// Cautions, a paragraph each.
    pub cautions: Vec<String>,
    /// The unit in which lengths are written; the place pointed at is of no account.
    pub look: Look,
}

/// A station where a gauge is laid on.
#[derive(Clone, Debug, PartialEq)]
pub struct FormLight {
    /// The station's name.
    pub name: String,
    /// From the nut's front face along the centreline, mm.
    pub x_mm: f64,
    /// The planned radius there, mm; infinity is flat.
    pub radius_mm: f64,
    /// The gauge to try.
    pub gauge: String,
    /// The light that a right surface shows under it.
    pub right_light: String,
}

/// A named place along the board.
#[derive(Clone, Debug, PartialEq)]
pub struct FormPlace {
    /// Its name.
    pub name: String,
    /// From the nut's front face along the centreline, mm.
    pub x_mm: f64,
}

/// A named place on the board.
#[derive(Clone, Debug, PartialEq)]
pub struct FormSpot {
    /// Its name.
    pub name: String,
    /// From the nut's front face along the centreline, mm.
    pub x_mm: f64,
    /// From the centreline toward the treble side, mm.
    pub y_mm: f64,
}

/// The form as sheets of 180 mm by 257 mm, the content of an A4 page with its margins left to
/// the caller: title and blanks, the board with the stations, tables to fill, what the tools can
/// tell, cautions, and lines for notes.
///
/// Rows are 8 mm high at least, boxes to tick 4 mm wide, letters 3 mm or more.
pub fn reading_form(instrument: &Instrument, form: &ReadingForm) -> Vec<Scene> {
    let title = match form.title.trim() {
        "" => "Readings",
        words => words,
    };
    let description = format!(
        "Form for readings on {}: {} stations for gauges, gaps along {} lines at {} frets, {} places for thickness, {} dials.",
        instrument.title,
        form.lights.len(),
        form.gap_lines.len(),
        form.gap_frets.len(),
        form.thickness.len(),
        form.dials.len()
    );
    let mut sheets = Sheets::new(title.to_owned(), description);
    set_head(&mut sheets, instrument, form, title);
    draw_plan(&mut sheets, instrument, form);
    set_lights(&mut sheets, form);
    set_gaps(&mut sheets, form);
    set_thickness(&mut sheets, form);
    set_dials(&mut sheets, form);
    set_words(&mut sheets, form);
    set_notes(&mut sheets);
    let foot = [title, form.visit.trim()];
    let foot: Vec<&str> = foot.into_iter().filter(|part| !part.is_empty()).collect();
    sheets.finished(&foot.join(" · "))
}

fn set_head(sheets: &mut Sheets, instrument: &Instrument, form: &ReadingForm, title: &str) {
    let top = sheets.take(8.0);
    let words = fitted(title, 5.6, SHEET_WIDTH_MM);
    let item = Item::text(Point::new(0.0, top + 5.0), words, 5.0, Ink::Text);
    sheets.page().layer("head").add(item.weighted(Weight::Bold));
    let commission = match form.visit.trim() {
        "" => format!("Commission: {}", instrument.title),
        visit => format!("Commission: {} · {visit}", instrument.title),
    };
    // One line, however long, so that the board stays on the first sheet.
    let commission = fitted(&commission, FORM_TEXT_MM, SHEET_WIDTH_MM);
    sheets.paragraph(&commission, Ink::Text);
    sheets.blanks(&[
        ("date", 45.0),
        ("stage", 55.0),
        ("taken by", 45.0),
        ("unit", 35.0),
    ]);
}

fn set_lights(sheets: &mut Sheets, form: &ReadingForm) {
    if form.lights.is_empty() {
        return;
    }
    let columns = [
        Column::new("no.", 9.0),
        Column::new("station", 25.0),
        Column::new("from the nut", 21.0),
        Column::new("planned radius", 21.0),
        Column::new("gauge to try", 21.0),
        Column::new("if right, light shows", 30.0),
        Column::new("none", 11.0),
        Column::new("edges", 13.0),
        Column::new("crown", 13.0),
        Column::new("how much", 16.0),
    ];
    let row = |(index, light): (usize, &FormLight)| {
        vec![
            Cell::Words((index + 1).to_string()),
            Cell::Words(light.name.clone()),
            Cell::Words(form.look.known_length(light.x_mm, 1)),
            Cell::Words(radius_words(form.look, light.radius_mm)),
            Cell::Words(light.gauge.clone()),
            Cell::Words(light.right_light.clone()),
            Cell::Tick,
            Cell::Tick,
            Cell::Tick,
            Cell::Room,
        ]
    };
    let rows: Vec<Vec<Cell>> = form.lights.iter().enumerate().map(row).collect();
    sheets.table("Light under a gauge", &columns, &rows);
}

/// A planned radius in words; a figure that no radius has is not known.
fn radius_words(look: Look, radius_mm: f64) -> String {
    if radius_mm == f64::INFINITY {
        "flat".to_owned()
    } else {
        look.known_length(radius_mm, 1)
    }
}

/// Gaps along lines at frets, in as many tables as the frets need.
fn set_gaps(sheets: &mut Sheets, form: &ReadingForm) {
    if form.gap_lines.is_empty() {
        return;
    }
    // Tables as wide as each other look less like a remainder.
    let tables = form.gap_frets.len().div_ceil(MOST_GAP_COLUMNS).max(1);
    let each = form.gap_frets.len().div_ceil(tables).max(1);
    for (part, frets) in form.gap_frets.chunks(each).enumerate() {
        let name_mm = 30.0;
        // A few columns need not fill the sheet.
        let width = ((SHEET_WIDTH_MM - name_mm) / frets.len() as f64).min(22.0);
        let mut columns = vec![Column::new("along", name_mm)];
        columns.extend(frets.iter().map(|fret| {
            let place = form.look.known_length(fret.x_mm, 1);
            Column::new(format!("{}\n{place}", fret.name), width)
        }));
        let row = |line: &String| {
            let mut cells = vec![Cell::Words(line.clone())];
            cells.resize(columns.len(), Cell::Room);
            cells
        };
        let rows: Vec<Vec<Cell>> = form.gap_lines.iter().map(row).collect();
        let heading = if part == 0 {
            "Gaps under the straightedge"
        } else {
            "Gaps under the straightedge, further frets"
        };
        sheets.table(heading, &columns, &rows);
    }
}

fn set_thickness(sheets: &mut Sheets, form: &ReadingForm) {
    if form.thickness.is_empty() {
        return;
    }
    let columns = [
        Column::new("", 12.0),
        Column::new("place", 50.0),
        Column::new("from the nut", 26.0),
        Column::new("from the centreline", 34.0),
        Column::new("thickness", 26.0),
        Column::new("note", 32.0),
    ];
    let row = |(index, spot): (usize, &FormSpot)| {
        vec![
            Cell::Words(letters(index)),
            Cell::Words(spot.name.clone()),
            Cell::Words(form.look.known_length(spot.x_mm, 1)),
            Cell::Words(side_words(form.look, spot.y_mm)),
            Cell::Room,
            Cell::Room,
        ]
    };
    let rows: Vec<Vec<Cell>> = form.thickness.iter().enumerate().map(row).collect();
    sheets.table("Thickness", &columns, &rows);
}

/// How far to which side of the centreline, in words.
fn side_words(look: Look, y_mm: f64) -> String {
    if y_mm == 0.0 {
        return "on it".to_owned();
    }
    let side = if y_mm > 0.0 { "treble" } else { "bass" };
    let figure = look.known_length(y_mm.abs(), 1);
    if y_mm.is_finite() {
        format!("{figure}, {side} side")
    } else {
        figure
    }
}

/// A to Z, then AA, AB and so on.
pub(super) fn letters(index: usize) -> String {
    // The remainder is below 26, so the letter is one of the alphabet.
    let letter = char::from(b'A' + (index % 26) as u8);
    match (index / 26).checked_sub(1) {
        Some(before) => letters(before) + &letter.to_string(),
        None => letter.to_string(),
    }
}

fn set_dials(sheets: &mut Sheets, form: &ReadingForm) {
    if form.dials.is_empty() {
        return;
    }
    let columns = [
        Column::new("", 12.0),
        Column::new("dial", 50.0),
        Column::new("from the nut", 26.0),
        Column::new("reading", 26.0),
        Column::new("again", 26.0),
        Column::new("note", 40.0),
    ];
    let row = |(index, dial): (usize, &FormPlace)| {
        vec![
            Cell::Words(format!("D{}", index + 1)),
            Cell::Words(dial.name.clone()),
            Cell::Words(form.look.known_length(dial.x_mm, 1)),
            Cell::Room,
            Cell::Room,
            Cell::Room,
        ]
    };
    let rows: Vec<Vec<Cell>> = form.dials.iter().enumerate().map(row).collect();
    sheets.table("Dial readings", &columns, &rows);
}

fn set_words(sheets: &mut Sheets, form: &ReadingForm) {
    if !form.resolution_words.is_empty() {
        sheets.heading("What these tools can tell", ROW_MM);
        for words in &form.resolution_words {
            sheets.paragraph(words, Ink::Text);
        }
    }
    if !form.cautions.is_empty() {
        sheets.heading("Take care", ROW_MM);
        for words in &form.cautions {
            sheets.paragraph(words, Ink::Text);
        }
    }
}

/// Ruled lines down to the end of the sheet.
fn set_notes(sheets: &mut Sheets) {
    sheets.heading("Notes", LEAST_NOTE_LINES as f64 * ROW_MM);
    let fitting = (sheets.left_mm() / ROW_MM).floor().max(1.0) as usize;
    sheets.ruled(fitting);
}
