//! Sheets of a form to fill by hand: words, tables and ruled lines set one under another, on
//! as many sheets as they need.

use super::frame::fitted;
use crate::{Anchor, Ink, Item, Path, Point, Scene, Stroke, Weight, text_width_mm, wrap_text};

/// Width of a sheet's content, mm: A4 with margins of 15 mm.
pub(super) const SHEET_WIDTH_MM: f64 = 180.0;
/// Height of a sheet's content, mm: A4 with margins of 20 mm.
const SHEET_HEIGHT_MM: f64 = 257.0;
/// Where the content ends and the foot line begins, mm.
const FOOT_MM: f64 = 250.0;
/// The least height of a row to write in, mm: room for a pencil.
pub(super) const ROW_MM: f64 = 8.0;
/// Side of a box to tick, mm.
const TICK_MM: f64 = 4.0;
/// Size of the words, mm.
pub(super) const FORM_TEXT_MM: f64 = 3.0;
/// Height of a line of words, mm.
const LINE_MM: f64 = 4.2;
/// Height of a heading with the space above it, mm.
const HEADING_MM: f64 = 10.5;
/// Tables with rows no higher than this in all stay on one sheet, mm.
const MOST_TOGETHER_MM: f64 = 100.0;
/// Lines of words in one cell at most; the rest is cut off.
const MOST_LINES: usize = 8;

/// What stands in a cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    /// Words.
    Words(String),
    /// Room to write in.
    Room,
    /// A box to tick.
    Tick,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    /// What stands over it.
    pub(super) title: String,
    /// Its width, mm.
    pub(super) width_mm: f64,
}

impl Column {
    pub(super) fn new(title: impl Into<String>, width_mm: f64) -> Self {
        Self {
            title: title.into(),
            width_mm,
        }
    }
}

/// Sheets being filled from the top down.
pub(super) struct Sheets {
    title: String,
    description: String,
    pages: Vec<Scene>,
    /// How far down the last sheet is filled, mm.
    y_mm: f64,
}

impl Sheets {
    /// Sheets with the first one begun.
    pub(super) fn new(title: String, description: String) -> Self {
        let mut sheets = Self {
            title,
            description,
            pages: Vec::new(),
            y_mm: 0.0,
        };
        sheets.page();
        sheets
    }

    /// The sheet being filled.
    pub(super) fn page(&mut self) -> &mut Scene {
        if self.pages.is_empty() {
            self.start_page();
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    fn start_page(&mut self) {
        let (title, description) = (self.title.clone(), self.description.clone());
        let page = Scene::new(SHEET_WIDTH_MM, SHEET_HEIGHT_MM, title, description);
        self.pages.push(page);
        self.y_mm = 2.0;
    }

    /// Takes so much height from the sheet, or from a new one if it has less left, and gives
    /// where it begins, mm.
    pub(super) fn take(&mut self, height_mm: f64) -> f64 {
        self.keep(height_mm);
        let top = self.y_mm;
        self.y_mm += height_mm;
        top
    }

    /// Begins a new sheet unless this one has so much height left.
    fn keep(&mut self, height_mm: f64) {
        if self.left_mm() < height_mm {
            self.start_page();
        }
    }

    /// Height left on the sheet, mm.
    pub(super) fn left_mm(&self) -> f64 {
        FOOT_MM - self.y_mm
    }

    /// A heading, kept together with so much of what follows it.
    pub(super) fn heading(&mut self, words: &str, followed_by_mm: f64) {
        self.keep(HEADING_MM + followed_by_mm);
        let base = self.take(HEADING_MM) + HEADING_MM - 3.0;
        let words = Item::text(Point::new(0.0, base), words, 4.0, Ink::Text);
        self.page()
            .layer("headings")
            .add(words.weighted(Weight::Bold));
    }

    /// A paragraph over the whole width, its lines of an ink.
    pub(super) fn paragraph(&mut self, words: &str, ink: Ink) {
        for line in wrap_text(words, FORM_TEXT_MM, Weight::Regular, SHEET_WIDTH_MM) {
            let base = self.take(LINE_MM) + LINE_MM - 1.1;
            let line = Item::text(Point::new(0.0, base), line, FORM_TEXT_MM, ink);
            self.page().layer("words").add(line);
        }
        self.y_mm += 1.0;
    }

    /// A line of blanks to fill, each behind its name, side by side.
    pub(super) fn blanks(&mut self, names: &[(&str, f64)]) {
        let base = self.take(ROW_MM + 1.0) + ROW_MM - 1.5;
        let mut x = 0.0;
        for (name, width) in names {
            let words = Item::text(Point::new(x, base), *name, FORM_TEXT_MM, Ink::Text);
            let from = x + text_width_mm(name, FORM_TEXT_MM, Weight::Regular) + 1.5;
            let line = Path::line(
                Point::new(from, base + 0.8),
                Point::new(x + width - 3.0, base + 0.8),
            );
            let layer = self.page().layer("blanks");
            layer.add(words);
            layer.add(Item::stroked(line, Ink::Line, 0.2));
            x += width;
        }
    }

    /// Ruled lines to write on.
    pub(super) fn ruled(&mut self, count: usize) {
        for _ in 0..count {
            let y = self.take(ROW_MM) + ROW_MM;
            let line = Path::line(Point::new(0.0, y), Point::new(SHEET_WIDTH_MM, y));
            self.page()
                .layer("lines")
                .add(Item::stroked(line, Ink::FaintLine, 0.2));
        }
    }

    /// A table under a heading; its head is set again on every sheet that it goes on to.
    pub(super) fn table(&mut self, heading: &str, columns: &[Column], rows: &[Vec<Cell>]) {
        let titles: Vec<Cell> = columns
            .iter()
            .map(|column| Cell::Words(column.title.clone()))
            .collect();
        let head = row_height_mm(columns, &titles, Weight::Bold);
        let heights = || {
            rows.iter()
                .map(|row| row_height_mm(columns, row, Weight::Regular))
        };
        let whole: f64 = heights().sum();
        // A short table is not broken; a long one begins where it has room for a row.
        let together = if whole < MOST_TOGETHER_MM {
            whole
        } else {
            heights().next().unwrap_or(0.0)
        };
        self.heading(heading, head + together);
        self.row(columns, &titles, Weight::Bold);
        for row in rows {
            let height = row_height_mm(columns, row, Weight::Regular);
            if self.left_mm() < height {
                self.start_page();
                self.row(columns, &titles, Weight::Bold);
            }
            self.row(columns, row, Weight::Regular);
        }
    }

    fn row(&mut self, columns: &[Column], cells: &[Cell], weight: Weight) {
        let height = row_height_mm(columns, cells, weight);
        let top = self.take(height);
        let mut left = 0.0;
        for (column, cell) in columns.iter().zip(cells) {
            let frame = Path::rect(left, top, column.width_mm, height);
            let page = self.page();
            page.layer("frames")
                .add(Item::stroked(frame, Ink::Line, 0.2));
            let middle = Point::new(left + 0.5 * column.width_mm, top + 0.5 * height);
            page.layer("cells")
                .extend(cell_items(cell, column, middle, weight));
            left += column.width_mm;
        }
    }

    /// The sheets, each with its number at the foot.
    pub(super) fn finished(self, foot: &str) -> Vec<Scene> {
        let count = self.pages.len();
        let mut pages = self.pages;
        for (index, page) in pages.iter_mut().enumerate() {
            page.title = format!("{}, sheet {} of {count}", page.title, index + 1);
            let number = format!("sheet {} of {count}", index + 1);
            let words = fitted(foot, FORM_TEXT_MM, SHEET_WIDTH_MM - 40.0);
            let base = SHEET_HEIGHT_MM - 1.5;
            let at = |x: f64| Point::new(x, base);
            let layer = page.layer("foot");
            if !words.is_empty() {
                layer.add(Item::text(at(0.0), words, FORM_TEXT_MM, Ink::FaintText));
            }
            let number = Item::text(at(SHEET_WIDTH_MM), number, FORM_TEXT_MM, Ink::FaintText);
            layer.add(number.anchored(Anchor::End));
        }
        pages
    }
}

/// The lines of a cell's words.
fn cell_lines(cell: &Cell, column: &Column, weight: Weight) -> Vec<String> {
    let Cell::Words(words) = cell else {
        return Vec::new();
    };
    let mut lines = wrap_text(words, FORM_TEXT_MM, weight, column.width_mm - 2.0);
    lines.retain(|line| !line.is_empty());
    lines.truncate(MOST_LINES);
    lines
}

fn row_height_mm(columns: &[Column], cells: &[Cell], weight: Weight) -> f64 {
    let cells = columns.iter().zip(cells);
    let lines = cells.map(|(column, cell)| cell_lines(cell, column, weight).len());
    let most = lines.max().unwrap_or(0);
    ROW_MM.max(LINE_MM * most as f64 + 2.0)
}

fn cell_items(cell: &Cell, column: &Column, middle: Point, weight: Weight) -> Vec<Item> {
    if *cell == Cell::Tick {
        let corner = (middle.x - 0.5 * TICK_MM, middle.y - 0.5 * TICK_MM);
        let frame = Path::rect(corner.0, corner.1, TICK_MM, TICK_MM);
        let item = Item::path(frame, Some(Stroke::new(Ink::Line, 0.35)), None);
        return vec![item];
    }
    let lines = cell_lines(cell, column, weight);
    let first = middle.y - 0.5 * LINE_MM * lines.len() as f64 + 0.76 * LINE_MM;
    let left = middle.x - 0.5 * column.width_mm + 1.0;
    let rows = lines.into_iter().enumerate();
    rows.map(|(row, line)| {
        let at = Point::new(left, first + LINE_MM * row as f64);
        Item::text(at, line, FORM_TEXT_MM, Ink::Text).weighted(weight)
    })
    .collect()
}
