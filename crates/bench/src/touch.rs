//! Touch maps: where the tool of a stage meets wood, and so what chalk must look like.
//!
//! The tool comes down evenly: at height h over its final place it has met the wood wherever
//! more than h had to come off. Chalk rubbed on before the stage is gone there and stays elsewhere.

use instrument::Instrument;

use crate::stage::Stage;

/// The moments of a stage at which its chalk is drawn: shares of its volume taken off.
pub const MOMENTS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 0.95];

/// The wood that a stage takes off, sampled over the board: columns along it, rows across.
#[derive(Clone, Debug, PartialEq)]
pub struct TouchMap {
    /// Samples along the board.
    pub columns: usize,
    /// Samples across it.
    pub rows: usize,
    /// Place of every sample, `(x, y)` in mm, column by column, bass edge first.
    pub points: Vec<(f64, f64)>,
    /// The area each sample stands for, mm² up to a common factor: half as much on the border.
    areas: Vec<f64>,
    /// Wood to take off at every sample when the stage begins, mm.
    pub depth_mm: Vec<f64>,
    /// The tool's height over its final place at each of [`MOMENTS`], mm.
    pub tool_height_mm: [f64; 5],
}

impl TouchMap {
    /// Samples a stage. `columns` and `rows` are at least 2.
    pub fn of(instrument: &Instrument, stage: &Stage, columns: usize, rows: usize) -> Self {
        let (columns, rows) = (columns.max(2), rows.max(2));
        let mut points = Vec::with_capacity(columns * rows);
        let mut depth_mm = Vec::with_capacity(columns * rows);
        let mut areas = Vec::with_capacity(columns * rows);
        for column in 0..columns {
            let along = share(column, columns);
            let [treble, bass] = instrument
                .outline
                .edges_of(instrument.outline.line_at(along));
            for row in 0..rows {
                let (x, y) = instrument.outline.place(along, share(row, rows));
                let depth = stage.depth_mm(instrument, x, y).max(0.0);
                points.push((x, y));
                depth_mm.push(depth);
                // Samples on the border stand for half a cell.
                let half = |index: usize, count: usize| {
                    if index == 0 || index + 1 == count {
                        0.5
                    } else {
                        1.0
                    }
                };
                let area = half(column, columns) * half(row, rows) * (treble.1 - bass.1);
                areas.push(area);
            }
        }
        let cells = depth_mm
            .iter()
            .copied()
            .zip(areas.iter().copied())
            .collect();
        let tool_height_mm = tool_heights(cells);
        Self {
            columns,
            rows,
            points,
            areas,
            depth_mm,
            tool_height_mm,
        }
    }

    /// Wood still to come off at a sample at one of the [`MOMENTS`], mm.
    pub fn still_to_go_mm(&self, sample: usize, moment: usize) -> f64 {
        self.depth_mm[sample].min(self.tool_height_mm[moment])
    }

    /// The share of the board's face on which chalk is gone at one of the [`MOMENTS`], 0 to 1.
    pub fn gone_share(&self, moment: usize) -> f64 {
        let area = |gone_only: Gone| -> f64 {
            (0..self.areas.len())
                .filter(|sample| gone_only == Gone::All || self.chalk_gone(*sample, moment))
                .map(|sample| self.areas[sample])
                .sum()
        };
        area(Gone::Touched) / area(Gone::All).max(f64::MIN_POSITIVE)
    }

    /// True when the tool has met the wood at a sample by that moment, so that chalk is gone.
    pub fn chalk_gone(&self, sample: usize, moment: usize) -> bool {
        self.depth_mm[sample] > 0.0 && self.depth_mm[sample] >= self.tool_height_mm[moment]
    }
}

/// Which samples are counted.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Gone {
    All,
    Touched,
}

fn share(index: usize, count: usize) -> f64 {
    index as f64 / (count - 1) as f64
}

/// The tool heights at which the given shares of the volume are gone. With cells sorted by depth,
/// greatest first, the volume above a height is linear between two depths, so that one pass
/// finds them all.
fn tool_heights(mut cells: Vec<(f64, f64)>) -> [f64; 5] {
    cells.sort_by(|a, b| b.0.total_cmp(&a.0));
    let whole: f64 = cells.iter().map(|(depth, area)| depth * area).sum();
    let mut heights = [0.0; 5];
    let Some(&(deepest, _)) = cells.first() else {
        return heights;
    };
    let (mut height, mut gone, mut touched) = (deepest, 0.0, 0.0);
    let mut moment = 0;
    for &(depth, area) in &cells {
        // Coming down from `height` to `depth` the tool cuts over the area touched so far.
        while moment < MOMENTS.len() {
            let missing = MOMENTS[moment] * whole - gone;
            let here = touched * (height - depth);
            if missing > here || (touched == 0.0 && missing > 0.0) {
                break;
            }
            heights[moment] = if touched > 0.0 {
                height - missing / touched
            } else {
                height
            };
            moment += 1;
        }
        gone += touched * (height - depth);
        height = depth;
        touched += area;
    }
    for slot in &mut heights[moment..] {
        // What is left to cut lies under the shallowest sample.
        let index = moment.min(MOMENTS.len() - 1);
        let missing = MOMENTS[index] * whole - gone;
        *slot = if touched > 0.0 {
            (height - missing / touched).max(0.0)
        } else {
            0.0
        };
        moment += 1;
    }
    heights
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_take_off_the_shares_asked_for() {
        let cells: Vec<(f64, f64)> = (0..40)
            .map(|i| (0.01 * f64::from(i), 1.0 + f64::from(i % 3)))
            .collect();
        let whole: f64 = cells.iter().map(|(d, a)| d * a).sum();
        for (height, share) in tool_heights(cells.clone()).into_iter().zip(MOMENTS) {
            let gone: f64 = cells.iter().map(|(d, a)| (d - height).max(0.0) * a).sum();
            assert!((gone / whole - share).abs() < 1e-12, "{share}");
        }
    }

    #[test]
    fn an_even_layer_goes_evenly() {
        let heights = tool_heights(vec![(0.6, 1.0); 9]);
        for (height, share) in heights.into_iter().zip(MOMENTS) {
            assert!((height - 0.6 * (1.0 - share)).abs() < 1e-12);
        }
        assert_eq!(tool_heights(vec![(0.0, 1.0); 4]), [0.0; 5]);
    }
}
