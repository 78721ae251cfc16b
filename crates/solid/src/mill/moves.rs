//! A cutter's way: straight moves and arcs, rounded as they are written.
//!
//! Every number here is a whole count of 0.0001 mm before anything is proved, so that the proof
//! and the program's text speak of the same moves. Three decimals are too few: an arc's two radii
//! could then differ by 0.0021 mm, over the 0.002 mm that RS-274 allows (NISTIR 6556).

use std::f64::consts::TAU;

/// A place of the cutter's lowest point on its axis: x and y of the instrument's frame, z over
/// the bed, mm.
pub type Point = [f64; 3];

/// Decimals that are written.
pub(crate) const DECIMALS: usize = 4;
/// Counts in a millimetre.
const COUNTS: f64 = 1e4;
/// How far the chords stay inside an arc when it is followed, mm.
const CHORD_MM: f64 = 2e-4;

/// The way an arc turns, seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// With the clock: G2.
    With,
    /// Against the clock: G3.
    Against,
}

/// How the cutter gets somewhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motion {
    /// As fast as the machine goes, never in wood: G0.
    Rapid,
    /// Straight, cutting, at so many mm/min: G1.
    Feed {
        /// Feed, mm/min.
        mm_per_min: f64,
    },
    /// Round a centre, z running evenly along: G2 or G3.
    Arc {
        /// The centre, x and y, mm.
        centre: [f64; 2],
        /// The way it turns.
        turn: Turn,
        /// Feed, mm/min.
        mm_per_min: f64,
    },
}

/// One move: where to, and how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// Its end.
    pub to: Point,
    /// How it gets there.
    pub motion: Motion,
}

/// A whole way from a first place, every number a count of 0.0001 mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// The first place, at a height where nothing stands.
    pub start: Point,
    /// The moves in order.
    pub moves: Vec<Move>,
}

/// The nearest number that is written, never minus zero.
pub(crate) fn rounded(mm: f64) -> f64 {
    (mm * COUNTS).round() / COUNTS + 0.0
}

/// The nearest number that is written and not lower: a height is never rounded into the wood.
/// What lies within a millionth of a count is rounding, and is no reason to go a count higher.
pub(crate) fn rounded_up(mm: f64) -> f64 {
    (mm * COUNTS - 1e-6).ceil() / COUNTS + 0.0
}

/// A feed as it is written: whole tenths of a mm/min, and never none.
fn rounded_feed(mm_per_min: f64) -> f64 {
    (mm_per_min * 10.0).round().max(1.0) / 10.0
}

impl Path {
    /// A way that begins at a place.
    pub(crate) fn from([x, y, z]: Point) -> Self {
        Self {
            start: [rounded(x), rounded(y), rounded_up(z)],
            moves: Vec::new(),
        }
    }

    /// Where the cutter is after the last move.
    pub fn end(&self) -> Point {
        self.moves.last().map_or(self.start, |last| last.to)
    }

    pub(crate) fn rapid(&mut self, to: Point) {
        self.straight(to, Motion::Rapid);
    }

    pub(crate) fn feed(&mut self, to: Point, mm_per_min: f64) {
        let mm_per_min = rounded_feed(mm_per_min);
        self.straight(to, Motion::Feed { mm_per_min });
    }

    fn straight(&mut self, [x, y, z]: Point, motion: Motion) {
        let to = [rounded(x), rounded(y), rounded_up(z)];
        if to != self.end() {
            self.moves.push(Move { to, motion });
        }
    }

    /// An arc of less than a whole turn.
    pub(crate) fn arc(&mut self, [x, y, z]: Point, centre: [f64; 2], turn: Turn, mm_per_min: f64) {
        let to = [rounded(x), rounded(y), rounded_up(z)];
        let centre = centre.map(rounded);
        let mm_per_min = rounded_feed(mm_per_min);
        if to[..2] == self.end()[..2] {
            return self.feed(to, mm_per_min);
        }
        self.moves.push(Move {
            to,
            motion: Motion::Arc {
                centre,
                turn,
                mm_per_min,
            },
        });
    }

    /// Up to a height and straight over to the place, then down to `over_mm`.
    pub(crate) fn hop(&mut self, to: Point, safe_mm: f64) {
        let [x, y, _] = self.end();
        self.rapid([x, y, safe_mm]);
        self.rapid([to[0], to[1], safe_mm]);
        self.rapid(to);
    }

    /// Every move with the place where it begins.
    pub fn legs(&self) -> impl Iterator<Item = (Point, &Move)> {
        let begins = std::iter::once(self.start).chain(self.moves.iter().map(|leg| leg.to));
        begins.zip(&self.moves)
    }

    /// How long it takes, minutes: lengths over feeds, starting and stopping not counted.
    pub fn minutes(&self, rapid_mm_per_min: f64) -> f64 {
        let minutes = |(from, leg): (Point, &Move)| {
            length_mm(from, leg)
                / match leg.motion {
                    Motion::Rapid => rapid_mm_per_min,
                    Motion::Feed { mm_per_min } | Motion::Arc { mm_per_min, .. } => mm_per_min,
                }
        };
        self.legs().map(minutes).sum()
    }
}

fn length_mm(from: Point, leg: &Move) -> f64 {
    let rise = leg.to[2] - from[2];
    let along = match leg.motion {
        Motion::Arc { centre, turn, .. } => {
            let round = Round::new(from, leg.to, centre, turn);
            round.radius * round.sweep.abs()
        }
        _ => (leg.to[0] - from[0]).hypot(leg.to[1] - from[1]),
    };
    along.hypot(rise)
}

/// An arc by its angles.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Round {
    centre: [f64; 2],
    /// The radius at its beginning, mm.
    pub radius: f64,
    from_angle: f64,
    /// How far it turns, radians; positive against the clock.
    pub sweep: f64,
}

impl Round {
    /// The arc of a move; one that ends where it begins is a whole turn, as RS-274 has it.
    pub(crate) fn new(from: Point, to: Point, centre: [f64; 2], turn: Turn) -> Self {
        let angle = |at: Point| (at[1] - centre[1]).atan2(at[0] - centre[0]);
        let (from_angle, to_angle) = (angle(from), angle(to));
        let whole = from[..2] == to[..2];
        let ahead = (to_angle - from_angle).rem_euclid(TAU);
        let sweep = match turn {
            _ if whole => TAU,
            Turn::Against => ahead,
            Turn::With => TAU - ahead,
        };
        Self {
            centre,
            radius: (from[0] - centre[0]).hypot(from[1] - centre[1]),
            from_angle,
            sweep: if turn == Turn::With { -sweep } else { sweep },
        }
    }

    fn at(&self, share: f64) -> [f64; 2] {
        let angle = self.from_angle + share * self.sweep;
        [
            self.centre[0] + self.radius * angle.cos(),
            self.centre[1] + self.radius * angle.sin(),
        ]
    }

    /// How many chords keep within [`CHORD_MM`] of it: a chord of angle α stays `R α²/8` inside.
    fn chords(&self) -> usize {
        let step = (8.0 * CHORD_MM / self.radius.max(CHORD_MM)).sqrt();
        (self.sweep.abs() / step).ceil().clamp(1.0, 1e5) as usize
    }
}

/// A move as straight pieces: itself, or an arc's chords.
pub(crate) fn straight_pieces(from: Point, leg: &Move) -> Vec<[Point; 2]> {
    let Motion::Arc { centre, turn, .. } = leg.motion else {
        return vec![[from, leg.to]];
    };
    let round = Round::new(from, leg.to, centre, turn);
    let count = round.chords();
    let place = |index: usize| {
        if index == count {
            return leg.to;
        }
        let share = index as f64 / count as f64;
        let [x, y] = round.at(share);
        [x, y, from[2] + share * (leg.to[2] - from[2])]
    };
    let mut before = from;
    let pieces = (1..=count).map(|index| {
        let piece = [before, place(index)];
        before = piece[1];
        piece
    });
    pieces.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_are_never_rounded_into_the_wood() {
        assert_eq!(rounded(1.234_56), 1.2346);
        assert_eq!(rounded_up(1.234_51), 1.2346);
        assert_eq!(rounded_up(1.2345), 1.2345);
        assert_eq!(rounded_up(-0.000_01).to_string(), "0");
    }

    #[test]
    fn chords_stay_by_their_arc_and_end_where_it_ends() {
        let mut path = Path::from([10.0, 0.0, 2.0]);
        path.arc([0.0, 10.0, 1.0], [0.0, 0.0], Turn::With, 100.0);
        let pieces = straight_pieces(path.start, &path.moves[0]);
        assert_eq!(pieces.last().map(|piece| piece[1]), Some([0.0, 10.0, 1.0]));
        for [from, to] in &pieces {
            let middle = [0.5 * (from[0] + to[0]), 0.5 * (from[1] + to[1])];
            let inside = 10.0 - middle[0].hypot(middle[1]);
            assert!((-1e-12..=CHORD_MM).contains(&inside));
        }
        // Three quarters of a turn with the clock.
        let along: f64 = 0.75 * TAU * 10.0;
        assert!((path.minutes(1.0) - along.hypot(1.0) / 100.0).abs() < 1e-12);
    }
}
