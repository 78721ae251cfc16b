//! The straight line that a beam lies along: the camber's ruling through a spot, as far as the
//! board goes.

use instrument::Instrument;

use crate::reading::Spot;

/// Places along a ruling that are looked at.
const STEPS: usize = 24;

/// Spots nearer than this to a patch of chalk do not hold a beam off it, mm.
pub const BESIDE_MM: f64 = 2.0;

/// Spots on the board along the ruling through `spot`, nutmost first.
pub fn ruling(instrument: &Instrument, spot: Spot) -> Vec<Spot> {
    let (from, to) = instrument.outline.reach();
    let across = |x_mm: f64| match instrument.camber.apex_x_mm() {
        Some(apex) => spot.y_mm * (x_mm - apex) / (spot.x_mm - apex),
        None => spot.y_mm,
    };
    (0..=STEPS)
        .map(|step| from + (to - from) * step as f64 / STEPS as f64)
        .map(|x_mm| Spot {
            x_mm,
            y_mm: across(x_mm),
        })
        .filter(|spot| {
            // A spot on the edge is on the board, whatever rounding says.
            let near = |limit: f64| limit + 1e-9;
            instrument
                .outline
                .span(spot.x_mm)
                .is_some_and(|(low, high)| spot.y_mm >= -near(-low) && spot.y_mm <= near(high))
        })
        .collect()
}

/// The pairs of spots, one on each side of a patch, on which a beam may rest; none at the
/// board's ends, where nothing holds it on one side. The first from the nut and the widest from
/// there come first.
pub fn rests(instrument: &Instrument, patch: Spot) -> Vec<(Spot, Spot)> {
    let spots = ruling(instrument, patch);
    let before = |spot: &&Spot| spot.x_mm < patch.x_mm - BESIDE_MM;
    let after = |spot: &&Spot| spot.x_mm > patch.x_mm + BESIDE_MM;
    spots
        .iter()
        .filter(before)
        .flat_map(|near| {
            spots
                .iter()
                .rev()
                .filter(after)
                .map(move |far| (*near, *far))
        })
        .collect()
}
