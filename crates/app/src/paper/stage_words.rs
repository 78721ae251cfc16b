//! A stage in the maker's words: what with, from where to where, how, what the chalk shows, when
//! to stop, what to check. Pages and paper say the same.

use bench::cautions::Caution;
use bench::grades::only_smooths;
use bench::{BenchPlan, Stage, Work};
use instrument::Instrument;
use instrument::camber::Law;

use crate::show::{Units, volume};

/// The words of a stage.
pub struct StageWords {
    /// Tool and grade.
    pub title: String,
    /// Where from and where to.
    pub where_to: String,
    /// What comes off.
    pub takes: String,
    /// How to move the tool.
    pub how: String,
    /// What the chalk shows on the way.
    pub chalk: String,
    /// When to stop.
    pub stop: String,
    /// What to check then.
    pub check: String,
}

/// The words of a stage.
pub fn stage_words(instrument: &Instrument, stage: &Stage, units: Units) -> StageWords {
    StageWords {
        title: title(stage, units),
        where_to: format!(
            "from {} to {}{}",
            units.length(stage.from_x_mm(), 1),
            units.length(stage.to_x_mm(), 1),
            near_fret(instrument, stage.to_x_mm())
        ),
        takes: format!("takes off {}", volume(stage.removed_mm3)),
        how: how(instrument, stage, units),
        chalk: chalk(instrument, stage),
        stop: stop(instrument, stage, units),
        check: check(instrument, stage, units),
    }
}

fn title(stage: &Stage, units: Units) -> String {
    let tool = match &stage.work {
        Work::Block(block) => format!("Block {}", units.radius(block.radius)),
        Work::Beam(beam) => format!("Beam {}", units.length(beam.length_mm, 0)),
        Work::FallAway(beam) => {
            format!("Beam {} on the fall-away", units.length(beam.length_mm, 0))
        }
    };
    format!("{tool}, {}", stage.grade.name)
}

/// Where a place lies among the frets, for a person who sees frets and no millimetres.
fn near_fret(instrument: &Instrument, x: f64) -> String {
    if x >= instrument.end_x_mm() - 0.5 {
        return " (the board's end)".into();
    }
    let last = instrument.last_fret();
    let past_last = x - instrument.fret_x_mm(last);
    if past_last > 0.5 {
        return format!(" ({past_last:.0} mm past fret {last})");
    }
    let after = (1..=last)
        .find(|fret| instrument.fret_x_mm(*fret) >= x)
        .unwrap_or(last);
    let past = x - instrument.fret_x_mm(after - 1);
    let step = instrument.fret_x_mm(after) - instrument.fret_x_mm(after - 1);
    if step <= 0.0 || past <= 0.0 {
        return String::new();
    }
    let before = if after == 1 {
        "the nut".to_owned()
    } else {
        format!("fret {}", after - 1)
    };
    if past > step - 0.5 {
        return format!(" (fret {after})");
    }
    format!(
        " ({:.0} % of the way from {before} to fret {after})",
        100.0 * past / step
    )
}

fn how(instrument: &Instrument, stage: &Stage, units: Units) -> String {
    match &stage.work {
        Work::Block(block) => {
            let zone = stage.to_x_mm() - stage.from_x_mm();
            let ends_inside = stage.to_x_mm() < instrument.end_x_mm() - 0.5;
            let stops = if ends_inside { "; its leading end stops at the zone's end" } else { "" };
            if block.length_mm < zone {
                format!(
                    "Along the board, parallel to the centreline, travelling {}{stops}. Turn it end for end now and then.",
                    units.length(zone - block.length_mm, 0)
                )
            } else {
                format!(
                    "Along the board, parallel to the centreline; the block is {} longer than its zone and hangs off the board's end, so keep the weight over the wood{stops}.",
                    units.length(block.length_mm - zone, 0)
                )
            }
        }
        Work::FallAway(_) => {
            "Keep the beam past the fall-away's first fret, lines along the board, and let it tip toward the board's end.".into()
        }
        Work::Beam(_) => match instrument.camber.law {
            Law::Single => "Along the board, parallel to the centreline, edge to edge in even overlapping strokes.".into(),
            Law::Stations => "Between each two stations along the lines of that stretch: swing the end where the radius is larger further than the other.".into(),
            Law::Cone | Law::StringCone => {
                "Swing it, do not slide it parallel: both ends move to the side together, the far end further, as the track drawing shows.".into()
            }
        },
    }
}

fn chalk(instrument: &Instrument, stage: &Stage) -> String {
    if stage.lowers_crown() {
        return "It goes evenly, everywhere at once. A patch that stays is low; a patch that goes first is high.".into();
    }
    match &stage.work {
        Work::Block(_) => {
            let wide_end = if instrument.outline.treble.rise > 0.0 { ", the wide end before the narrow one" } else { "" };
            format!("It goes at both edges first{wide_end}, and stays longest at the crown. When the crown's line just breaks, the block is through.")
        }
        Work::Beam(_) => "It goes first just past the end of each block's zone, at the edges, and last at the crown and just before the next zone's end.".into(),
        Work::FallAway(_) => "It goes first at the board's end, and last at the fret where the fall begins.".into(),
    }
}

fn stop(instrument: &Instrument, stage: &Stage, units: Units) -> String {
    let crown = instrument.wood.crown_thickness_mm + stage.after.offset_mm;
    if stage.lowers_crown() {
        return format!(
            "When the crown measures {} and the scratches of the coarser grade are gone. When they are gone sooner, stop sooner: the crown is left thicker by as much, and the camber stays the same.",
            units.length(crown, 2)
        );
    }
    match &stage.work {
        Work::Block(_) => format!(
            "When the chalk's last line at the crown just breaks all along the zone; the crown still measures {}.",
            units.length(crown, 2)
        ),
        Work::Beam(_) => format!(
            "When chalk goes evenly along every line through the cone; the crown still measures {}.",
            units.length(crown, 2)
        ),
        Work::FallAway(_) => {
            let depth = instrument
                .camber
                .fall_away
                .map_or(0.0, |fall| fall.depth_mm);
            format!(
                "When the board's end has fallen by {}, measured under a straightedge laid from the nut.",
                units.length(depth, 2)
            )
        }
    }
}

fn check(instrument: &Instrument, stage: &Stage, units: Units) -> String {
    let edge = format!(
        "Thinnest edge {} at {} from the nut.",
        units.length(stage.edge_after_mm.0, 2),
        units.length(stage.edge_after_mm.1, 0)
    );
    if stage.left_max_mm >= 0.0005 {
        return format!(
            "{} still stands over the camber, most {}, at the edges: that is right so. {edge}",
            units.length(stage.left_max_mm, 3),
            from_nut(stage.left_max_at_mm.0, units)
        );
    }
    let fine = if only_smooths(stage.grade) {
        " This grade smooths and no longer moves the radius."
    } else {
        ""
    };
    let last = instrument.last_fret();
    format!("Gauges from the nut to fret {last}: light as the plan's table says. {edge}{fine}")
}

/// A place along the board in words; a fan's corner may lie behind the nut's centre.
fn from_nut(x: f64, units: Units) -> String {
    if x < -0.05 {
        return format!("{} behind the nut's centre", units.length(-x, 1));
    }
    format!("at {} from the nut", units.length(x, 1))
}

/// Where a caution applies, in words: a stage by its number rather than by its key.
pub fn caution_place(plan: &BenchPlan, caution: &Caution) -> String {
    let stage = plan
        .stages
        .iter()
        .position(|stage| stage.key == caution.place);
    stage.map_or_else(
        || caution.place.clone(),
        |index| format!("stage {}", index + 1),
    )
}
