//! The places at which the board is looked at: an even grid from nut to end and from edge to edge.

use instrument::Instrument;

use crate::reading::Spot;

/// An even grid over the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Places along the board.
    pub columns: usize,
    /// Places across it.
    pub rows: usize,
    /// The spots, column by column from the nut, bass edge first.
    pub spots: Vec<Spot>,
    /// The area each spot stands for, mm²; they sum to the board's.
    pub area_mm2: Vec<f64>,
}

impl Grid {
    /// A grid of at least 2 by 2.
    pub fn over(instrument: &Instrument, columns: usize, rows: usize) -> Self {
        let (columns, rows) = (columns.max(2), rows.max(2));
        let outline = &instrument.outline;
        // A corner lies on the board's end, whatever rounding says: a block's zone reaches it.
        let (least, most) = outline.reach();
        let share = |index: usize, count: usize| index as f64 / (count - 1) as f64;
        let mut spots = Vec::with_capacity(columns * rows);
        let mut area_mm2 = Vec::with_capacity(columns * rows);
        let length = outline.end.x_mm - outline.nut.x_mm;
        for column in 0..columns {
            let along = share(column, columns);
            let [treble, bass] = outline.edges_of(outline.line_at(along));
            let cell = length / (columns - 1) as f64 * (treble.1 - bass.1) / (rows - 1) as f64;
            for row in 0..rows {
                let (x_mm, y_mm) = outline.place(along, share(row, rows));
                spots.push(Spot {
                    x_mm: x_mm.clamp(least, most),
                    y_mm,
                });
                area_mm2.push(cell * half_on_border(column, columns) * half_on_border(row, rows));
            }
        }
        Self {
            columns,
            rows,
            spots,
            area_mm2,
        }
    }

    /// The board's area, mm².
    pub fn whole_mm2(&self) -> f64 {
        self.area_mm2.iter().sum()
    }
}

/// A spot on the border stands for half a cell.
fn half_on_border(index: usize, count: usize) -> f64 {
    if index == 0 || index + 1 == count {
        0.5
    } else {
        1.0
    }
}
