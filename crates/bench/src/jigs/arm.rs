//! The swing arm: the router on a straight bridge, or the board in a cradle, turns about an axis
//! under the board.
//!
//! The axis runs through the centres of the arch's circles, `z = -fall - R`. What it cuts is a
//! cone round that axis, while the camber's circles stand square to the centreline. Where the
//! board does not fall away the arm leaves `m² d²/(2 R)` too much, with d the drop from the crown
//! and m the slope of the axis; where it falls with slope g it cuts about `m g d` too deep.
//! Derived; the greatest departure is computed here to rounding.

use instrument::Instrument;

use super::sled::{jig_ends, leans};
use super::{JigFault, Stretch};
use crate::machine::Carriage;

/// The swing arm for one stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SwingArm {
    /// The pivots: before the nut, and past the board's end.
    pub pivots: [Pivot; 2],
    /// How much the axis falls toward the saddle, radians. Derived.
    pub axis_tilt: f64,
    /// How far it is swung to the treble and to the bass side until the cutter's centre is half a
    /// cutter past the edge, radians about the axis. Derived.
    pub swing: [f64; 2],
    /// How far its cone departs from the camber over the board. Derived.
    pub departure: ArmDeparture,
    /// How much higher the bed must stand for both pivots to lie on the floor or over it, mm;
    /// 0 when they do. Derived.
    pub raise_bed_mm: f64,
}

/// A pivot of the arm, in an upright plane square to the centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pivot {
    /// Its place, mm along the centreline from the nut.
    pub x_mm: f64,
    /// Its height over the floor, mm; negative under the floor. Derived.
    pub height_mm: f64,
    /// From the axis straight up to the line of the crown, where the cutter's end goes, mm.
    /// Derived.
    pub to_surface_mm: f64,
    /// From the axis straight up to the plate's underside when the arm stands upright, mm.
    /// Derived.
    pub to_plate_mm: f64,
}

/// How far the arm's cone departs from the camber, mm, measured straight down.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ArmDeparture {
    /// The most that it cuts below the camber.
    pub below_mm: f64,
    /// The most that it leaves over the camber.
    pub over_mm: f64,
}

/// The swing arm for a stretch of a board.
///
/// # Errors
/// [`JigFault::FlatBoard`] without camber; [`JigFault::ApexBetween`] when a pivot would stand past
/// the cone's apex; [`JigFault::LeansTooFar`] when the router would lean too far.
pub fn swing_arm(
    instrument: &Instrument,
    carriage: Carriage,
    stretch: &Stretch,
) -> Result<SwingArm, JigFault> {
    if stretch.is_flat() {
        return Err(JigFault::FlatBoard);
    }
    let ends = jig_ends(instrument, carriage);
    stretch.arched_at(ends, carriage.beyond_mm)?;
    leans(instrument, stretch, 0.5 * carriage.cutter_mm)?;
    let floor = -instrument.wood.crown_thickness_mm - carriage.bed_mm;
    let pivots = ends.map(|x| Pivot {
        x_mm: x,
        height_mm: -stretch.fall(x) - stretch.radius(x) - floor,
        to_surface_mm: stretch.radius(x),
        // The plate lies square over the crown's line, which falls with the board.
        to_plate_mm: stretch.radius(x) + carriage.below_mm * 1f64.hypot(stretch.fall_slope),
    });
    let axis = Axis::of(stretch);
    Ok(SwingArm {
        pivots,
        axis_tilt: axis.sin.atan2(axis.cos),
        swing: axis.swing(instrument, stretch, 0.5 * carriage.cutter_mm),
        departure: axis.departure(instrument, stretch),
        raise_bed_mm: pivots
            .iter()
            .fold(0.0, |most, pivot| most.max(-pivot.height_mm)),
    })
}

/// The axis, and the line of the crown as it is seen from it.
struct Axis {
    /// A point of it on the centreline: x, z.
    at: [f64; 2],
    /// Sine and cosine of its tilt: it runs along (cos, -sin) in x and z.
    sin: f64,
    cos: f64,
    /// The crown's distance from it at that point's height on the axis, and its growth along it.
    distance: f64,
    growth: f64,
}

impl Axis {
    fn of(stretch: &Stretch) -> Self {
        let x = stretch.from_mm;
        let slope = stretch.radius_slope + stretch.fall_slope;
        let length = 1f64.hypot(slope);
        let (sin, cos) = (slope / length, 1.0 / length);
        let at = [x, -stretch.fall(x) - stretch.radius(x)];
        let crown_at = |x: f64| {
            let (right, up) = (x - at[0], -stretch.fall(x) - at[1]);
            (right * cos - up * sin, right * sin + up * cos)
        };
        let (near, far) = (crown_at(x), crown_at(stretch.to_mm));
        let growth = (far.1 - near.1) / (far.0 - near.0);
        Self {
            at,
            sin,
            cos,
            distance: near.1 - growth * near.0,
            growth,
        }
    }

    /// A place as seen from the axis: along it, and how high over it.
    fn seen(&self, x: f64, z: f64) -> (f64, f64) {
        let (right, up) = (x - self.at[0], z - self.at[1]);
        (
            right * self.cos - up * self.sin,
            right * self.sin + up * self.cos,
        )
    }

    /// How far a point at `(x, y)` lies above the cone that is cut, by Newton from `z`.
    fn height(&self, x: f64, y: f64, z: f64) -> f64 {
        let mut height = z;
        for _ in 0..8 {
            let (along, up) = self.seen(x, height);
            let out = up.hypot(y);
            let miss = out - (self.distance + self.growth * along);
            let by_height = up / out * self.cos + self.growth * self.sin;
            height -= miss / by_height;
        }
        height
    }

    fn departure(&self, instrument: &Instrument, stretch: &Stretch) -> ArmDeparture {
        let mut found = ArmDeparture::default();
        for place in 0..=32 {
            let share = f64::from(place) / 32.0;
            let x = stretch.from_mm + share * (stretch.to_mm - stretch.from_mm);
            let Some((low, high)) = instrument.outline.span(x) else {
                continue;
            };
            for across in 0..=16 {
                let y = low + f64::from(across) / 16.0 * (high - low);
                let wanted = stretch.height(x, y);
                let over = self.height(x, y, wanted) - wanted;
                found.over_mm = found.over_mm.max(over);
                found.below_mm = found.below_mm.max(-over);
            }
        }
        found
    }

    fn swing(&self, instrument: &Instrument, stretch: &Stretch, past_mm: f64) -> [f64; 2] {
        instrument.outline.sides().map(|side| {
            let ends = [stretch.from_mm, stretch.to_mm];
            let swing = ends.map(|x| {
                let x = x.clamp(side.from_mm.min(side.to_mm), side.to_mm.max(side.from_mm));
                let y = side.edge.at(x) + past_mm;
                let (_, up) = self.seen(x, stretch.height(x, y));
                y.atan2(up)
            });
            swing[0].max(swing[1])
        })
    }
}
