//! Directed sides of one face, put end to end into closed loops.

use std::collections::BTreeMap;

/// A directed side in the face's own plane, seen from outside the wood.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Side<T> {
    pub ends: [usize; 2],
    pub at: [[f64; 2]; 2],
    pub what: T,
}

/// A loop: its sides in order, and twice the area that its corners enclose, positive for an outer one.
pub(crate) struct Loop<T> {
    pub sides: Vec<Side<T>>,
    pub twice_area: f64,
}

/// The closed loops of a face's sides; nothing when a side leads nowhere.
pub(crate) fn closed_loops<T: Copy>(sides: &[Side<T>]) -> Option<Vec<Loop<T>>> {
    let mut leaving: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, side) in sides.iter().enumerate() {
        leaving.entry(side.ends[0]).or_default().push(index);
    }
    let mut used = vec![false; sides.len()];
    let mut loops = Vec::new();
    for first in 0..sides.len() {
        if used[first] {
            continue;
        }
        let (mut found, mut current) = (Vec::new(), first);
        loop {
            used[current] = true;
            found.push(sides[current]);
            let side = &sides[current];
            if side.ends[1] == sides[first].ends[0] {
                break;
            }
            let next = leaving.get(&side.ends[1])?.iter().copied();
            current = next
                .filter(|&index| !used[index])
                .min_by(|&a, &b| turn(side, &sides[a]).total_cmp(&turn(side, &sides[b])))?;
        }
        let cross = |side: &Side<T>| side.at[0][0] * side.at[1][1] - side.at[1][0] * side.at[0][1];
        let twice_area = found.iter().map(cross).sum();
        loops.push(Loop {
            sides: found,
            twice_area,
        });
    }
    Some(loops)
}

/// The angle clockwise from the way back to the next side: the least of them bounds the same
/// corner of the face, where loops touch.
fn turn<T>(side: &Side<T>, next: &Side<T>) -> f64 {
    let back = [0, 1].map(|i| side.at[0][i] - side.at[1][i]);
    let on = [0, 1].map(|i| next.at[1][i] - next.at[0][i]);
    let cross = back[0] * on[1] - back[1] * on[0];
    let angle = -cross.atan2(back[0] * on[0] + back[1] * on[1]);
    angle.rem_euclid(std::f64::consts::TAU)
}
