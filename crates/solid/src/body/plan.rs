//! A convex outline in plan, cut by straight lines into convex cells.
//!
//! A corner is known by the two lines that made it, so that neighbours share it whatever the
//! rounding; a corner that lies on a line but for a hair counts as on it.

use std::collections::BTreeMap;

/// A straight line in plan, `a x + b y = c` with `a² + b² = 1`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub a: f64,
    pub b: f64,
    pub c: f64,
}

impl Line {
    /// The line `a x + b y = c`, brought to unit length.
    pub fn new(a: f64, b: f64, c: f64) -> Self {
        let length = a.hypot(b);
        Self {
            a: a / length,
            b: b / length,
            c: c / length,
        }
    }

    /// The line through two points; what lies left of the way from one to the other is inside,
    /// which is its negative side.
    pub fn through(from: [f64; 2], to: [f64; 2]) -> Self {
        let (a, b) = (to[1] - from[1], from[0] - to[0]);
        Self::new(a, b, a * from[0] + b * from[1])
    }

    /// A line square to the centreline.
    pub fn square(x: f64) -> Self {
        Self {
            a: 1.0,
            b: 0.0,
            c: x,
        }
    }

    /// How far a point lies to its positive side, mm.
    pub fn side(&self, [x, y]: [f64; 2]) -> f64 {
        self.a * x + self.b * y - self.c
    }

    /// How far along the line a point lies, mm. Its direction has the negative side on the left.
    pub fn along(&self, [x, y]: [f64; 2]) -> f64 {
        self.a * y - self.b * x
    }
}

/// A convex cell: its corners counterclockwise, and the line on which each side lies.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Cell {
    pub corners: Vec<usize>,
    /// The line from each corner to the next.
    pub lines: Vec<usize>,
}

/// Points, lines and the snapping distance that cells share.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub lines: Vec<Line>,
    pub points: Vec<[f64; 2]>,
    known: BTreeMap<(usize, usize), usize>,
    snap_mm: f64,
}

impl Plan {
    /// A plan of one cell with these corners, counterclockwise. Side i runs on line i from
    /// point i to the next.
    pub fn new(corners: &[[f64; 2]], snap_mm: f64) -> (Self, Cell) {
        let count = corners.len();
        let side = |i: usize| Line::through(corners[i], corners[(i + 1) % count]);
        let plan = Self {
            lines: (0..count).map(side).collect(),
            points: corners.to_vec(),
            known: BTreeMap::new(),
            snap_mm,
        };
        let cell = Cell {
            corners: (0..count).collect(),
            lines: (0..count).collect(),
        };
        (plan, cell)
    }

    /// Takes up one more line; its number.
    pub fn add_line(&mut self, line: Line) -> usize {
        self.lines.push(line);
        self.lines.len() - 1
    }

    /// Cuts every cell that a line crosses.
    pub fn cut_all(&mut self, cells: Vec<Cell>, line: usize) -> Vec<Cell> {
        let mut cut = Vec::with_capacity(cells.len() + 8);
        for cell in cells {
            let (inside, outside) = self.cut(cell, line);
            cut.extend(inside);
            cut.extend(outside);
        }
        cut
    }

    /// A cell's parts on the negative and on the positive side of a line.
    pub fn cut(&mut self, cell: Cell, line: usize) -> (Option<Cell>, Option<Cell>) {
        let sides: Vec<(i8, f64)> = cell.corners.iter().map(|&at| self.side(at, line)).collect();
        if sides.iter().all(|side| side.0 <= 0) {
            return (Some(cell), None);
        }
        if sides.iter().all(|side| side.0 >= 0) {
            return (None, Some(cell));
        }
        let [mut inside, mut outside] = [(); 2].map(|()| Cell {
            corners: Vec::with_capacity(cell.corners.len() + 1),
            lines: Vec::with_capacity(cell.corners.len() + 1),
        });
        for (i, (&corner, &on)) in cell.corners.iter().zip(&cell.lines).enumerate() {
            let next = (i + 1) % sides.len();
            let ((here, from), (there, to)) = (sides[i], sides[next]);
            // A part goes along the cell's own side while that side lies in it, else along the cut.
            if here <= 0 {
                inside.push(corner, if here == 0 && there > 0 { line } else { on });
            }
            if here >= 0 {
                outside.push(corner, if here == 0 && there < 0 { line } else { on });
            }
            if here * there < 0 {
                let share = from / (from - to);
                let crossing = self.crossing(corner, cell.corners[next], share, (on, line));
                inside.push(crossing, if here < 0 { line } else { on });
                outside.push(crossing, if here > 0 { line } else { on });
            }
        }
        (Some(inside), Some(outside))
    }

    fn side(&self, point: usize, line: usize) -> (i8, f64) {
        let side = self.lines[line].side(self.points[point]);
        let sign = match side {
            side if side > self.snap_mm => 1,
            side if side < -self.snap_mm => -1,
            _ => 0,
        };
        (sign, side)
    }

    /// The point where a cell's side on one line crosses another line.
    fn crossing(&mut self, from: usize, to: usize, share: f64, lines: (usize, usize)) -> usize {
        let key = (lines.0.min(lines.1), lines.0.max(lines.1));
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let (from, to) = (self.points[from], self.points[to]);
        let mut point = [0, 1].map(|i| from[i] + share * (to[i] - from[i]));
        // On a line square to the centreline x is that line's own, so that its curve is a circle.
        for line in [lines.0, lines.1] {
            if self.lines[line].b == 0.0 {
                point[0] = self.lines[line].c / self.lines[line].a;
            }
        }
        self.points.push(point);
        self.known.insert(key, self.points.len() - 1);
        self.points.len() - 1
    }

    /// A point inside a cell.
    pub fn centre(&self, cell: &Cell) -> [f64; 2] {
        let share = 1.0 / cell.corners.len() as f64;
        let sum = |i: usize| {
            cell.corners
                .iter()
                .map(|&at| self.points[at][i])
                .sum::<f64>()
        };
        [sum(0) * share, sum(1) * share]
    }
}

impl Cell {
    fn push(&mut self, corner: usize, line: usize) {
        self.corners.push(corner);
        self.lines.push(line);
    }

    /// Puts other corners in the place of its own; a side whose ends become one goes.
    pub fn replace(&mut self, same: &[usize]) {
        let sides: Vec<(usize, usize, usize)> = self.sides().collect();
        self.corners.clear();
        self.lines.clear();
        for (from, to, line) in sides {
            if same[from] != same[to] {
                self.push(same[from], line);
            }
        }
    }

    /// Its sides: from, to, line.
    pub fn sides(&self) -> impl Iterator<Item = (usize, usize, usize)> + '_ {
        let next = self.corners.iter().cycle().skip(1);
        self.corners
            .iter()
            .zip(next)
            .zip(&self.lines)
            .map(|((&from, &to), &line)| (from, to, line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(plan: &Plan, cell: &Cell) -> f64 {
        let cross = |(from, to, _): (usize, usize, usize)| {
            let (a, b) = (plan.points[from], plan.points[to]);
            0.5 * (a[0] * b[1] - b[0] * a[1])
        };
        cell.sides().map(cross).sum()
    }

    #[test]
    fn cells_fill_the_outline_and_share_their_corners() {
        let (mut plan, outline) =
            Plan::new(&[[0.0, -2.0], [9.0, -3.0], [9.0, 3.0], [0.0, 2.0]], 1e-6);
        let whole = area(&plan, &outline);
        let mut cells = vec![outline];
        // Two that cross, one through that crossing but for a hair, one through a corner.
        for line in [
            Line::square(4.0),
            Line::new(1.0, 0.5, 4.0),
            Line::new(0.3, 1.0, 1.2 + 1e-8),
            Line::through([0.0, -2.0], [9.0, 1.0]),
        ] {
            let line = plan.add_line(line);
            cells = plan.cut_all(cells, line);
        }
        let sum: f64 = cells.iter().map(|cell| area(&plan, cell)).sum();
        assert!((sum - whole).abs() < 1e-6, "{sum} {whole}");
        let mut ways: Vec<(usize, usize)> = cells
            .iter()
            .flat_map(|cell| {
                cell.sides()
                    .map(|(from, to, _)| (from, to))
                    .collect::<Vec<_>>()
            })
            .collect();
        let count = ways.len();
        ways.sort_unstable();
        ways.dedup();
        assert_eq!(ways.len(), count);
        // Every inner side has its partner: only the outline's own stand alone.
        let alone = ways
            .iter()
            .filter(|(from, to)| ways.binary_search(&(*to, *from)).is_err());
        assert!(alone.count() <= 4 + 2 * 4);
    }
}
