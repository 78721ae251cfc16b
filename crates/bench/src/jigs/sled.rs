//! The conical routing sled: two end rails and a flat carriage plate that lies across both.
//!
//! The plate's underside is the ruling moved outward by the length d of the cutter under it, along
//! the surface's normal. What the plate touches in the rail's plane is then a curve with the
//! support function `h(θ) = R - (R + fall) cos θ + d sqrt(1 + n²)`, n = fall' cos θ - R' (1 - cos θ):
//! a circle of radius R + d on a cylinder, and nearly so on a cone. Derived.

use instrument::board::Circle;
use instrument::outline::Side;
use instrument::{Instrument, Radius};

use super::{JigFault, Stretch};
use crate::machine::Carriage;

/// The least height of a rail at its profile's lower end, mm (common practice, no source).
pub const LEAST_RAIL_MM: f64 = 10.0;

/// How far a rail's profile goes on past the place where the plate touches it at its stop, mm
/// (common practice, no source).
pub const SHOULDER_MM: f64 = 10.0;

/// Air between plate and blank, mm (common practice, no source).
const AIR_MM: f64 = 1.0;

/// The share of the cutter's diameter that a pass may be wide, so that passes overlap (common
/// practice, no source).
const PASS_SHARE: f64 = 0.9;

/// A profile is drawn through so many points.
const PROFILE_POINTS: usize = 97;

/// The sled for one stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct Sled {
    /// The rails: before the nut, and past the board's end.
    pub rails: [Rail; 2],
    /// How far the plate is swung to the treble and to the bass side until the cutter's centre
    /// is half a cutter past the edge: there are the stops. Radians; 0 on a flat board. Derived.
    pub swing: [f64; 2],
    /// How far the plate is swung until the cutter's centre is over the edge, radians. Derived.
    pub edge_swing: [f64; 2],
    /// The least length of the carriage plate, rail to rail and half its base past each, mm.
    /// Derived.
    pub plate_length_mm: f64,
}

/// One end rail: an upright board across the jig, its upper edge cut to a profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Rail {
    /// Where the plane of its profile stands, mm along the centreline from the nut.
    pub x_mm: f64,
    /// Its profile from the bass to the treble side: y from the centreline and height over the
    /// floor, mm. Derived.
    pub profile_mm: Vec<(f64, f64)>,
    /// Radius of the circle that fits the profile best, mm; infinite when it is straight. Derived.
    pub circle_radius_mm: f64,
    /// The profile's greatest distance from that circle, mm. Derived.
    pub departure_mm: f64,
    /// The crown's height over the floor, mm. Derived.
    pub crown_height_mm: f64,
    /// Height over the floor of the profile's lower end, mm. Derived.
    pub least_height_mm: f64,
    /// Where the plate touches at its stops: y and height over the floor, mm; treble side, then
    /// bass side. Derived.
    pub stops_mm: [(f64, f64); 2],
}

/// What a flat cutter leaves: a facet for every pass, and ridges between them.
///
/// A facet of width w on an arc of radius R leaves a ridge `R (1/cos(φ/2) - 1)`, about
/// `w²/(8 R)`, for passes an angle φ = w/R apart. A plane that touches a convex arch lies over it
/// everywhere else, so the cutter never cuts below. Derived.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facets {
    /// The angle between passes, radians; 0 on a flat board.
    pub step_angle: f64,
    /// The step along the arch at the stretch's ends, mm.
    pub step_mm: [f64; 2],
    /// The ridge left at the stretch's ends, mm.
    pub ridge_mm: [f64; 2],
    /// How many passes go from edge to edge.
    pub passes: u32,
}

/// The sled for a stretch of a board.
///
/// # Errors
/// [`JigFault`] when a rail stands in the cutter's way, past the cone's apex or under the floor,
/// when the plate would lie on the blank, or when the router would lean too far.
pub fn sled(
    instrument: &Instrument,
    carriage: Carriage,
    stretch: &Stretch,
) -> Result<Sled, JigFault> {
    let half_cutter = 0.5 * carriage.cutter_mm;
    if carriage.beyond_mm <= half_cutter {
        return Err(JigFault::RailInReach {
            beyond_mm: carriage.beyond_mm,
            least_mm: half_cutter,
        });
    }
    let ends = jig_ends(instrument, carriage);
    stretch.arched_at(ends, carriage.beyond_mm)?;
    over_blank(instrument, carriage, stretch)?;
    let stops = leans(instrument, stretch, half_cutter)?;
    let edges = leans(instrument, stretch, 0.0)?;
    let angle = |lean: f64| if stretch.is_flat() { 0.0 } else { lean };
    Ok(Sled {
        rails: [
            rail(instrument, carriage, stretch, ends[0], stops)?,
            rail(instrument, carriage, stretch, ends[1], stops)?,
        ],
        swing: stops.map(angle),
        edge_swing: edges.map(angle),
        plate_length_mm: ends[1] - ends[0] + carriage.base_mm,
    })
}

/// Where rails and pivots stand along the board, mm.
pub(super) fn jig_ends(instrument: &Instrument, carriage: Carriage) -> [f64; 2] {
    let (from, to) = instrument.outline.reach();
    [from - carriage.beyond_mm, to + carriage.beyond_mm]
}

/// How far across the cutter's centre comes on the treble and the bass side.
pub(super) fn leans(
    instrument: &Instrument,
    stretch: &Stretch,
    past_mm: f64,
) -> Result<[f64; 2], JigFault> {
    let [treble, bass] = instrument.outline.sides();
    let lean = |side: &Side| stretch.lean_to(side, past_mm);
    Ok([lean(&treble)?, lean(&bass)?])
}

/// Sees that the plate, at its finishing height, lies over the blank's flat face.
fn over_blank(
    instrument: &Instrument,
    carriage: Carriage,
    stretch: &Stretch,
) -> Result<(), JigFault> {
    let Some(blank) = instrument.wood.blank_thickness_mm else {
        return Ok(());
    };
    let lowest = [stretch.from_mm, stretch.to_mm]
        .map(|x| stretch.height(x, instrument.outline.half_width(x)))
        .into_iter()
        .fold(0.0, f64::min);
    let least_mm = blank - instrument.wood.crown_thickness_mm - lowest + AIR_MM;
    if carriage.below_mm < least_mm {
        return Err(JigFault::PlateOnBlank {
            below_mm: carriage.below_mm,
            least_mm,
        });
    }
    Ok(())
}

/// The rail at `x`, for a plate that is swung to the stops on the treble and the bass side.
///
/// # Errors
/// [`JigFault::RailUnderFloor`] when its lower end would have no wood left.
pub fn rail(
    instrument: &Instrument,
    carriage: Carriage,
    stretch: &Stretch,
    x: f64,
    stops: [f64; 2],
) -> Result<Rail, JigFault> {
    let floor = -instrument.wood.crown_thickness_mm - carriage.bed_mm;
    let touch = |across: f64| {
        let (y, z) = stretch.ruling(across).over(x, carriage.below_mm);
        (y, z - floor)
    };
    // Past the stops by a shoulder along the profile.
    let shoulder = if stretch.is_flat() {
        SHOULDER_MM
    } else {
        (SHOULDER_MM / (stretch.radius(x) + carriage.below_mm)).min(0.5)
    };
    // So many points on each side that one of them is the crown.
    let side = (PROFILE_POINTS - 1) / 2;
    let share = |index: usize| index.abs_diff(side) as f64 / side as f64;
    let profile_mm: Vec<(f64, f64)> = (0..PROFILE_POINTS)
        .map(|index| {
            if index < side {
                touch(-share(index) * (stops[1] + shoulder))
            } else {
                touch(share(index) * (stops[0] + shoulder))
            }
        })
        .collect();
    let ends = [profile_mm[0].1, profile_mm[PROFILE_POINTS - 1].1];
    let least_height_mm = ends[0].min(ends[1]);
    if least_height_mm < LEAST_RAIL_MM {
        return Err(JigFault::RailUnderFloor {
            at_x_mm: x,
            height_mm: least_height_mm,
            raise_bed_mm: LEAST_RAIL_MM - least_height_mm,
        });
    }
    let circle = Circle::through(&profile_mm);
    let departure_mm = circle.map_or(0.0, |circle| {
        let away = profile_mm.iter().map(|at| circle.distance_mm(*at).abs());
        away.fold(0.0, f64::max)
    });
    Ok(Rail {
        x_mm: x,
        circle_radius_mm: circle.map_or(f64::INFINITY, Circle::radius_mm),
        departure_mm,
        crown_height_mm: touch(0.0).1,
        least_height_mm,
        stops_mm: [touch(stops[0]), touch(-stops[1])],
        profile_mm,
    })
}

/// The passes of a flat cutter over a stretch that leave ridges of at most `ridge_mm`.
///
/// # Errors
/// [`JigFault::NoRidge`] when the ridge is no height; [`JigFault::LeansTooFar`] as the sled.
pub fn facets(
    instrument: &Instrument,
    carriage: Carriage,
    stretch: &Stretch,
    ridge_mm: f64,
) -> Result<Facets, JigFault> {
    if !(ridge_mm.is_finite() && ridge_mm > 0.0) {
        return Err(JigFault::NoRidge { ridge_mm });
    }
    let edges = leans(instrument, stretch, 0.0)?;
    let widest = PASS_SHARE * carriage.cutter_mm;
    let ends = [stretch.from_mm, stretch.to_mm];
    if stretch.is_flat() {
        return Ok(Facets {
            step_angle: 0.0,
            step_mm: [widest; 2],
            ridge_mm: [0.0; 2],
            passes: passes(edges[0] + edges[1], widest),
        });
    }
    // The same angle leaves the highest ridge where the arch is flattest.
    let flattest = stretch.radius(ends[0]).max(stretch.radius(ends[1]));
    let asked = ridge_angle(Radius::from_mm(flattest), ridge_mm);
    let step_angle = asked.min(widest / flattest);
    let half = 0.5 * step_angle;
    // 1/cos - 1 = 2 sin²(φ/4)/cos(φ/2) loses no digits.
    let ridge = 2.0 * (0.5 * half).sin().powi(2) / half.cos();
    Ok(Facets {
        step_angle,
        step_mm: ends.map(|x| stretch.radius(x) * step_angle),
        ridge_mm: ends.map(|x| stretch.radius(x) * ridge),
        passes: passes(edges[0] + edges[1], step_angle),
    })
}

/// The angle between passes that leaves a ridge: `cos(φ/2) = R/(R + h)`, written as a tangent.
fn ridge_angle(radius: Radius, ridge_mm: f64) -> f64 {
    let (r, h) = (radius.mm(), ridge_mm);
    2.0 * ((h * (2.0 * r + h)).sqrt() / r).atan()
}

fn passes(way: f64, step: f64) -> u32 {
    /// More passes than any board needs; a cast of a float saturates there.
    const MOST: f64 = 100_000.0;
    // The steps from edge to edge, and the first pass.
    (way / step - 1e-9).ceil().clamp(0.0, MOST) as u32 + 1
}
