//! A stretch of the board that is one cone, and the straight lines in it.
//!
//! With θ the angle of the arc, `y = R(x) sin θ`, `z = -fall(x) - R(x) (1 - cos θ)`. Where radius
//! and fall run straight this is a straight line in x for every θ, and the surface's normal is
//! the same all along it: a flat plate may lie on it.

use instrument::outline::Side;
use instrument::{Instrument, Radius};

use super::JigFault;

/// A router that leans more than this slides off its rails, radians (common practice, no source).
pub(super) const MOST_LEAN: f64 = std::f64::consts::FRAC_PI_4;

/// Places nearer than this along the board are one place: a knot at the nut lies there but for
/// rounding.
const LEAST_STRETCH_MM: f64 = 1e-6;

/// A stretch of the board on which radius and fall run straight. Derived from the camber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Its nut end, mm along the centreline.
    pub from_mm: f64,
    /// Its far end, mm along the centreline.
    pub to_mm: f64,
    /// The radius at its nut end, mm; infinite on a flat board.
    pub radius_mm: f64,
    /// How much the radius grows for each millimetre along the board; 0 on a flat board.
    pub radius_slope: f64,
    /// How far the crown lies under the straight centreline at its nut end, mm.
    pub fall_mm: f64,
    /// How much the crown falls for each millimetre along the board.
    pub fall_slope: f64,
}

/// A straight line in the surface, on which the plate lies parallel. Derived.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ruling {
    /// A point of it: x, y, z, mm.
    pub at_mm: [f64; 3],
    /// Its way for each millimetre along the board: x, y, z.
    pub along: [f64; 3],
    /// The surface's normal all along it, of length 1, upward: x, y, z.
    pub normal: [f64; 3],
}

/// The stretches of a board, in order from its nut end to its far end.
pub fn stretches(instrument: &Instrument) -> Vec<Stretch> {
    let (from, to) = instrument.outline.reach();
    let mut ends = vec![from];
    let mut kinks = instrument.camber.breaks();
    kinks.sort_by(f64::total_cmp);
    for kink in kinks {
        let last = ends[ends.len() - 1];
        if kink > last + LEAST_STRETCH_MM && kink < to - LEAST_STRETCH_MM {
            ends.push(kink);
        }
    }
    ends.push(to);
    let mut found: Vec<Stretch> = Vec::new();
    for pair in ends.windows(2) {
        let next = Stretch::between(instrument, pair[0], pair[1]);
        match found.last_mut() {
            // A cone's knots are no kinks: its radius runs on through them.
            Some(last) if last.runs_on_as(&next) => last.to_mm = next.to_mm,
            _ => found.push(next),
        }
    }
    found
}

impl Stretch {
    fn between(instrument: &Instrument, from_mm: f64, to_mm: f64) -> Self {
        let camber = &instrument.camber;
        let (near, far) = (camber.radius(from_mm), camber.radius(to_mm));
        let length = to_mm - from_mm;
        let flat = near.is_flat() || far.is_flat();
        let fall_mm = camber.fall(from_mm);
        Self {
            from_mm,
            to_mm,
            radius_mm: if flat { f64::INFINITY } else { near.mm() },
            radius_slope: if flat {
                0.0
            } else {
                (far.mm() - near.mm()) / length
            },
            fall_mm,
            fall_slope: (camber.fall(to_mm) - fall_mm) / length,
        }
    }

    fn runs_on_as(&self, next: &Self) -> bool {
        /// Lines that part by less than this over a metre are the same but for rounding, mm.
        const SAME_SLOPE: f64 = 1e-9;
        let same = |one: f64, other: f64| (one - other).abs() <= SAME_SLOPE * (1.0 + one.abs());
        self.is_flat() == next.is_flat()
            && same(self.radius_slope, next.radius_slope)
            && same(self.fall_slope, next.fall_slope)
    }

    /// True where the board has no camber.
    pub fn is_flat(&self) -> bool {
        self.radius_mm.is_infinite()
    }

    /// The radius at a place, mm; it runs on past the stretch's ends, and may come to nothing.
    pub fn radius(&self, x: f64) -> f64 {
        self.radius_mm + self.radius_slope * (x - self.from_mm)
    }

    /// How far the crown lies under the straight centreline, mm; it runs on past the ends.
    pub fn fall(&self, x: f64) -> f64 {
        self.fall_mm + self.fall_slope * (x - self.from_mm)
    }

    /// The height of the surface over the straight centreline, mm; it runs on past the ends.
    pub fn height(&self, x: f64, y: f64) -> f64 {
        -self.fall(x) - instrument::arc::drop(Radius::from_mm(self.radius(x)), y)
    }

    /// The straight line at `across`: an angle of the arc, radians; on a flat board a distance
    /// from the centreline, mm. Positive on the treble side.
    pub fn ruling(&self, across: f64) -> Ruling {
        if self.is_flat() {
            let along = [1.0, 0.0, -self.fall_slope];
            let length = 1f64.hypot(self.fall_slope);
            return Ruling {
                at_mm: [self.from_mm, across, -self.fall_mm],
                along,
                normal: [self.fall_slope / length, 0.0, 1.0 / length],
            };
        }
        let (sin, cos) = across.sin_cos();
        // 1 - cos θ, to lose no digits on a nearly flat board.
        let sagged = 2.0 * (0.5 * across).sin().powi(2);
        let (slope, fall) = (self.radius_slope, self.fall_slope);
        // The normal stands square to the arc's tangent (0, cos θ, -sin θ), so that it is
        // (n, sin θ, cos θ), and square to the line: n = fall' cos θ - R' (1 - cos θ).
        let lean = fall * cos - slope * sagged;
        let length = 1f64.hypot(lean);
        Ruling {
            at_mm: [
                self.from_mm,
                self.radius_mm * sin,
                -self.fall_mm - self.radius_mm * sagged,
            ],
            along: [1.0, slope * sin, -fall - slope * sagged],
            normal: [lean / length, sin / length, cos / length],
        }
    }

    /// How far across the cutter's centre must come on a side of the board, `past_mm` beyond the
    /// edge: an angle, radians; on a flat board a distance, mm.
    ///
    /// # Errors
    /// [`JigFault::LeansTooFar`] where the arch has fallen away too steeply by then.
    pub fn lean_to(&self, side: &Side, past_mm: f64) -> Result<f64, JigFault> {
        let mut most = 0.0f64;
        // A straight edge over a straight radius: the greatest share stands at one of the ends.
        for x in [self.from_mm, self.to_mm] {
            let x = x.clamp(side.from_mm.min(side.to_mm), side.to_mm.max(side.from_mm));
            let half_mm = side.edge.at(x) + past_mm;
            if self.is_flat() {
                most = most.max(half_mm);
                continue;
            }
            let radius_mm = self.radius(x);
            let sine = half_mm / radius_mm;
            if !(sine.is_finite() && radius_mm > 0.0 && sine <= MOST_LEAN.sin()) {
                return Err(JigFault::LeansTooFar { half_mm, radius_mm });
            }
            most = most.max(sine.asin());
        }
        Ok(most)
    }

    /// Sees that there is an arch left at the jig's ends, which stand so far beyond the board.
    pub(super) fn arched_at(&self, ends: [f64; 2], beyond_mm: f64) -> Result<(), JigFault> {
        match ends.into_iter().find(|x| self.radius(*x) <= 0.0) {
            Some(at_x_mm) => {
                let apex_x_mm = self.from_mm - self.radius_mm / self.radius_slope;
                Err(JigFault::ApexBetween {
                    apex_x_mm,
                    at_x_mm,
                    most_beyond_mm: beyond_mm - (apex_x_mm - at_x_mm).abs(),
                })
            }
            None => Ok(()),
        }
    }

    /// How far the flat end of a cutter, its centre over the joint and lying on this stretch,
    /// would come under the neighbouring stretch, mm; 0 when it stays over it.
    pub(super) fn dig_mm(
        &self,
        other: &Self,
        joint_x: f64,
        instrument: &Instrument,
        cutter_radius_mm: f64,
    ) -> f64 {
        let toward = if other.from_mm >= joint_x { 1.0 } else { -1.0 };
        let most = [1.0, -1.0]
            .map(|sign| instrument.outline.sides()[usize::from(sign < 0.0)])
            .map(|side| self.lean_to(&side, 0.0).unwrap_or(MOST_LEAN));
        let mut deepest = 0.0f64;
        for place in 0..=16 {
            let across = most[0] + (-most[1] - most[0]) * f64::from(place) / 16.0;
            let line = self.ruling(across);
            for direction in -8..=8 {
                let turn = f64::from(direction) * std::f64::consts::FRAC_PI_2 / 8.0;
                for share in [0.25, 0.5, 0.75, 1.0] {
                    let reach = share * cutter_radius_mm;
                    let [x, y, z] =
                        line.beside(joint_x, toward * reach * turn.cos(), reach * turn.sin());
                    if (x - joint_x) * toward > 0.0 && y.abs() <= instrument.outline.half_width(x) {
                        let depth = other.height(x, y) - z;
                        deepest = deepest.max(depth);
                    }
                }
            }
        }
        deepest
    }
}

impl Ruling {
    /// The point of the line at a place along the board: x, y, z, mm.
    pub fn at(&self, x: f64) -> [f64; 3] {
        let way = x - self.at_mm[0];
        [0, 1, 2].map(|axis| self.at_mm[axis] + way * self.along[axis])
    }

    /// Where a line `over_mm` above this one, along the normal, comes through the plane square
    /// to the centreline at `x`: y and z, mm. So much of the plate's underside is seen there.
    pub fn over(&self, x: f64, over_mm: f64) -> (f64, f64) {
        let foot = self.at(x - over_mm * self.normal[0]);
        (
            foot[1] + over_mm * self.normal[1],
            foot[2] + over_mm * self.normal[2],
        )
    }

    /// A point of the plane that touches the surface along this line: from the line's point at
    /// `x`, so far along it and so far square to it, mm.
    pub fn beside(&self, x: f64, ahead_mm: f64, aside_mm: f64) -> [f64; 3] {
        let foot = self.at(x);
        let length = self
            .along
            .iter()
            .map(|part| part * part)
            .sum::<f64>()
            .sqrt();
        let ahead = self.along.map(|part| part / length);
        let normal = self.normal;
        let aside = [
            normal[1] * ahead[2] - normal[2] * ahead[1],
            normal[2] * ahead[0] - normal[0] * ahead[2],
            normal[0] * ahead[1] - normal[1] * ahead[0],
        ];
        [0, 1, 2].map(|axis| foot[axis] + ahead_mm * ahead[axis] + aside_mm * aside[axis])
    }
}
