//! Jigs that carry a hand-held router over the board: the conical sled on two end rails, the arm
//! that swings about an axis under the board, and fences, guide bush and templates.
//!
//! A sled or an arm makes one cone. Where the radius stops running straight (stations) or the
//! fall-away begins, another cone begins, so that every stretch of the board has a setting of
//! its own.

mod arm;
mod fault;
mod fences;
mod sled;
mod stretch;
#[cfg(test)]
mod tests;

pub use arm::{ArmDeparture, Pivot, SwingArm, swing_arm};
pub use fault::JigFault;
pub use fences::{EdgeFence, Offsets, SlotFence, offsets};
pub use sled::{Facets, LEAST_RAIL_MM, Rail, SHOULDER_MM, Sled, facets, rail, sled};
pub use stretch::{Ruling, Stretch, stretches};

use instrument::Instrument;

use crate::cautions::Caution;
use crate::machine::Carriage;

/// The height of the ridges that the cutter's flat end may leave between two passes when the
/// maker asks for nothing else, mm: the first paper takes it off (common practice, no source).
pub const USUAL_RIDGE_MM: f64 = 0.02;

/// A cutter at a joint of two stretches may dig so deep into the neighbour before it is kept
/// off, mm: less than any gauge shows (common practice, no source).
pub const DIG_MM: f64 = 0.001;

/// The cautions that go with every jig, in words for the drawing. Common practice, no source.
pub const JIG_CAUTIONS: [&str; 7] = [
    "Local codes and licensed practice come first; these lines do not replace training at the machine.",
    "Eyes, ears and lungs: glasses, ear defenders, extraction at the cutter and a fitted mask.",
    "Both hands on the router, guard in place; no gloves, loose sleeves, rings or open hair.",
    "Stops screwed on at both sides and both ends before the first cut: the plate must not slip off a \
     rail, nor the cutter reach rail, clamp or screw.",
    "Unplug before the cutter is changed or set; let it stop before you lift it off or reach in.",
    "Clamp board and jig; swing through the whole way with the machine off; then cut in shallow passes, \
     against the turn of the cutter.",
    "Try it on waste and measure with a gauge before the board goes in.",
];

/// All settings and offsets for a board and a carriage.
#[derive(Clone, Debug, PartialEq)]
pub struct Jigs {
    /// One setting for every stretch, in order along the board.
    pub settings: Vec<JigSetting>,
    /// Fences, guide bush and templates, or why there are none.
    pub offsets: Result<Offsets, JigFault>,
    /// What is to be minded.
    pub notes: Vec<Caution>,
}

/// How the jigs are set for one stretch of the board.
#[derive(Clone, Debug, PartialEq)]
pub struct JigSetting {
    /// The stretch.
    pub stretch: Stretch,
    /// From where to where the cutter's centre may go along the board at this setting, mm. At
    /// the board's ends it is half a cutter past them; at a joint that would be dug into, half a
    /// cutter short of it.
    pub travel_mm: (f64, f64),
    /// How far the cutter's rim would dig under the neighbouring stretch if its centre stood
    /// over the joint: at the nut's side and at the far side, mm; 0 where there is no joint.
    pub digs_mm: [f64; 2],
    /// The sled, or why there is none.
    pub sled: Result<Sled, JigFault>,
    /// The swing arm, or why there is none.
    pub arm: Result<SwingArm, JigFault>,
    /// The passes of the flat cutter.
    pub facets: Result<Facets, JigFault>,
}

/// All jigs for a board, with ridges of [`USUAL_RIDGE_MM`] between passes.
pub fn jigs(instrument: &Instrument, carriage: Carriage) -> Jigs {
    jigs_leaving(instrument, carriage, USUAL_RIDGE_MM)
}

/// All jigs for a board, with ridges of at most `ridge_mm` between passes.
pub fn jigs_leaving(instrument: &Instrument, carriage: Carriage, ridge_mm: f64) -> Jigs {
    let stretches = stretches(instrument);
    let settings: Vec<JigSetting> = (0..stretches.len())
        .map(|index| setting(instrument, carriage, ridge_mm, &stretches, index))
        .collect();
    let notes = notes(instrument, carriage, &settings);
    Jigs {
        settings,
        offsets: offsets(instrument, carriage),
        notes,
    }
}

fn setting(
    instrument: &Instrument,
    carriage: Carriage,
    ridge_mm: f64,
    stretches: &[Stretch],
    index: usize,
) -> JigSetting {
    let stretch = stretches[index];
    let half_mm = 0.5 * carriage.cutter_mm;
    let neighbours = [index.checked_sub(1), Some(index + 1)]
        .map(|neighbour| neighbour.and_then(|place| stretches.get(place)));
    let joints = [stretch.from_mm, stretch.to_mm];
    let dig = |end: usize| {
        neighbours[end].map(|other| stretch.dig_mm(other, joints[end], instrument, half_mm))
    };
    let digs = [dig(0), dig(1)];
    // Past the board's end by half a cutter, on a joint, or short of it by half a cutter.
    let past = digs.map(|dig| match dig {
        None => half_mm,
        Some(depth) if depth > DIG_MM => -half_mm,
        Some(_) => 0.0,
    });
    JigSetting {
        stretch,
        travel_mm: (stretch.from_mm - past[0], stretch.to_mm + past[1]),
        digs_mm: digs.map(|dig| dig.unwrap_or(0.0)),
        sled: sled(instrument, carriage, &stretch),
        arm: swing_arm(instrument, carriage, &stretch),
        facets: facets(instrument, carriage, &stretch, ridge_mm),
    }
}

fn note(code: &'static str, place: &str, message: String) -> Caution {
    Caution {
        code,
        message,
        place: place.to_owned(),
    }
}

fn notes(instrument: &Instrument, carriage: Carriage, settings: &[JigSetting]) -> Vec<Caution> {
    let mut found = Vec::new();
    if settings.len() > 1 {
        found.push(note(
            "one_cone_each",
            "jigs",
            format!(
                "a sled or an arm makes one cone, and this board has {}: set the jig anew for each \
                 stretch, keep the cutter between the stretch's stops, and join them with the beam",
                settings.len()
            ),
        ));
    }
    for setting in settings {
        setting_notes(setting, carriage, &mut found);
    }
    let slopes =
        |one: &JigSetting| one.stretch.radius_slope != 0.0 || one.stretch.fall_slope != 0.0;
    if settings.iter().any(slopes) {
        found.push(note(
            "bearing_plane",
            "rails",
            "a rail's profile holds for one plane: mark it on the face toward the tighter end of the \
             camber, on a board that falls away in the middle of the rail's thickness, and ease the \
             wood beside it a little, so that the plate bears on that plane alone"
                .into(),
        ));
    }
    if instrument.wood.blank_thickness_mm.is_none() {
        found.push(note(
            "blank_unknown",
            "blank",
            format!(
                "the blank's thickness is not given: see that the plate, {:.1} mm over the finished \
                 surface, stays clear of it",
                carriage.below_mm
            ),
        ));
    }
    found
}

fn setting_notes(setting: &JigSetting, carriage: Carriage, found: &mut Vec<Caution>) {
    let place = format!(
        "{:.1} to {:.1} mm",
        setting.stretch.from_mm, setting.stretch.to_mm
    );
    let deepest = setting.digs_mm[0].max(setting.digs_mm[1]);
    if deepest > DIG_MM {
        found.push(note(
            "hollow_joint",
            &place,
            format!(
                "the board bends upward at a joint: the cutter over it would dig {deepest:.3} mm under \
                 the neighbouring stretch; stop its centre {:.2} mm short and leave the rest to the beam",
                0.5 * carriage.cutter_mm
            ),
        ));
    }
    if setting.travel_mm.0 >= setting.travel_mm.1 {
        found.push(note(
            "short_stretch",
            &place,
            "the stretch is shorter than the cutter needs: leave it to blocks and beam".into(),
        ));
    }
    if let Ok(arm) = &setting.arm
        && arm.raise_bed_mm > 0.0
    {
        found.push(note(
            "pivot_under_floor",
            &place,
            format!(
                "the arm's axis lies under the floor of the jig: stand the bed {:.1} mm higher, or let \
                 the pivots hang beside the bench",
                arm.raise_bed_mm
            ),
        ));
    }
}
