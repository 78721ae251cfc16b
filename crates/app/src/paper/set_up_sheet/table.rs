//! A table as wide as its words: columns share what room is left, the last one wraps.

use drawing::{Ink, Item, Path, Point, Weight, text_width_mm, wrap_text};

use crate::paper::flow::Flow;

/// Sizes of a table's words, mm; the largest at which it fits is taken.
const SIZES_MM: [f64; 4] = [2.7, 2.4, 2.1, 1.8];
/// From line to line, as a part of the words' size.
const LINE: f64 = 1.42;
/// Least and greatest clear width between columns, mm.
const BETWEEN_MM: (f64, f64) = (2.0, 12.0);
/// The least that is left for the last column, which wraps, mm.
const LEAST_LAST_MM: f64 = 18.0;

/// A table: its head and its rows, all of the same number of cells.
pub struct Table {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// How a table lies: size of its words, where columns begin, and how wide they are, mm.
struct Lay {
    size: f64,
    columns: Vec<(f64, f64)>,
}

impl Table {
    pub fn new<const N: usize>(head: [&str; N]) -> Self {
        Self {
            head: head.map(str::to_owned).to_vec(),
            rows: Vec::new(),
        }
    }

    pub fn column(&mut self, head: &str) {
        self.head.push(head.to_owned());
    }

    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    pub fn draw(&self, flow: &mut Flow) {
        let lay = self.lay(flow.width());
        draw_row(flow, &lay, &self.head, Weight::Bold);
        flow.y += 1.1;
        let (left, y) = (flow.left(), flow.y);
        let wide = lay
            .columns
            .last()
            .map_or(0.0, |(start, width)| start + width);
        let line = Path::line(Point::new(left, y), Point::new(left + wide, y));
        let rule = Item::stroked(line, Ink::FaintLine, 0.25);
        flow.page().layer("rules").add(rule);
        for row in &self.rows {
            draw_row(flow, &lay, row, Weight::Regular);
        }
    }

    fn lay(&self, width_mm: f64) -> Lay {
        let largest = SIZES_MM[0];
        let sizes = || SIZES_MM.into_iter();
        let laid = None
            .or_else(|| self.fit(width_mm, largest, Heads::Whole, Last::Whole))
            .or_else(|| self.fit(width_mm, largest, Heads::Broken, Last::Whole))
            .or_else(|| {
                sizes().find_map(|size| self.fit(width_mm, size, Heads::Broken, Last::Wrapped))
            })
            .or_else(|| {
                sizes().find_map(|size| self.fit(width_mm, size, Heads::Broken, Last::Whole))
            });
        let (size, widths) = laid.unwrap_or_else(|| {
            let each = width_mm / self.head.len().max(1) as f64 - BETWEEN_MM.0;
            (SIZES_MM[3], vec![each.max(1.0); self.head.len()])
        });
        let gaps = widths.len().saturating_sub(1).max(1) as f64;
        let room = (width_mm - widths.iter().sum::<f64>()) / gaps;
        let between = room.clamp(BETWEEN_MM.0, BETWEEN_MM.1);
        let mut start = 0.0;
        let columns = widths.iter().map(|width| {
            let column = (start, *width);
            start += width + between;
            column
        });
        Lay {
            size,
            columns: columns.collect(),
        }
    }

    /// The columns' widths at a size, when they fit.
    fn fit(&self, width_mm: f64, size: f64, heads: Heads, last: Last) -> Option<(f64, Vec<f64>)> {
        let columns = 0..self.head.len();
        let mut widths: Vec<f64> = columns
            .map(|column| self.width(column, size, heads))
            .collect();
        let (widest, before) = widths.split_last_mut()?;
        let gaps = BETWEEN_MM.0 * before.len() as f64;
        let left = width_mm - before.iter().sum::<f64>() - gaps;
        let may_wrap = last == Last::Wrapped && left >= LEAST_LAST_MM;
        if left < *widest && !may_wrap {
            return None;
        }
        *widest = widest.min(left);
        Some((size, widths))
    }

    /// The width of a column.
    fn width(&self, column: usize, size: f64, heads: Heads) -> f64 {
        let cells = self.rows.iter().filter_map(|row| row.get(column));
        let widest = cells.map(|cell| text_width_mm(cell, size, Weight::Regular));
        let head = self.head.get(column).map_or("", String::as_str);
        let bold = |words: &str| text_width_mm(words, size, Weight::Bold);
        let head = match heads {
            Heads::Whole => bold(head),
            Heads::Broken => head
                .match_indices(' ')
                .map(|(space, _)| bold(&head[..space]).max(bold(&head[space + 1..])))
                .fold(bold(head), f64::min),
        };
        // A hair over what the words take, so that rounding breaks no line.
        widest.fold(head, f64::max) + 0.01
    }
}

/// How the head's cells are set.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Heads {
    /// In one line.
    Whole,
    /// In two lines where that is narrower.
    Broken,
}

/// How the last column is set.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Last {
    /// In one line.
    Whole,
    /// In as many lines as it takes.
    Wrapped,
}

fn draw_row(flow: &mut Flow, lay: &Lay, cells: &[String], weight: Weight) {
    let line = lay.size * LINE;
    let wrapped: Vec<Vec<String>> = cells
        .iter()
        .zip(&lay.columns)
        .map(|(cell, (_, width))| wrap_text(cell, lay.size, weight, *width))
        .collect();
    let lines = wrapped.iter().map(Vec::len).max().unwrap_or(0);
    flow.room(line * lines as f64);
    for (words, (start, _)) in wrapped.iter().zip(&lay.columns) {
        // A short head stands on the same line as the foot of a long one.
        let above = match weight {
            Weight::Bold => lines - words.len(),
            Weight::Regular => 0,
        };
        for (row, words) in words.iter().enumerate() {
            let down = line * (above + row + 1) as f64;
            let at = Point::new(flow.left() + start, flow.y + down);
            let item = Item::text(at, words.as_str(), lay.size, Ink::Text).weighted(weight);
            flow.page().layer("words").add(item);
        }
    }
    flow.y += line * lines as f64;
}
