//! Figures spread over a surface, and the regions and lines of equal value in them.
//!
//! Regions are found by marching squares on a grid that is thought to be surrounded by a ring of
//! missing nodes lying on its border: so every outline closes, follows the border exactly, and
//! has no seams between cells.

use crate::error::DrawingError;
use crate::path::{Path, Point};

/// The largest number of nodes a field may have.
pub const MOST_NODES: usize = 16_000_000;

/// Values at the nodes of a grid whose nodes lie anywhere on the sheet.
///
/// Node (column, row) is at index `row * columns + column` of both lists. The grid may be bent
/// to follow a board, but must not fold over. A value that is not a number marks a node without
/// one (off the wood, say): regions end at the nodes around it.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    columns: usize,
    rows: usize,
    values: Vec<f64>,
    points: Vec<Point>,
}

/// What lies at or above one level of a field.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// The level, in the unit of the field's values.
    pub level: f64,
    /// Where the field is at or above the level.
    pub region: Path,
}

impl Field {
    /// A field from its values and the places of its nodes, row by row.
    ///
    /// # Errors
    /// If there is not one value and one point for each node, or if there are more than
    /// 16 million nodes.
    pub fn new(
        columns: usize,
        rows: usize,
        values: Vec<f64>,
        points: Vec<Point>,
    ) -> Result<Self, DrawingError> {
        let nodes = check_size(columns, rows)?;
        if values.len() != nodes || points.len() != nodes {
            return Err(DrawingError::FieldShape {
                columns,
                rows,
                values: values.len(),
                points: points.len(),
            });
        }
        Ok(Self {
            columns,
            rows,
            values,
            points,
        })
    }

    /// A field from a function of column and row that gives the node's place and its value.
    ///
    /// # Errors
    /// If there are more than 16 million nodes.
    pub fn from_fn(
        columns: usize,
        rows: usize,
        mut node: impl FnMut(usize, usize) -> (Point, f64),
    ) -> Result<Self, DrawingError> {
        let nodes = check_size(columns, rows)?;
        let (mut points, mut values) = (Vec::with_capacity(nodes), Vec::with_capacity(nodes));
        for row in 0..rows {
            for column in 0..columns {
                let (point, value) = node(column, row);
                points.push(point);
                values.push(value);
            }
        }
        Self::new(columns, rows, values, points)
    }

    /// Nodes along a row.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Rows of nodes.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// The least and the greatest value; `None` if no node has a finite one.
    pub fn range(&self) -> Option<(f64, f64)> {
        let finite = self
            .values
            .iter()
            .copied()
            .filter(|value| value.is_finite());
        finite.fold(None, |range, value| {
            let (low, high) = range.unwrap_or((value, value));
            Some((low.min(value), high.max(value)))
        })
    }

    /// Where the field is at or above a level: closed outlines, holes turned against their
    /// surroundings, so that the nonzero and the even-odd rule fill alike.
    ///
    /// Along each grid edge the field is taken to run straight; where a cell's corners alternate
    /// above and below, the mean of the four decides whether the cell's middle is above.
    pub fn region_above(&self, level: f64) -> Path {
        let mut region = Path::new();
        for outline in self.outlines(level) {
            let mut points: Vec<Point> = outline.iter().map(|crossing| crossing.point).collect();
            points.dedup();
            while points.len() > 1 && points.first() == points.last() {
                points.pop();
            }
            if points.len() > 2 {
                region.push_polygon(&points);
            }
        }
        region
    }

    /// The lines where the field passes through a level, without the grid's border. A line that
    /// closes on itself ends with the point it began with.
    pub fn isolines(&self, level: f64) -> Vec<Vec<Point>> {
        let outlines = self.outlines(level);
        outlines
            .iter()
            .flat_map(|outline| inner_runs(outline))
            .collect()
    }

    /// The regions above several levels in painter's order: lowest first, each to be painted over
    /// those before it, so that no seam can show. Negative infinity as the lowest level gives the
    /// whole field. Levels that are not numbers are left out.
    pub fn bands(&self, levels: &[f64]) -> Vec<Band> {
        let mut levels: Vec<f64> = levels
            .iter()
            .copied()
            .filter(|level| !level.is_nan())
            .collect();
        levels.sort_by(f64::total_cmp);
        let band = |level| Band {
            level,
            region: self.region_above(level),
        };
        levels.into_iter().map(band).collect()
    }

    /// The closed outlines of what lies at or above a level.
    fn outlines(&self, level: f64) -> Vec<Vec<Crossing>> {
        let march = March::new(self, level);
        let mut next = march.links();
        let mut outlines = Vec::new();
        for start in 0..next.len() {
            let mut outline = Vec::new();
            let mut edge = start;
            // Each link is taken out as it is followed, so every outline is walked once.
            while let Some(link) = next.get_mut(edge).filter(|link| **link != NO_LINK) {
                outline.push(march.crossing(edge));
                edge = std::mem::replace(link, NO_LINK) as usize;
            }
            if !outline.is_empty() {
                outlines.push(outline);
            }
        }
        outlines
    }
}

fn check_size(columns: usize, rows: usize) -> Result<usize, DrawingError> {
    let nodes = columns.checked_mul(rows);
    let padded = columns
        .saturating_add(2)
        .checked_mul(rows.saturating_add(2));
    match (nodes, padded) {
        (Some(nodes), Some(padded)) if padded <= MOST_NODES => Ok(nodes),
        _ => Err(DrawingError::FieldTooLarge { columns, rows }),
    }
}

/// Where an outline crosses a grid edge.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    point: Point,
    /// Whether the edge leads to a missing node: the outline then runs along a border.
    on_border: bool,
}

/// No edge follows: the outline does not cross this one.
const NO_LINK: u32 = u32::MAX;

/// One level's march over a field. Nodes are those of the grid with one ring of missing nodes
/// around it; edge 2n leads from node n to the right, edge 2n + 1 down.
struct March<'a> {
    field: &'a Field,
    level: f64,
    /// Nodes along a row, the ring included.
    stride: usize,
    /// For each node, whether it is at or above the level.
    above: Vec<bool>,
}

impl<'a> March<'a> {
    fn new(field: &'a Field, level: f64) -> Self {
        let stride = field.columns + 2;
        let mut above = vec![false; stride * (field.rows + 2)];
        if field.columns > 0 {
            let inner_rows = above.chunks_exact_mut(stride).skip(1);
            for (marks, values) in inner_rows.zip(field.values.chunks_exact(field.columns)) {
                for (mark, value) in marks[1..].iter_mut().zip(values) {
                    *mark = *value >= level;
                }
            }
        }
        Self {
            field,
            level,
            stride,
            above,
        }
    }

    /// For each edge crossed, the edge where the outline goes on, keeping what is above on one
    /// and the same side.
    fn links(&self) -> Vec<u32> {
        let mut next = vec![NO_LINK; 2 * self.above.len()];
        for row in 0..=self.field.rows {
            for column in 0..=self.field.columns {
                let corner = row * self.stride + column;
                self.link_cell(corner, &mut next);
            }
        }
        next
    }

    /// Links the crossings of the cell whose top left node is given.
    fn link_cell(&self, corner: usize, next: &mut [u32]) {
        let below = corner + self.stride;
        let nodes = [corner, corner + 1, below + 1, below];
        let marks = nodes.map(|node| self.above[node]);
        let count = marks.iter().filter(|mark| **mark).count();
        if count == 0 || count == 4 {
            return;
        }
        // Edges clockwise from the top; edge k leads from corner k to corner k + 1.
        let edges = [2 * corner, 2 * (corner + 1) + 1, 2 * below, 2 * corner + 1];
        let saddle = count == 2 && marks[0] == marks[2];
        let joined = saddle && self.middle_is_above(nodes);
        for leave in 0..4 {
            // Clockwise, the outline leaves what is above here ...
            if marks[leave] && !marks[(leave + 1) % 4] {
                // ... and comes back at the nearest edge where below gives way to above: going on
                // clockwise around the corner below, or, past a saddle's parted corner, back.
                let back = if saddle && !joined { 3 } else { 1 };
                let step = |count: usize| (leave + back * count) % 4;
                let enter = (1..4).map(step).find(|&k| !marks[k] && marks[(k + 1) % 4]);
                if let Some(enter) = enter {
                    next[edges[leave]] = edges[enter] as u32;
                }
            }
        }
    }

    /// Whether the mean of a cell's corners is at or above the level; a missing corner says no.
    fn middle_is_above(&self, nodes: [usize; 4]) -> bool {
        let sum: f64 = nodes.iter().map(|&node| self.value(node)).sum();
        sum / 4.0 >= self.level
    }

    /// Index of a node in the field's own lists; `None` in the ring around it.
    fn inner(&self, node: usize) -> Option<usize> {
        let column = (node % self.stride).checked_sub(1)?;
        let row = (node / self.stride).checked_sub(1)?;
        let is_inside = column < self.field.columns && row < self.field.rows;
        is_inside.then_some(row * self.field.columns + column)
    }

    fn value(&self, node: usize) -> f64 {
        self.inner(node)
            .map_or(f64::NAN, |inner| self.field.values[inner])
    }

    /// Where the outline crosses an edge known to be crossed.
    fn crossing(&self, edge: usize) -> Crossing {
        let start = edge / 2;
        let end = start
            + if edge.is_multiple_of(2) {
                1
            } else {
                self.stride
            };
        let (high, low) = if self.above[start] {
            (start, end)
        } else {
            (end, start)
        };
        let at_high = self
            .inner(high)
            .map_or(Point::default(), |inner| self.field.points[inner]);
        let (high_value, low_value) = (self.value(high), self.value(low));
        let fraction = (high_value - self.level) / (high_value - low_value);
        // Beside a missing node, or beside an infinite value, the outline goes through the node
        // that is above.
        match self.inner(low) {
            Some(inner) if fraction.is_finite() => Crossing {
                point: at_high.toward(self.field.points[inner], fraction),
                on_border: false,
            },
            _ => Crossing {
                point: at_high,
                on_border: true,
            },
        }
    }
}

/// The parts of a closed outline that do not run along a border.
fn inner_runs(outline: &[Crossing]) -> Vec<Vec<Point>> {
    let Some(first_border) = outline.iter().position(|crossing| crossing.on_border) else {
        let mut points: Vec<Point> = outline.iter().map(|crossing| crossing.point).collect();
        points.extend(points.first().copied());
        points.dedup();
        return if points.len() > 2 {
            vec![points]
        } else {
            Vec::new()
        };
    };
    // Begun at a border, no run is cut in two where the list begins.
    let turned = outline[first_border..]
        .iter()
        .chain(&outline[..first_border]);
    let turned: Vec<Crossing> = turned.copied().collect();
    let runs = turned.split(|crossing| crossing.on_border);
    runs.filter_map(|run| {
        let mut points: Vec<Point> = run.iter().map(|crossing| crossing.point).collect();
        points.dedup();
        (points.len() > 1).then_some(points)
    })
    .collect()
}
