//! Strings where they cross the nut or the saddle: places along that line, and the lanes' slant to it.

use instrument::Instrument;
use instrument::lanes::Lane;
use instrument::scale::CrossLine;

use super::arch::seen;
use super::draft::Draft;
use super::spread::spread;
use crate::{Anchor, Point};

/// Least distance between two strings' numbers, mm.
const NUMBER_GAP_MM: f64 = 3.4;

/// A line across the board along which places are counted from the centreline, mm.
#[derive(Clone, Copy)]
pub(super) struct Along(pub(super) CrossLine);

impl Along {
    /// A point of the board as its place along the line, positive toward the treble side.
    pub(super) fn of(self, (_, y): (f64, f64)) -> f64 {
        y / self.0.skew().cos()
    }

    /// The point of the board at a place along the line.
    pub(super) fn place(self, t: f64) -> (f64, f64) {
        let y = t * self.0.skew().cos();
        (self.0.x_at(y), y)
    }

    /// How far a millimetre of a lane goes along the line, and square to it away from the nut.
    pub(super) fn direction(self, lane: &Lane) -> (f64, f64) {
        let (slope, rise) = (self.0.slope, lane.rise());
        let lengths = slope.hypot(1.0) * rise.hypot(1.0);
        ((slope + rise) / lengths, (1.0 - slope * rise) / lengths)
    }
}

/// Strings' numbers over their places, moved apart where they are crowded, a leader to each.
///
/// `feet` are the points where the leaders begin, highest string first, so that they stand from
/// left to right; `top` is the height on the sheet where the numbers stand.
pub(super) fn number_strings(draft: &mut Draft, feet: &[Point], top: f64) {
    let wanted: Vec<f64> = feet.iter().map(|foot| foot.x).collect();
    let places = spread(&wanted, NUMBER_GAP_MM);
    for (index, (foot, x)) in feet.iter().zip(&places).enumerate() {
        draft.tick("marks", *foot, Point::new(*x, top + 0.8));
        draft.figure(Point::new(*x, top), (index + 1).to_string(), Anchor::Middle);
    }
}

/// Which side is which, at the ends of a view.
pub(super) fn name_sides(draft: &mut Draft, (treble, bass): (f64, f64), z: f64) {
    let left = seen(treble, z);
    let right = seen(bass, z);
    draft.figure(Point::new(left.x - 3.0, left.y), "treble", Anchor::End);
    draft.figure(Point::new(right.x + 3.0, right.y), "bass", Anchor::Start);
}

/// A string in a table: `1 · E4`.
pub(super) fn string_name(instrument: &Instrument, index: usize) -> String {
    match instrument.strings.get(index) {
        Some(string) => format!("{} · {}", index + 1, string.note),
        None => (index + 1).to_string(),
    }
}
