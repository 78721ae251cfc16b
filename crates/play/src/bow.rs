//! Relief: the shape in which a neck bows under its strings.
//!
//! The strings' pull acts with nearly the same lever all along the neck, so that the neck is bent
//! by a constant moment M: its curvature is `M / (E I)` (Euler and Bernoulli), with I as width
//! times depth cubed. Past the joint with the body nothing bends. Only the shape counts here: it
//! is scaled to the relief that is measured at its deepest.

use instrument::Instrument;
use instrument::integrate::{greatest, integrate};

/// The shape of the bow: 0 at the nut and at the last fret, 1 at its deepest.
pub struct Bow<'a> {
    instrument: &'a Instrument,
    joint_mm: f64,
    last_mm: f64,
    last_raw: f64,
    deepest_raw: f64,
}

/// A neck is never reckoned thinner than this, mm, however its depths are extended.
const LEAST_DEPTH_MM: f64 = 5.0;

impl<'a> Bow<'a> {
    /// The bow of an instrument's neck.
    pub fn of(instrument: &'a Instrument) -> Self {
        let last = instrument.last_fret();
        let joint = instrument.neck.joint.unwrap_or(last).min(last);
        let mut bow = Self {
            instrument,
            joint_mm: instrument.fret_x_mm(joint),
            last_mm: instrument.fret_x_mm(last),
            last_raw: 0.0,
            deepest_raw: 1.0,
        };
        bow.last_raw = bow.deflection(bow.last_mm);
        let (_, deepest) = greatest(0.0, bow.last_mm, 32, |x| bow.under_chord(x));
        if deepest > 0.0 {
            bow.deepest_raw = deepest;
        }
        bow
    }

    /// How far the neck lies under the straight line from nut to last fret at `x_mm`, as a share
    /// of the relief. Past the last fret it is negative: there the body rises over that line.
    pub fn at(&self, x_mm: f64) -> f64 {
        self.under_chord(x_mm) / self.deepest_raw
    }

    fn under_chord(&self, x_mm: f64) -> f64 {
        self.last_raw * x_mm / self.last_mm - self.deflection(x_mm)
    }

    /// The bent neck's rise over its tangent at the nut, in a unit of its own: the curvature
    /// integrated twice, `∫ (x - t) κ(t) dt`.
    fn deflection(&self, x_mm: f64) -> f64 {
        let end = x_mm.min(self.joint_mm);
        if end <= 0.0 {
            return 0.0;
        }
        if self.instrument.neck.depths_mm.is_none() {
            return end * (x_mm - 0.5 * end);
        }
        let breaks: Vec<f64> = (1..4).map(|part| f64::from(part) * 0.25 * end).collect();
        integrate(0.0, end, &breaks, |t| (x_mm - t) * self.curvature(t))
    }

    /// Curvature over that of a neck 50 mm wide and 25 mm deep.
    fn curvature(&self, x_mm: f64) -> f64 {
        let Some((at_1, at_12)) = self.instrument.neck.depths_mm else {
            return 1.0;
        };
        let first = self.instrument.fret_x_mm(1);
        let twelfth = self
            .instrument
            .fret_x_mm(12.max(self.instrument.action_fret()));
        let share = (x_mm - first) / (twelfth - first).max(1.0);
        let depth = (at_1 + share * (at_12 - at_1)).max(LEAST_DEPTH_MM);
        let width = self.instrument.outline.width(x_mm).max(1.0);
        (50.0 / width) * (25.0 / depth).powi(3)
    }
}
