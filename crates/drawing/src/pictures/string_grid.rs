//! The board drawn as a grid of strings and frets with room for figures: lanes evenly apart, and
//! frets as far from their places as the figures need and no farther.

use instrument::Instrument;

use super::frame::WIDE_MM;
use crate::Point;

/// Where the nut lies at its leftmost, mm of scene: room for a string's name and the open string.
const NUT_MM: f64 = 24.0;
/// Where the last fret lies at its rightmost, mm of scene.
const LAST_MM: f64 = WIDE_MM - 5.0;
/// Distance of the lanes at the nut where there is room for it, mm of scene.
const LANE_MM: f64 = 6.0;
/// The most that all lanes take at the nut, mm of scene.
const ALL_LANES_MM: f64 = 110.0;
/// Width of the widest cell, mm of scene: a finger stands close behind its fret.
const WIDEST_MM: f64 = 11.0;
/// Clear width between a cell and the fret, mm.
const CLEAR_MM: f64 = 0.45;
/// How far frets may be drawn toward even distances; a plan must still look like a board.
const MOST_EVEN: f64 = 0.8;
/// Clear width beside a figure in its cell, both sides together, as a part of its size.
const BESIDE: f64 = 0.35;
/// Height of a cell as a part of the lanes' distance.
const FILLED: f64 = 0.8;

/// One place of the grid: its middle and size on the sheet, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cell {
    /// The middle.
    pub(super) middle: Point,
    /// Width, mm.
    pub(super) width: f64,
    /// Height, mm.
    pub(super) height: f64,
}

/// The grid as it lies on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct StringGrid {
    /// Place of each fret by lane, mm of scene: `along[lane][fret]`.
    along: Vec<Vec<f64>>,
    /// The grid's middle height on the sheet, mm.
    middle_mm: f64,
    /// Distance of the lanes at the nut and at the last fret, mm.
    apart_mm: (f64, f64),
    /// How far frets are drawn toward even distances, 0 to 1.
    pub(super) even: f64,
}

impl StringGrid {
    /// The grid in which figures fit that are `widest` times their size wide, and the size, mm;
    /// no size, and frets at their own places, where none of the sizes fits.
    pub(super) fn with_figures(
        instrument: &Instrument,
        top_mm: f64,
        widest: f64,
        sizes_mm: &[f64],
    ) -> (Self, Option<f64>) {
        let true_places = shares(instrument);
        for size in sizes_mm {
            let needed = size * (widest + BESIDE) + CLEAR_MM * 2.0;
            for step in 0..=10 {
                let grid = Self::new(
                    instrument,
                    &true_places,
                    top_mm,
                    MOST_EVEN * 0.1 * f64::from(step),
                );
                let is_high_enough = FILLED * grid.apart_mm.0 >= 1.15 * size;
                if is_high_enough && needed <= WIDEST_MM && grid.narrowest_mm() >= needed {
                    return (grid, Some(*size));
                }
            }
        }
        (Self::new(instrument, &true_places, top_mm, 0.0), None)
    }

    fn new(instrument: &Instrument, shares: &[Vec<f64>], top_mm: f64, even: f64) -> Self {
        let place = |share: f64| NUT_MM + share * (LAST_MM - NUT_MM);
        let lane = |shares: &Vec<f64>| -> Vec<f64> {
            let (first, last) = (shares[0], shares[shares.len() - 1]);
            let step = (last - first) / (shares.len() - 1).max(1) as f64;
            let drawn = |(fret, share): (usize, &f64)| {
                place((1.0 - even) * share + even * (first + step * fret as f64))
            };
            shares.iter().enumerate().map(drawn).collect()
        };
        let at_nut = LANE_MM.min(ALL_LANES_MM / shares.len().max(1) as f64);
        let at_last = at_nut * widening(instrument);
        Self {
            along: shares.iter().map(lane).collect(),
            middle_mm: top_mm + 0.5 * shares.len() as f64 * at_last,
            apart_mm: (at_nut, at_last),
            even,
        }
    }

    /// How many lanes.
    pub(super) fn lanes(&self) -> usize {
        self.along.len()
    }

    /// How many places a lane has, the open string among them.
    pub(super) fn frets(&self) -> usize {
        self.along.first().map_or(0, Vec::len)
    }

    /// The lower end of the board on the sheet, mm.
    pub(super) fn foot_mm(&self) -> f64 {
        self.middle_mm + 0.5 * self.lanes() as f64 * self.apart_mm.1
    }

    /// The narrowest room between two frets, mm.
    fn narrowest_mm(&self) -> f64 {
        let gaps = self.along.iter().flat_map(|lane| lane.windows(2));
        gaps.map(|pair| pair[1] - pair[0])
            .fold(f64::INFINITY, f64::min)
    }

    /// Distance of the lanes at a place along the sheet, mm.
    fn apart_at(&self, x: f64) -> f64 {
        let share = ((x - NUT_MM) / (LAST_MM - NUT_MM)).clamp(0.0, 1.0);
        self.apart_mm.0 + share * (self.apart_mm.1 - self.apart_mm.0)
    }

    /// A place so many lanes from the middle of lane 0 downward.
    fn point(&self, x: f64, lanes_down: f64) -> Point {
        let off = lanes_down - 0.5 * (self.lanes() as f64 - 1.0);
        Point::new(x, self.middle_mm + off * self.apart_at(x))
    }

    /// Where the fret's line crosses a lane, mm of scene.
    fn x(&self, lane: usize, fret: usize) -> f64 {
        self.along[lane][fret]
    }

    /// The cell of a lane and a fret.
    pub(super) fn cell(&self, lane: usize, fret: usize) -> Cell {
        let right = self.x(lane, fret);
        let room = match fret.checked_sub(1) {
            Some(before) => right - self.x(lane, before),
            None => WIDEST_MM,
        };
        let width = (room - 2.0 * CLEAR_MM).min(WIDEST_MM).max(0.6 * room);
        let x = right - 0.5 * (room - width).min(2.0 * CLEAR_MM) - 0.5 * width;
        Cell {
            middle: self.point(x, lane as f64),
            width,
            height: FILLED * self.apart_at(x),
        }
    }

    /// A fret's line from edge to edge of the board.
    pub(super) fn fret_line(&self, fret: usize) -> [Point; 2] {
        let last = self.lanes().saturating_sub(1);
        let (top, bottom) = (self.x(0, fret), self.x(last, fret));
        // A fanned fret runs on past the outer lanes as it runs between them.
        let beside = 0.5 * (bottom - top) / (last.max(1)) as f64;
        [
            self.point(top - beside, -0.5),
            self.point(bottom + beside, last as f64 + 0.5),
        ]
    }

    /// A lane from its open string to the last fret.
    pub(super) fn lane_line(&self, lane: usize) -> [Point; 2] {
        let from = self.cell(lane, 0);
        let last = self.frets().saturating_sub(1);
        [
            Point::new(from.middle.x - 0.5 * from.width, from.middle.y),
            self.point(self.x(lane, last) + 1.0, lane as f64),
        ]
    }

    /// The board's corners, nut to a little past the last fret.
    pub(super) fn outline(&self) -> [Point; 4] {
        let [a, b] = self.fret_line(0);
        let [c, d] = self.fret_line(self.frets().saturating_sub(1));
        let beyond = |point: Point| Point::new(point.x + 2.5, point.y);
        [a, beyond(c), beyond(d), b]
    }
}

/// Every fret's place on every lane as a share of the way from the first nut end to the last
/// fret end.
fn shares(instrument: &Instrument) -> Vec<Vec<f64>> {
    let lane = |lane: &instrument::lanes::Lane| -> Vec<f64> {
        let crossings = instrument.frets.iter().map(|fret| lane.cross(*fret).0);
        crossings.collect()
    };
    let places: Vec<Vec<f64>> = instrument.lanes.iter().map(lane).collect();
    let all = || places.iter().flatten().copied();
    let (low, high) = (
        all().fold(f64::INFINITY, f64::min),
        all().fold(f64::NEG_INFINITY, f64::max),
    );
    let length = (high - low).max(1e-9);
    let share = |places: &Vec<f64>| places.iter().map(|x| (x - low) / length).collect();
    places.iter().map(share).collect()
}

/// How much wider the lanes lie at the last fret than at the nut, at most one and a half times.
fn widening(instrument: &Instrument) -> f64 {
    let (Some(treble), Some(bass)) = (instrument.lanes.first(), instrument.lanes.last()) else {
        return 1.0;
    };
    let (Some(nut), Some(last)) = (instrument.frets.first(), instrument.frets.last()) else {
        return 1.0;
    };
    let spread = |line| treble.cross(line).1 - bass.cross(line).1;
    let ratio = spread(*last) / spread(*nut);
    if ratio.is_finite() {
        ratio.clamp(1.0, 1.5)
    } else {
        1.0
    }
}
