//! A small table of figures beside a pattern.

use super::draft::{Draft, FIGURE_MM, HAIR_MM};
use crate::{Anchor, Ink, Item, Path, Point, Weight, text_width_mm, wrap_text};

/// Height of a row, mm.
const ROW_MM: f64 = 3.9;
/// Between columns, mm.
const BETWEEN_MM: f64 = 4.0;
/// Widest heading of a column before it is set in two lines, mm.
const HEADING_MM: f64 = 26.0;

/// Headings, and rows of as many cells; the first column stands at the left, figures at the right.
pub(super) struct Table {
    headings: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table without rows.
    pub(super) fn new<Words: Into<String>>(headings: impl IntoIterator<Item = Words>) -> Self {
        Self {
            headings: headings.into_iter().map(Into::into).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row.
    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// The table from its top left corner on.
    pub(super) fn drawn(&self) -> Draft {
        let headings: Vec<Vec<String>> = self
            .headings
            .iter()
            .map(|words| wrap_text(words, FIGURE_MM, Weight::Bold, HEADING_MM))
            .collect();
        let lines = headings.iter().map(Vec::len).max().unwrap_or(0);
        let mut draft = Draft::default();
        let mut left = 0.0;
        for (column, heading) in headings.iter().enumerate() {
            let width = self.column_width_mm(column, heading);
            let (x, anchor) = if column == 0 {
                (left, Anchor::Start)
            } else {
                (left + width, Anchor::End)
            };
            // Headings stand on the rule.
            let first = lines - heading.len();
            for (line, words) in heading.iter().enumerate() {
                let at = Point::new(x, ROW_MM * (first + line + 1) as f64);
                let item = Item::text(at, words, FIGURE_MM, Ink::Text).anchored(anchor);
                draft.add("words", item.weighted(Weight::Bold));
            }
            for (row, cells) in self.rows.iter().enumerate() {
                let at = Point::new(x, ROW_MM * (lines + row + 1) as f64 + 1.2);
                if let Some(words) = cells.get(column).filter(|words| !words.is_empty()) {
                    draft.figure(at, words, anchor);
                }
            }
            left += width + BETWEEN_MM;
        }
        let y = ROW_MM * lines as f64 + 1.3;
        let rule = Path::line(
            Point::new(0.0, y),
            Point::new((left - BETWEEN_MM).max(0.1), y),
        );
        draft.add("words", Item::stroked(rule, Ink::Line, HAIR_MM));
        draft
    }

    fn column_width_mm(&self, column: usize, heading: &[String]) -> f64 {
        let heading = heading
            .iter()
            .map(|words| text_width_mm(words, FIGURE_MM, Weight::Bold));
        let cells = self
            .rows
            .iter()
            .filter_map(|row| row.get(column))
            .map(|words| text_width_mm(words, FIGURE_MM, Weight::Regular));
        heading.chain(cells).fold(0.0, f64::max)
    }
}
