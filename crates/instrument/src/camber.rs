//! The camber: what radius the arch has at every place along the board, and the fall-away.
//!
//! Every law is a radius that runs straight between knots: one radius has a single knot, a
//! cone two, stations as many as the maker names. A cone's rulings are the lines through its
//! apex, where the radius would be zero: put `y = k (x - x0)` into `z = -drop(m (x - x0), y)` and
//! z is linear in x.

use crate::arc::Radius;

/// The law by which the maker gave the camber.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Law {
    /// One radius all along: a cylinder, or flat.
    Single,
    /// The radius runs straight from the nut to the last fret.
    Cone,
    /// Radii at named frets, straight between.
    Stations,
    /// The cone whose rulings are the strings' lanes.
    StringCone,
}

/// A radius at a place along the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knot {
    /// Place on the centreline, mm from the nut.
    pub x_mm: f64,
    /// Radius there.
    pub radius: Radius,
}

/// A planned fall of the board's far end below the straight centreline: a straight ramp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FallAway {
    /// The fret where it begins.
    pub from_fret: usize,
    /// Where it begins on the centreline, mm.
    pub from_x_mm: f64,
    /// Where it has its full depth: the board's end, mm.
    pub end_x_mm: f64,
    /// Its depth at the board's end, mm.
    pub depth_mm: f64,
}

/// The finished surface: `z = -fall(x) - drop(R(x), y)`.
#[derive(Clone, Debug, PartialEq)]
pub struct Camber {
    /// The law the maker chose.
    pub law: Law,
    knots: Vec<Knot>,
    /// True when the last knot's slope goes on past it, as it does when that knot is the last fret.
    runs_on: bool,
    /// The planned fall-away, if any.
    pub fall_away: Option<FallAway>,
}

impl Camber {
    /// A camber through `knots`, in order of x and at least one. Past the last knot the radius
    /// goes on with the same slope when `end` says so; elsewhere outside it is held.
    pub fn new(law: Law, knots: Vec<Knot>, end: PastLastKnot, fall_away: Option<FallAway>) -> Self {
        Self {
            law,
            knots,
            runs_on: end == PastLastKnot::RunsOn,
            fall_away,
        }
    }

    /// The same law and fall over other radii: the knots take the place of its own, in order of x.
    pub fn set_knots(&mut self, knots: Vec<Knot>) {
        self.knots = knots;
    }

    /// The knots, in order of x.
    pub fn knots(&self) -> &[Knot] {
        &self.knots
    }

    /// The radius at a place along the board.
    pub fn radius(&self, x: f64) -> Radius {
        let Some(between) = self.between(x) else {
            return Radius::FLAT;
        };
        let (from, to) = (self.knots[between.from], self.knots[between.to]);
        if between.share == 0.0 {
            return from.radius;
        }
        Radius::from_mm(from.radius.mm() + between.share * (to.radius.mm() - from.radius.mm()))
    }

    /// The knots between which a place lies; nothing for a camber without knots. Where the
    /// radius is held, or has a single knot, the share is 0.
    pub fn between(&self, x: f64) -> Option<Between> {
        let knots = &self.knots;
        let (first, last) = knots.first().zip(knots.last())?;
        let at = |from, to, share| Some(Between { from, to, share });
        if knots.len() == 1 {
            return at(0, 0, 0.0);
        }
        let held = !matches!(self.law, Law::Cone | Law::StringCone);
        if x <= first.x_mm && held {
            return at(0, 0, 0.0);
        }
        if x >= last.x_mm && held && !self.runs_on {
            return at(knots.len() - 1, knots.len() - 1, 0.0);
        }
        let after = knots
            .partition_point(|knot| knot.x_mm <= x)
            .clamp(1, knots.len() - 1);
        let (from, to) = (knots[after - 1], knots[after]);
        at(after - 1, after, (x - from.x_mm) / (to.x_mm - from.x_mm))
    }

    /// How far the centreline lies below the straight one, mm.
    pub fn fall(&self, x: f64) -> f64 {
        match self.fall_away {
            Some(fall) if x > fall.from_x_mm => {
                fall.depth_mm * (x - fall.from_x_mm) / (fall.end_x_mm - fall.from_x_mm)
            }
            _ => 0.0,
        }
    }

    /// The finished surface at `(x, y)`, mm below zero.
    pub fn height(&self, x: f64, y: f64) -> f64 {
        -self.fall(x) - crate::arc::drop(self.radius(x), y)
    }

    /// The apex of the cone, where its radius would be zero. Nothing for a cylinder, and
    /// nothing for stations, which have no one apex.
    pub fn apex_x_mm(&self) -> Option<f64> {
        let [from, to] = self.knots.as_slice() else {
            return None;
        };
        if self.law == Law::Stations {
            return None;
        }
        let rise = (to.radius.mm() - from.radius.mm()) / (to.x_mm - from.x_mm);
        (rise != 0.0).then(|| from.x_mm - from.radius.mm() / rise)
    }

    /// Places where the surface has a kink along the board: inner knots and the fall's beginning.
    pub fn breaks(&self) -> Vec<f64> {
        let fall = self.fall_away.map(|fall| fall.from_x_mm);
        self.knots
            .iter()
            .map(|knot| knot.x_mm)
            .chain(fall)
            .collect()
    }
}

/// Where a place lies between two knots of a camber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// The knot before, by its place in [`Camber::knots`].
    pub from: usize,
    /// The knot after; the same one where the radius is held.
    pub to: usize,
    /// The share of the way from one to the other; less than 0 or more than 1 outside them.
    pub share: f64,
}

/// The curvature a share of the way between two knots, the radius running straight:
/// `1/κ = (1-s)/κ₁ + s/κ₂`; and its changes with κ₁ and κ₂, `(1-s) κ²/κ₁²` and `s κ²/κ₂²`.
#[inline]
pub fn straight_radius(near: f64, far: f64, share: f64) -> (f64, [f64; 2]) {
    let part = 1.0 / ((1.0 - share) * far + share * near);
    let (by_near, by_far) = (far * part, near * part);
    (
        near * far * part,
        [(1.0 - share) * by_near * by_near, share * by_far * by_far],
    )
}

/// What the radius does past the last knot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PastLastKnot {
    /// It goes on with the slope of the last piece.
    RunsOn,
    /// It stays what it is.
    Held,
}

/// The cone whose rulings are the lanes: the radius grows from `nut` in proportion to the
/// distance from the point where the lanes meet, so that `R_saddle / R_nut = s_s / s_n`.
/// Parallel lanes give a cylinder.
pub fn string_cone_knots(
    nut: Radius,
    lanes_apex_x_mm: Option<f64>,
    last_fret_x_mm: f64,
) -> Vec<Knot> {
    let at_nut = Knot {
        x_mm: 0.0,
        radius: nut,
    };
    match lanes_apex_x_mm {
        Some(apex) => {
            let radius = nut.mm() * (last_fret_x_mm - apex) / -apex;
            vec![
                at_nut,
                Knot {
                    x_mm: last_fret_x_mm,
                    radius: Radius::from_mm(radius),
                },
            ]
        }
        None => vec![at_nut],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arc::drop;

    fn cone() -> Camber {
        let knots = vec![
            Knot {
                x_mm: 0.0,
                radius: Radius::from_mm(240.0),
            },
            Knot {
                x_mm: 456.809_150,
                radius: Radius::from_mm(400.0),
            },
        ];
        Camber::new(Law::Cone, knots, PastLastKnot::RunsOn, None)
    }

    #[test]
    fn the_apex_is_the_published_check_value() {
        // Computed with 30-digit arithmetic apart from this project.
        let apex = cone().apex_x_mm().expect("a cone has one");
        assert!((apex + 685.213_725).abs() < 5e-7);
    }

    #[test]
    fn every_line_through_the_apex_lies_in_the_surface() {
        let camber = cone();
        let apex = camber.apex_x_mm().expect("a cone has one");
        for k in [0.01, 0.02, 0.03] {
            let z = |x: f64| camber.height(x, k * (x - apex));
            let chord = |x: f64| z(0.0) + (z(460.0) - z(0.0)) * x / 460.0;
            for step in 1..46 {
                let x = 10.0 * f64::from(step);
                assert!((z(x) - chord(x)).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn stations_are_met_and_held_outside() {
        let knot = |x_mm, r| Knot {
            x_mm,
            radius: Radius::from_mm(r),
        };
        let camber = Camber::new(
            Law::Stations,
            vec![knot(100.0, 250.0), knot(200.0, 300.0), knot(300.0, 500.0)],
            PastLastKnot::Held,
            None,
        );
        let at = |x| camber.radius(x).mm();
        assert_eq!(
            [at(0.0), at(100.0), at(150.0), at(250.0), at(900.0)],
            [250.0, 250.0, 275.0, 400.0, 500.0]
        );
        assert!(camber.apex_x_mm().is_none());
    }

    #[test]
    fn fall_away_is_a_ramp_to_the_end() {
        let fall = FallAway {
            from_fret: 14,
            from_x_mm: 400.0,
            end_x_mm: 500.0,
            depth_mm: 0.3,
        };
        let knots = vec![Knot {
            x_mm: 0.0,
            radius: Radius::FLAT,
        }];
        let camber = Camber::new(Law::Single, knots, PastLastKnot::Held, Some(fall));
        assert_eq!(camber.fall(400.0), 0.0);
        assert!((camber.height(450.0, 20.0) + 0.15).abs() < 1e-12);
        assert_eq!(drop(camber.radius(0.0), 20.0), 0.0);
    }
}
