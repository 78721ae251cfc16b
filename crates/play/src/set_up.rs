//! The figures to cut to at nut and saddle, and what to change by how much, from what was measured
//! on the strung instrument.
//!
//! The order is the trade's: relief first, then the nut, then the saddle. Letting the neck bow more
//! also lets the body's end rise over the line of the frets, because the body does not bow: that
//! part of the action is counted before the saddle's change is told.

use instrument::Instrument;
use instrument::board::Circle;
use instrument::set_up::SetUp;

use crate::bend::saddle_mm;
use crate::strung::{Heights, Setting, StringLine};

/// The figures of the set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUpFigures {
    /// The relief to set, mm, and what it is now, when it was measured.
    pub relief_mm: (f64, Option<f64>),
    /// The strings, highest first.
    pub strings: Vec<SetUpString>,
    /// The circle through the saddle's tops, and how far each string lies over it, mm.
    pub saddle_circle: Option<FittedCircle>,
    /// The circle through the nut slots' floors, and how far each lies over it, mm.
    pub nut_circle: Option<FittedCircle>,
    /// The neck's angle, when the bridge's height is given.
    pub neck: Option<NeckAngle>,
}

/// One string's figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetUpString {
    /// Where the string shall be, over the line of the fret tops, mm.
    pub to: Heights,
    /// The nut slot's floor over the wood in front of the nut, mm.
    pub slot_over_wood_mm: f64,
    /// The saddle's top over the finished board's plane carried on, on the centreline, mm.
    pub saddle_over_plane_mm: f64,
    /// Open string over fret 1 and over the action fret when it is done, mm.
    pub actions_mm: (f64, f64),
    /// What was measured of it, and what to change; nothing when no action was measured.
    pub now: Option<SetUpChange>,
}

/// What to change of a string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetUpChange {
    /// Open string over fret 1 and over the action fret as measured, mm.
    pub actions_mm: (f64, f64),
    /// What becomes of the action at the action fret by the relief alone, mm.
    pub by_relief_mm: f64,
    /// To the nut's slot: negative is filed deeper, positive is built up, mm.
    pub nut_mm: f64,
    /// To the saddle: negative comes off, positive is shimmed, mm.
    pub saddle_mm: f64,
}

/// A circle through strings' heights.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedCircle {
    /// Its radius, mm; infinite for a straight line.
    pub radius_mm: f64,
    /// Every string's height over it, highest string first, mm.
    pub over_mm: Vec<f64>,
}

/// The neck's angle to the body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeckAngle {
    /// The angle between the board's plane and the body's face, degrees; positive when the board
    /// rises toward the bridge.
    pub angle_deg: f64,
    /// The board's plane over the body's face at the saddle, mm.
    pub plane_at_saddle_mm: f64,
    /// What the mean saddle change would need as a shim over the neck's seat, mm, when the seat's
    /// length is given and the set-up was measured: positive at the body's end of the seat.
    pub shim_mm: Option<f64>,
}

/// The figures for a set-up to be reached.
pub fn set_up_figures(
    instrument: &Instrument,
    lines: &[StringLine],
    target: &Setting,
) -> SetUpFigures {
    let strings: Vec<SetUpString> = lines
        .iter()
        .enumerate()
        .map(|(index, line)| SetUpString {
            to: target.strings[index],
            slot_over_wood_mm: target.strings[index].nut_mm + line.wood_at_nut_mm,
            saddle_over_plane_mm: saddle_mm(line, target.strings[index].saddle_mm),
            actions_mm: actions(line, target.strings[index], target.relief_mm),
            now: change(&instrument.set_up, line, index, target),
        })
        .collect();
    let saddle: Vec<(f64, f64)> = instrument
        .lanes
        .iter()
        .zip(&strings)
        .map(|(lane, string)| (lane.saddle.1, string.saddle_over_plane_mm))
        .collect();
    let nut: Vec<(f64, f64)> = instrument
        .lanes
        .iter()
        .zip(lines.iter().zip(&strings))
        .map(|(lane, (line, string))| (lane.nut.1, line.datum.0 + string.to.nut_mm))
        .collect();
    SetUpFigures {
        relief_mm: (target.relief_mm, instrument.set_up.relief_mm),
        neck: neck_angle(instrument, &strings),
        saddle_circle: fitted(&saddle),
        nut_circle: fitted(&nut),
        strings,
    }
}

fn actions(line: &StringLine, heights: Heights, relief_mm: f64) -> (f64, f64) {
    let over = |fret| line.action(fret, heights, relief_mm);
    (over(1.min(line.action_fret)), over(line.action_fret))
}

fn change(
    measured: &SetUp,
    line: &StringLine,
    index: usize,
    target: &Setting,
) -> Option<SetUpChange> {
    let over_12 = *measured.action_at_12_mm.as_ref()?.get(index)?;
    let wished = actions(line, target.strings[index], target.relief_mm);
    let over_1 = measured
        .action_at_1_mm
        .as_ref()
        .and_then(|heights| heights.get(index).copied())
        .unwrap_or(wished.0);
    let relief_now = measured.relief_mm.unwrap_or(target.relief_mm);
    let now = line.heights_for(over_1, over_12, relief_now);
    let more = target.relief_mm - relief_now;
    // The body stays straight: the saddle moves over the line of the frets as the neck bows.
    let carried = Heights {
        saddle_mm: now.saddle_mm - more * line.bow_at_saddle,
        ..now
    };
    let by_relief_mm = line.action(line.action_fret, carried, target.relief_mm) - over_12;
    Some(SetUpChange {
        actions_mm: (over_1, over_12),
        by_relief_mm,
        nut_mm: target.strings[index].nut_mm - carried.nut_mm,
        saddle_mm: target.strings[index].saddle_mm - carried.saddle_mm,
    })
}

fn fitted(points: &[(f64, f64)]) -> Option<FittedCircle> {
    let circle = Circle::through(points)?;
    Some(FittedCircle {
        radius_mm: circle.radius_mm(),
        over_mm: points
            .iter()
            .map(|point| circle.distance_mm(*point))
            .collect(),
    })
}

fn neck_angle(instrument: &Instrument, strings: &[SetUpString]) -> Option<NeckAngle> {
    let neck = &instrument.neck;
    let bridge_mm = neck.bridge_height_mm?;
    let joint = instrument.fret_x_mm(neck.joint.unwrap_or(instrument.last_fret()));
    let run = instrument.ends.saddle.x_mm - joint;
    let count = strings.len().max(1) as f64;
    let mean_saddle = strings
        .iter()
        .map(|string| string.saddle_over_plane_mm)
        .sum::<f64>()
        / count;
    let at_saddle = bridge_mm - mean_saddle;
    let at_joint = neck
        .board_over_body_mm
        .unwrap_or(instrument.wood.crown_thickness_mm);
    let changes: Option<Vec<f64>> = strings
        .iter()
        .map(|string| Some(string.now?.saddle_mm))
        .collect();
    let mean_change = changes.map(|changes| changes.iter().sum::<f64>() / count);
    Some(NeckAngle {
        angle_deg: (at_saddle - at_joint).atan2(run).to_degrees(),
        plane_at_saddle_mm: at_saddle,
        // The board's plane must come down at the saddle by what the strings shall rise.
        shim_mm: neck
            .pocket_mm
            .zip(mean_change)
            .map(|(pocket, change)| -pocket * change / run),
    })
}
