//! Cells of one ground that touch become one region; what is left of the cells' sides are the
//! borders between regions.

use std::collections::BTreeMap;

use super::plan::{Cell, Plan};
use super::relief::Ground;

/// Regions, and the borders between them.
#[derive(Clone, Debug)]
pub(crate) struct Regions {
    /// The ground of every region.
    pub grounds: Vec<Ground>,
    /// Every border once.
    pub borders: Vec<Border>,
}

/// A straight border, as long as the regions on both sides stay the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Border {
    pub ends: [usize; 2],
    pub line: usize,
    /// The region on the left of the way from the first end to the second; nothing outside.
    pub left: Option<usize>,
    pub right: Option<usize>,
}

/// Merges cells.
pub(crate) fn merged(plan: &Plan, cells: &[Cell], grounds: &[Ground]) -> Regions {
    let mut sides: BTreeMap<(usize, usize), (usize, usize)> = BTreeMap::new();
    for (index, cell) in cells.iter().enumerate() {
        for (from, to, line) in cell.sides() {
            sides.insert((from, to), (index, line));
        }
    }
    let beyond = |from: usize, to: usize| sides.get(&(to, from)).map(|side| side.0);
    let mut groups = Groups((0..cells.len()).collect());
    for (&(from, to), &(cell, _)) in &sides {
        if let Some(other) = beyond(from, to).filter(|&other| grounds[other] == grounds[cell]) {
            groups.join(cell, other);
        }
    }
    let (region_of, grounds) = groups.numbered(grounds);
    let mut borders = Vec::new();
    for (&(from, to), &(cell, line)) in &sides {
        let (left, right) = (
            region_of[cell],
            beyond(from, to).map(|other| region_of[other]),
        );
        // An inner side is met twice, once from each cell.
        if right != Some(left) && (right.is_none() || from < to) {
            let border = Border {
                ends: [from, to],
                line,
                left: Some(left),
                right,
            };
            borders.push(border.along(plan));
        }
    }
    Regions {
        grounds,
        borders: chained(plan, borders),
    }
}

/// Joins borders end to end where nothing else meets them.
fn chained(plan: &Plan, mut borders: Vec<Border>) -> Vec<Border> {
    let mut meet = vec![0u32; plan.points.len()];
    for end in borders.iter().flat_map(|border| border.ends) {
        meet[end] += 1;
    }
    let start = |border: &Border| plan.lines[border.line].along(plan.points[border.ends[0]]);
    borders.sort_by(|a, b| (a.line.cmp(&b.line)).then(start(a).total_cmp(&start(b))));
    let mut chained: Vec<Border> = Vec::with_capacity(borders.len());
    for border in borders {
        match chained.last_mut() {
            Some(last) if last.runs_on_in(&border) && meet[border.ends[0]] == 2 => {
                last.ends[1] = border.ends[1];
            }
            _ => chained.push(border),
        }
    }
    chained
}

impl Border {
    /// The same border in its line's direction.
    fn along(self, plan: &Plan) -> Self {
        let at = |end: usize| plan.lines[self.line].along(plan.points[end]);
        if at(self.ends[0]) <= at(self.ends[1]) {
            return self;
        }
        Self {
            ends: [self.ends[1], self.ends[0]],
            line: self.line,
            left: self.right,
            right: self.left,
        }
    }

    fn runs_on_in(&self, next: &Border) -> bool {
        self.line == next.line
            && self.ends[1] == next.ends[0]
            && (self.left, self.right) == (next.left, next.right)
    }
}

/// Which cells belong together.
struct Groups(Vec<usize>);

impl Groups {
    fn first(&mut self, mut cell: usize) -> usize {
        while self.0[cell] != cell {
            self.0[cell] = self.0[self.0[cell]];
            cell = self.0[cell];
        }
        cell
    }

    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.first(one), self.first(other));
        self.0[one.max(other)] = one.min(other);
    }

    /// The region of every cell, and the ground of every region.
    fn numbered(mut self, of_cell: &[Ground]) -> (Vec<usize>, Vec<Ground>) {
        let (mut region_of, mut grounds) = (Vec::with_capacity(of_cell.len()), Vec::new());
        for (cell, ground) in of_cell.iter().enumerate() {
            // The first cell of a group comes before the others, so that its number is known.
            let first = self.first(cell);
            if first == cell {
                region_of.push(grounds.len());
                grounds.push(*ground);
            } else {
                region_of.push(region_of[first]);
            }
        }
        (region_of, grounds)
    }
}
