//! The outline: around the board with the clock, level below level, over the tabs and into the bed.

use instrument::Instrument;

use super::moves::{Path, Point, Turn};
use super::slots::Going;
use super::watch::WALL_MM;

/// A piece of wood left under the edge that holds the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Tab {
    /// Its middle on the board's edge.
    pub middle: [f64; 2],
    /// The edge's direction there.
    along: [f64; 2],
    pub half_length_mm: f64,
    pub height_mm: f64,
}

impl Tab {
    /// True beside the tab's length, on its own side of the board.
    pub(crate) fn holds(&self, x: f64, y: f64) -> bool {
        let (dx, dy) = (x - self.middle[0], y - self.middle[1]);
        let along = dx * self.along[0] + dy * self.along[1];
        let outward = dy * self.along[0] - dx * self.along[1];
        along.abs() <= self.half_length_mm - WALL_MM && outward >= -WALL_MM
    }

    /// True where a cutter so wide cannot come for the tab's sake.
    pub(crate) fn is_near(&self, x: f64, y: f64, diameter: f64) -> bool {
        let (dx, dy) = (x - self.middle[0], y - self.middle[1]);
        let along = dx * self.along[0] + dy * self.along[1];
        let outward = dy * self.along[0] - dx * self.along[1];
        along.abs() <= self.half_length_mm + diameter && (-1.0..=1.5 * diameter).contains(&outward)
    }
}

/// The tabs, spread evenly along both long edges, the treble edge first.
pub(crate) fn tabs(instrument: &Instrument) -> Vec<Tab> {
    let corners = instrument.outline.corners();
    let cutting = &instrument.cutting;
    let treble = cutting.tabs.div_ceil(2);
    let mut tabs = Vec::new();
    for (count, from, to) in [
        (treble, corners[0], corners[1]),
        (cutting.tabs - treble, corners[2], corners[3]),
    ] {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        tabs.extend((0..count).map(|index| {
            let share = (index as f64 + 0.5) / count as f64;
            Tab {
                middle: [from.0 + share * dx, from.1 + share * dy],
                along: [dx / length, dy / length],
                half_length_mm: 0.5 * cutting.tab_length_mm,
                height_mm: cutting.tab_height_mm,
            }
        }));
    }
    tabs
}

/// How deep the outline is cut, mm over the bed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Depths {
    pub top_mm: f64,
    pub bottom_mm: f64,
}

/// The whole way around, and how many times.
pub(crate) fn path(
    corners: [(f64, f64); 4],
    tabs: &[Tab],
    depths: Depths,
    going: Going,
) -> (Path, usize) {
    let sides = sides(corners, going.radius);
    let deep = depths.top_mm - depths.bottom_mm;
    let levels = (deep / going.pass_mm - 1e-9).ceil().max(1.0);
    let [safe, near] = going.heights;
    // The nut's edge has no tab: the cutter ramps down along it.
    let [from, to] = sides[0];
    let mut path = Path::from([from[0], from[1], safe]);
    path.rapid([from[0], from[1], near]);
    path.feed([from[0], from[1], depths.top_mm], going.feed[1]);
    let ramp = (to[0] - from[0]).hypot(to[1] - from[1]);
    let down = deep / levels;
    let ramp_feed = going.feed[0].min(going.feed[1] * ramp / down);
    for level in 1..=levels as usize {
        let z = depths.bottom_mm + down * (levels - level as f64);
        path.feed([to[0], to[1], z], ramp_feed);
        for (index, [from, to]) in sides.iter().enumerate().skip(1) {
            corner(&mut path, *from, corners[(index + 3) % 4], z, going.feed[0]);
            side(&mut path, [*from, *to], z, tabs, going);
        }
        corner(&mut path, from, corners[3], z, going.feed[0]);
    }
    path.feed([to[0], to[1], depths.bottom_mm], going.feed[0]);
    path.rapid([to[0], to[1], safe]);
    (path, levels as usize)
}

/// The sides in the order in which they are cut, so far out: nut, treble, end, bass.
fn sides(corners: [(f64, f64); 4], out: f64) -> [[[f64; 2]; 2]; 4] {
    std::array::from_fn(|index| {
        let (from, to) = (corners[(index + 3) % 4], corners[index]);
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        let (ox, oy) = (-out * dy / length, out * dx / length);
        [[from.0 + ox, from.1 + oy], [to.0 + ox, to.1 + oy]]
    })
}

fn corner(path: &mut Path, to: [f64; 2], centre: (f64, f64), z: f64, feed: f64) {
    path.arc([to[0], to[1], z], centre.into(), Turn::With, feed);
}

/// Along one side, lifting over its tabs.
fn side(path: &mut Path, [from, to]: [[f64; 2]; 2], z: f64, tabs: &[Tab], going: Going) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx.hypot(dy);
    let at = |along: f64, z: f64| -> Point {
        [
            from[0] + along / length * dx,
            from[1] + along / length * dy,
            z,
        ]
    };
    for [near, far, height] in lifts([from, to], z, tabs, going.radius) {
        path.feed(at(near, z), going.feed[0]);
        path.feed(at(near, height), going.feed[1]);
        path.feed(at(far, height), going.feed[0]);
        path.feed(at(far, z), going.feed[1]);
    }
    path.feed(at(length, z), going.feed[0]);
}

/// Where along a side the cutter must be lifted: from, to, how high. Tabs that lie closer together
/// than the cutter is wide are one.
fn lifts([from, to]: [[f64; 2]; 2], z: f64, tabs: &[Tab], r: f64) -> Vec<[f64; 3]> {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx.hypot(dy);
    let lift = |tab: &Tab| {
        let (mx, my) = (tab.middle[0] - from[0], tab.middle[1] - from[1]);
        let (along, aside) = ((mx * dx + my * dy) / length, (my * dx - mx * dy) / length);
        let half = tab.half_length_mm + r;
        let on_this_side = aside.abs() <= r + 1e-6 && z < tab.height_mm;
        on_this_side.then_some([
            (along - half).max(0.0),
            (along + half).min(length),
            tab.height_mm,
        ])
    };
    let mut lifts: Vec<[f64; 3]> = tabs.iter().filter_map(lift).collect();
    lifts.sort_by(|a, b| a[0].total_cmp(&b[0]));
    lifts.dedup_by(|next, before| {
        let one = next[0] <= before[1];
        if one {
            before[1] = before[1].max(next[1]);
        }
        one
    });
    lifts
}
