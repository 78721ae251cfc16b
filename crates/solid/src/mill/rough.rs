//! Roughing: a flat end laid over the finished face, level below level, so that it leaves the
//! allowance and touches nothing below it.

use instrument::outline::Outline;
use instrument::scale::CrossLine;

use super::face::Face;
use super::follow::{Follow, followed};
use super::moves::{Path, Point};

/// The greatest step over, as a share of the cutter's diameter (common practice, no source).
const MOST_STEP_SHARE: f64 = 0.6;
/// The least one.
const LEAST_STEP_SHARE: f64 = 0.1;
/// How far a straight piece may lie below the height that it follows, mm.
const SAG_MM: f64 = 2e-4;
/// A height lower than another by less than this is the same, mm.
const SAME_MM: f64 = 1e-6;

/// How a face is roughed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Roughing {
    pub radius: f64,
    /// From the blank's top down, mm.
    pub top_mm: f64,
    pub pass_mm: f64,
    pub allowance_mm: f64,
    /// From one line to the next at the widest place, mm.
    pub step_mm: f64,
    /// How far past the edges and past the ends the cutter's centre goes, mm.
    pub past_mm: [f64; 2],
}

/// The step over that leaves no more on the flanks than the ball may take in one pass.
pub(crate) fn step_mm(diameter: f64, steepest: f64, left_mm: f64) -> f64 {
    let most = MOST_STEP_SHARE * diameter;
    if steepest <= 0.0 {
        return most;
    }
    (left_mm / steepest).clamp(LEAST_STEP_SHARE * diameter, most)
}

/// The lines of a roughing at their last height, from the bass side to the treble side.
pub(crate) fn lines(face: &Face, outline: &Outline, how: Roughing) -> Vec<Vec<Point>> {
    let [past_edge, past_end] = how.past_mm;
    let square = |slope: f64| (1.0 + slope * slope).sqrt();
    let moved = |line: CrossLine, by: f64| CrossLine {
        x_mm: line.x_mm + by * square(line.slope),
        ..line
    };
    let ends = [moved(outline.nut, -past_end), moved(outline.end, past_end)];
    let bass = [
        -outline.bass.at_nut_mm - past_edge * square(outline.bass.rise),
        -outline.bass.rise,
    ];
    let treble = [
        outline.treble.at_nut_mm + past_edge * square(outline.treble.rise),
        outline.treble.rise,
    ];
    let wide = |end: &CrossLine| end.meet(treble[0], treble[1]).1 - end.meet(bass[0], bass[1]).1;
    let widest = ends.iter().map(wide).fold(0.0, f64::max);
    let count = (widest / how.step_mm).ceil().max(1.0) as usize;
    let line = |index: usize| {
        let share = index as f64 / count as f64;
        let between = |i: usize| bass[i] + share * (treble[i] - bass[i]);
        let [from, to] = ends.map(|end| end.meet(between(0), between(1)));
        let follow = Follow {
            radius: how.radius,
            over_mm: how.allowance_mm,
            // Far outside a steep edge the face would go on below the bed.
            least_mm: how.allowance_mm,
            sag_mm: SAG_MM,
        };
        followed(face, [from.into(), to.into()], follow)
    };
    (0..=count).map(line).collect()
}

/// The whole way, level by level, and how many levels there are.
pub(crate) fn path(
    lines: &[Vec<Point>],
    how: Roughing,
    feed: [f64; 2],
    heights: [f64; 2],
) -> Option<(Path, usize)> {
    let lowest = lines
        .iter()
        .flatten()
        .map(|place| place[2])
        .fold(f64::INFINITY, f64::min);
    let levels = ((how.top_mm - lowest) / how.pass_mm - SAME_MM)
        .ceil()
        .max(1.0);
    let down = (how.top_mm - lowest) / levels;
    let [along, plunge] = feed;
    let [safe, near] = heights;
    let mut path: Option<Path> = None;
    for level in 0..levels as usize {
        let above = how.top_mm - down * level as f64;
        let mut before: Option<usize> = None;
        for (index, line) in lines.iter().enumerate() {
            if line.iter().all(|place| place[2] >= above - SAME_MM) {
                continue;
            }
            let mut way: Vec<Point> = line
                .iter()
                .map(|&[x, y, z]| [x, y, z.max(above - down)])
                .collect();
            if index % 2 == 1 {
                way.reverse();
            }
            let path = path.get_or_insert_with(|| Path::from([way[0][0], way[0][1], safe]));
            if before.is_none_or(|before| before + 1 != index) {
                path.hop([way[0][0], way[0][1], near], safe);
                path.feed(way[0], plunge);
            }
            for place in way {
                path.feed(place, along);
            }
            before = Some(index);
        }
    }
    let mut path = path?;
    let [x, y, _] = path.end();
    path.rapid([x, y, safe]);
    Some((path, levels as usize))
}
