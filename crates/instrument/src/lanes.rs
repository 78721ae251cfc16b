//! A lane is a string's straight line in plan, from its point at the nut to its point at the saddle.

use crate::scale::{CrossLine, Ends};

/// How strings share the spread between the outer ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spacing {
    /// The same distance from centre to centre.
    EqualCentres,
    /// The same air between neighbours, so that thick strings get more room.
    EqualGaps,
}

/// A string's straight line in plan, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lane {
    /// The point at the nut, `(x, y)`.
    pub nut: (f64, f64),
    /// The point at the saddle, `(x, y)`.
    pub saddle: (f64, f64),
}

impl Lane {
    /// The point at a share of the way from nut to saddle.
    pub fn at(&self, share: f64) -> (f64, f64) {
        let between = |from: f64, to: f64| from + share * (to - from);
        (
            between(self.nut.0, self.saddle.0),
            between(self.nut.1, self.saddle.1),
        )
    }

    /// Its length in plan, mm.
    pub fn length(&self) -> f64 {
        (self.saddle.0 - self.nut.0).hypot(self.saddle.1 - self.nut.1)
    }

    /// How far it moves sideways for each millimetre along the board.
    pub fn rise(&self) -> f64 {
        (self.saddle.1 - self.nut.1) / (self.saddle.0 - self.nut.0)
    }

    /// Its y at a distance x from the nut, mm.
    pub fn y_at(&self, x: f64) -> f64 {
        self.nut.1 + self.rise() * (x - self.nut.0)
    }

    /// Where it crosses a fret's line.
    pub fn cross(&self, line: CrossLine) -> (f64, f64) {
        line.meet(self.nut.1 - self.rise() * self.nut.0, self.rise())
    }
}

/// The lanes of all strings, highest string first, symmetric about the centreline at both ends.
///
/// `gauges_mm` are the strings' diameters, highest first. One string runs on the centreline.
pub fn lanes(
    ends: Ends,
    nut_spread: f64,
    saddle_spread: f64,
    gauges_mm: &[f64],
    spacing: Spacing,
) -> Vec<Lane> {
    let at_nut = across(nut_spread, gauges_mm, spacing);
    let at_saddle = across(saddle_spread, gauges_mm, spacing);
    let lane = |(nut_y, saddle_y): (f64, f64)| Lane {
        nut: (ends.nut.x_at(nut_y), nut_y),
        saddle: (ends.saddle.x_at(saddle_y), saddle_y),
    };
    at_nut.into_iter().zip(at_saddle).map(lane).collect()
}

/// The strings' places across the board, highest (treble side) first.
fn across(spread: f64, gauges_mm: &[f64], spacing: Spacing) -> Vec<f64> {
    let count = gauges_mm.len();
    if count < 2 {
        return vec![0.0; count];
    }
    let intervals = (count - 1) as f64;
    // Half the sum of two neighbours' diameters: what equal gaps add to the air between them.
    let bodies: Vec<f64> = gauges_mm
        .windows(2)
        .map(|pair| 0.5 * (pair[0] + pair[1]))
        .collect();
    let air = (spread - bodies.iter().sum::<f64>()) / intervals;
    let mut y = 0.5 * spread;
    let mut places = vec![y];
    for body in bodies {
        y -= match spacing {
            Spacing::EqualCentres => spread / intervals,
            Spacing::EqualGaps => air + body,
        };
        places.push(y);
    }
    places
}

/// Where the outer lanes meet: the x at which their distance, square to the centreline, is
/// zero. Nothing when they are parallel.
pub fn lanes_apex(treble: &Lane, bass: &Lane) -> Option<f64> {
    let closing = treble.rise() - bass.rise();
    let distance_at_zero = treble.y_at(0.0) - bass.y_at(0.0);
    (closing.abs() > 1e-12).then(|| -distance_at_zero / closing)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scale::ScaleLength;

    #[test]
    fn equal_gaps_leave_the_same_air_everywhere() {
        let gauges = [0.254, 0.33, 0.43, 0.66, 0.91, 1.17];
        let places = across(35.5, &gauges, Spacing::EqualGaps);
        let air: Vec<f64> = (0..5)
            .map(|i| places[i] - places[i + 1] - 0.5 * (gauges[i] + gauges[i + 1]))
            .collect();
        assert!(air.iter().all(|gap| (gap - air[0]).abs() < 1e-12));
        assert!((places[0] - places[5] - 35.5).abs() < 1e-12);
        assert!(places[4] - places[5] > places[0] - places[1]);
    }

    #[test]
    fn the_outer_lanes_meet_where_the_spreads_say() {
        // x_s = -s_n L/(s_s - s_n)
        let ends = ScaleLength::Single { length_mm: 648.0 }.ends(35.0, 52.0);
        let lanes = lanes(ends, 35.0, 52.0, &[1.0; 6], Spacing::EqualCentres);
        let apex = lanes_apex(&lanes[0], &lanes[5]).expect("they are not parallel");
        assert!((apex + 35.0 * 648.0 / 17.0).abs() < 1e-9);
        assert!(lanes_apex(&lanes[2], &lanes[2]).is_none());
    }

    #[test]
    fn one_string_runs_on_the_centreline() {
        assert_eq!(across(0.0, &[0.5], Spacing::EqualGaps), [0.0]);
    }
}
