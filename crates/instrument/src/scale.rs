//! Scale length and the straight lines on which frets lie, square or fanned.

use crate::lanes::Lane;
use crate::tuning::Tuning;

/// A straight line across the board in plan: `x = x_mm + slope · y`.
///
/// The nut, every fret, the saddle and the board's end are such lines; on a single scale the
/// slope is zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossLine {
    /// Where it crosses the centreline, mm from the nut.
    pub x_mm: f64,
    /// How far it runs along the board for each millimetre toward the treble side.
    pub slope: f64,
}

impl CrossLine {
    /// A line square to the centreline.
    pub const fn square(x_mm: f64) -> Self {
        Self { x_mm, slope: 0.0 }
    }

    /// The line through two points `(x, y)` on different sides of the board.
    pub fn through(treble: (f64, f64), bass: (f64, f64)) -> Self {
        let slope = (treble.0 - bass.0) / (treble.1 - bass.1);
        Self {
            x_mm: treble.0 - slope * treble.1,
            slope,
        }
    }

    /// x of the line at a distance `y` from the centreline, mm.
    pub fn x_at(self, y: f64) -> f64 {
        self.x_mm + self.slope * y
    }

    /// Where the line meets the straight line `y = offset + rise · x`: the point `(x, y)`.
    pub fn meet(self, offset: f64, rise: f64) -> (f64, f64) {
        let x = (self.x_mm + self.slope * offset) / (1.0 - self.slope * rise);
        (x, offset + rise * x)
    }

    /// The angle between the line and the square across the board, radians.
    pub fn skew(self) -> f64 {
        self.slope.atan()
    }
}

/// How long the strings sound when open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ScaleLength {
    /// One length, measured on the centreline; frets are square to it.
    Single {
        /// Nut to saddle on the centreline, mm.
        length_mm: f64,
    },
    /// Two lengths, each measured along its outer lane; frets fan out between them.
    Fanned {
        /// Along the lowest string's lane, mm.
        bass_mm: f64,
        /// Along the highest string's lane, mm.
        treble_mm: f64,
        /// The share of the strings' length, from the nut, that stands square to the centreline.
        square_share: f64,
    },
}

/// Where the string ends lie: the nut's line and the saddle's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// The nut's front face.
    pub nut: CrossLine,
    /// The saddle's line before compensation.
    pub saddle: CrossLine,
}

impl ScaleLength {
    /// The nut's and the saddle's lines for outer strings `nut_spread` and `saddle_spread`
    /// apart, mm, measured square to the centreline.
    ///
    /// With two lengths the outer lanes run `X = sqrt(L² - (Δ/2)²)` along the board for a
    /// difference of spreads Δ; their offset is set so that the chosen share stands square, and
    /// the origin so that the nut's line crosses the centreline at x = 0.
    pub fn ends(self, nut_spread: f64, saddle_spread: f64) -> Ends {
        match self {
            ScaleLength::Single { length_mm } => Ends {
                nut: CrossLine::square(0.0),
                saddle: CrossLine::square(length_mm),
            },
            ScaleLength::Fanned {
                bass_mm,
                treble_mm,
                square_share,
            } => {
                let sideways = 0.5 * (saddle_spread - nut_spread);
                let along = |length: f64| (length * length - sideways * sideways).sqrt();
                let (bass, treble) = (along(bass_mm), along(treble_mm));
                // At the square share both lanes have the same x; at the nut they differ by
                // minus that share of the difference, split evenly about the centreline.
                let nut_treble = 0.5 * square_share * (bass - treble);
                let (half_nut, half_saddle) = (0.5 * nut_spread, 0.5 * saddle_spread);
                Ends {
                    nut: CrossLine::through((nut_treble, half_nut), (-nut_treble, -half_nut)),
                    saddle: CrossLine::through(
                        (nut_treble + treble, half_saddle),
                        (-nut_treble + bass, -half_saddle),
                    ),
                }
            }
        }
    }
}

/// The lines of the nut (fret 0) and of `count` frets: each is the straight line between equal
/// shares of the two outer lanes.
pub fn fret_lines(
    scale: ScaleLength,
    tuning: &Tuning,
    count: usize,
    treble: &Lane,
    bass: &Lane,
) -> Vec<CrossLine> {
    let line = |fret: usize| {
        let share = tuning.proportion(fret);
        match scale {
            ScaleLength::Single { length_mm } => CrossLine::square(length_mm * share),
            ScaleLength::Fanned { .. } => CrossLine::through(treble.at(share), bass.at(share)),
        }
    };
    (0..=count).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lanes::{Spacing, lanes};

    #[test]
    fn a_fan_keeps_its_lengths_and_its_square_fret() {
        let tuning = Tuning::equal(12);
        let share = tuning.proportion(7);
        let scale = ScaleLength::Fanned {
            bass_mm: 889.0,
            treble_mm: 838.0,
            square_share: share,
        };
        let ends = scale.ends(70.0, 84.0);
        let lanes = lanes(ends, 70.0, 84.0, &[1.0; 5], Spacing::EqualCentres);
        assert!((lanes[0].length() - 838.0).abs() < 1e-10);
        assert!((lanes[4].length() - 889.0).abs() < 1e-10);
        let lines = fret_lines(scale, &tuning, 24, &lanes[0], &lanes[4]);
        assert!(lines[7].slope.abs() < 1e-12);
        assert!(lines[0].x_mm.abs() < 1e-12);
        // Nutward of the square fret the treble end of a fret lies further from the bass nut.
        assert!(lines[0].slope > 0.0 && lines[20].slope < 0.0);
        // A fret cuts inner lanes at the same share: follows from equal centres.
        for (fret, line) in lines.iter().enumerate() {
            for lane in &lanes {
                let on_lane = lane.at(tuning.proportion(fret));
                assert!((line.x_at(on_lane.1) - on_lane.0).abs() < 1e-9);
            }
        }
    }
}
