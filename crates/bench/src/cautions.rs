//! What a good foreman would say of a plan before the first chip falls.

use instrument::Instrument;
use instrument::camber::Law;

use crate::blocks::BlockZone;
use crate::grades::Ladder;
use crate::kit::Kit;
use crate::stage::Stage;

/// A caution: what, in words, and where it applies.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// A short name that stays the same.
    pub code: &'static str,
    /// What is to be minded, and what to do.
    pub message: String,
    /// Where: a stage's key, a tool, or the plan.
    pub place: String,
}

/// What the cautions look at.
pub(crate) struct PlanParts {
    pub stages: Vec<Stage>,
    pub zones: Vec<BlockZone>,
    pub ladder: Ladder,
    /// Starting thickness of this plan, mm.
    pub start_mm: f64,
    /// Starting thickness that the whole ladder wants, mm.
    pub full_start_mm: f64,
    pub needs_beam: bool,
}

/// How near a stage's edge may come to its least thickness before the plan says so, mm
/// (common practice, no source).
pub const EDGE_GUARD_MM: f64 = 0.2;

/// How far before the board's end a block may stop for the plan to say what would let it go on, mm:
/// from a stroke's own spread up to the wood past a last fret.
const SHORT_OF_END_MM: std::ops::RangeInclusive<f64> = 0.5..=30.0;

/// The share of the board's length under which a beam says little about level.
const SHORT_BEAM_SHARE: f64 = 0.75;

fn caution(code: &'static str, place: impl Into<String>, message: impl Into<String>) -> Caution {
    Caution {
        code,
        message: message.into(),
        place: place.into(),
    }
}

/// All cautions of a plan.
pub(crate) fn cautions(instrument: &Instrument, kit: &Kit, parts: &PlanParts) -> Vec<Caution> {
    let mut found = Vec::new();
    missing_tools(instrument, kit, parts, &mut found);
    blank(instrument, parts, &mut found);
    for zone in &parts.zones {
        block_fit(instrument, zone, &mut found);
        block_ends_short(instrument, zone, &mut found);
    }
    beam(instrument, kit, &mut found);
    edges(instrument, parts, &mut found);
    fall_away(instrument, &mut found);
    face(instrument, &mut found);
    found.push(caution(
        "dust",
        "plan",
        "wood dust harms the lungs: extract it at the tool, wear a fitted respirator, do not sweep \
         dry or blow down; local rules on dust come first",
    ));
    found
}

fn missing_tools(instrument: &Instrument, kit: &Kit, parts: &PlanParts, out: &mut Vec<Caution>) {
    let curved = instrument
        .camber
        .knots()
        .iter()
        .any(|knot| !knot.radius.is_flat());
    if kit.abrasives.is_empty() {
        out.push(caution(
            "no_abrasive",
            "kit",
            "the kit lists no abrasive: no stage can be planned",
        ));
    }
    if parts.zones.is_empty() && curved {
        let why = if kit.blocks.is_empty() {
            "the kit lists no block"
        } else {
            "no block of this kit may touch this board"
        };
        out.push(caution(
            "no_block",
            "kit",
            format!(
                "{why}: the beam would have to do all the camber, which is slow and hard to steer"
            ),
        ));
    }
    if kit.beams.is_empty() && parts.needs_beam {
        let length = instrument.end_x_mm();
        out.push(caution(
            "no_beam",
            "kit",
            format!(
                "the kit lists no beam: blocks alone cannot reach this camber; a straight bar of \
                 about {length:.0} mm with a flat face is missing"
            ),
        ));
    }
    if kit.gauges.is_empty() {
        out.push(caution(
            "no_gauge",
            "kit",
            "the kit lists no gauge: radii cannot be proved, only guessed from the chalk",
        ));
    }
}

fn blank(instrument: &Instrument, parts: &PlanParts, out: &mut Vec<Caution>) {
    if parts.stages.is_empty() {
        return;
    }
    let Some(blank) = instrument.wood.blank_thickness_mm else {
        return;
    };
    if parts.full_start_mm > blank + 1e-9 {
        out.push(caution(
            "blank_thin",
            "blank",
            format!(
                "the blank is {blank:.2} mm; the whole ladder of grades wants {:.2} mm, so the plan \
                 begins with {} and shaping takes longer",
                parts.full_start_mm,
                parts.ladder.grades.first().map_or("no grade", |grade| grade.name)
            ),
        ));
    } else if blank > parts.start_mm + 0.05 {
        out.push(caution(
            "blank_thick",
            "blank",
            format!(
                "first bring the blank from {blank:.2} mm down to {:.2} mm, flat and even",
                parts.start_mm
            ),
        ));
    }
}

fn block_fit(instrument: &Instrument, zone: &BlockZone, out: &mut Vec<Caution>) {
    let name = format!("block {:.1} mm", zone.block.radius.mm());
    let far = zone.spans.last().map_or(0.0, |span| span.to_mm);
    let width = 2.0 * instrument.outline.half_width(far);
    if zone.block.width_mm < width {
        out.push(caution(
            "narrow_block",
            name.clone(),
            format!(
                "the block is {:.1} mm wide and the board {width:.1} mm at the zone's far end: let \
                 it hang over each edge in turn, crown of block over crown of board",
                zone.block.width_mm
            ),
        ));
    }
    let shortest = zone
        .spans
        .iter()
        .map(|span| span.length_mm())
        .fold(f64::INFINITY, f64::min);
    if shortest < 0.5 * zone.block.length_mm {
        out.push(caution(
            "long_block",
            name,
            format!(
                "more than half of the {:.0} mm block hangs off its {shortest:.0} mm zone: keep the \
                 weight over the wood",
                zone.block.length_mm
            ),
        ));
    }
}

/// A cone made for a block at the last fret runs on flatter to the board's end, where the block
/// may not go. A little less radius at the last fret lets it.
fn block_ends_short(instrument: &Instrument, zone: &BlockZone, out: &mut Vec<Caution>) {
    let (_, end) = instrument.outline.reach();
    let far = zone.spans.last().map_or(end, |span| span.to_mm);
    let left = end - far;
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let at = |x: f64| instrument.camber.radius(x).mm();
    let is_cone = instrument.camber.law == Law::Cone && at(end).is_finite();
    if !is_cone || !SHORT_OF_END_MM.contains(&left) {
        return;
    }
    let block = zone.block.radius.mm();
    // Rounded down: a hair over, and the block stops short of the end again.
    let last = (10.0 * (at(0.0) + (block - at(0.0)) * last_x / end)).floor() / 10.0;
    out.push(caution(
        "block_ends_short",
        format!("block {block:.1} mm"),
        format!(
            "the camber is flatter than the block over the last {left:.1} mm, where the beam must do \
             all; with {last:.1} mm at the last fret in place of {:.1} mm this block reaches the \
             board's end",
            at(last_x)
        ),
    ));
}

fn beam(instrument: &Instrument, kit: &Kit, out: &mut Vec<Caution>) {
    let length = instrument.end_x_mm();
    let longest = kit
        .beams
        .iter()
        .map(|beam| beam.length_mm)
        .fold(0.0, f64::max);
    if longest > 0.0 && longest < SHORT_BEAM_SHARE * length {
        // Common practice, no source: a short block proves nothing about level.
        out.push(caution(
            "short_beam",
            "beam",
            format!(
                "the longest beam is {longest:.0} mm and the board {length:.0} mm: a short bar \
                 proves nothing about level over the whole board"
            ),
        ));
    }
    if instrument.camber.law == Law::Stations && instrument.camber.knots().len() > 2 {
        out.push(caution(
            "stations",
            "beam",
            "between stations the surface is a cone of its own: no straight line lies in it past a \
             station, so work each stretch with a beam no longer than it",
        ));
    }
}

/// The edge's guard. The least thickness is the maker's own; on a bound board with a ledge it is
/// the ledge, from which thickness is counted. Where neither is given the finished edge is what
/// there is to guard.
fn edges(instrument: &Instrument, parts: &PlanParts, out: &mut Vec<Caution>) {
    let ledge = instrument
        .wood
        .binding
        .is_some_and(|binding| binding.ledge_mm > 0.0);
    let Some(least) = instrument.wood.least_edge_mm.or(ledge.then_some(0.0)) else {
        return near_finish(parts, out);
    };
    let name = if instrument.wood.least_edge_mm.is_some() {
        "its least"
    } else {
        "the binding's ledge,"
    };
    for stage in &parts.stages {
        let (thickness, x) = stage.edge_after_mm;
        if thickness < least {
            out.push(caution(
                "edge_under",
                stage.key.clone(),
                format!(
                    "after this stage the edge is {thickness:.2} mm at {x:.0} mm, under {name} {least:.2} mm"
                ),
            ));
        } else if thickness < least + EDGE_GUARD_MM {
            out.push(caution(
                "edge_guard",
                stage.key.clone(),
                format!(
                    "after this stage the edge is {thickness:.2} mm at {x:.0} mm, within \
                     {EDGE_GUARD_MM} mm of {name} {least:.2} mm: keep strokes off the edge, and \
                     leave it crisp until fretting"
                ),
            ));
        }
    }
}

/// From which stage on the edge is within the guard of its finished thickness.
fn near_finish(parts: &PlanParts, out: &mut Vec<Caution>) {
    let Some(finished) = parts.stages.last().map(|stage| stage.edge_after_mm.0) else {
        return;
    };
    let first = parts
        .stages
        .iter()
        .find(|stage| stage.edge_after_mm.0 < finished + EDGE_GUARD_MM);
    if let Some(stage) = first {
        out.push(caution(
            "edge_guard",
            stage.key.clone(),
            format!(
                "from this stage on the edge is within {EDGE_GUARD_MM} mm of its finished \
                 {finished:.2} mm: leave it crisp until fretting, round nothing"
            ),
        ));
    }
}

fn fall_away(instrument: &Instrument, out: &mut Vec<Caution>) {
    let Some(fall) = instrument.camber.fall_away else {
        return;
    };
    out.push(caution(
        "fall_away_kink",
        "fall-away",
        format!(
            "the ramp begins at fret {}: in every finer grade work up to that fret and past it \
             separately, for a straight tool laid over it would round the bend away",
            fall.from_fret
        ),
    ));
}

fn face(instrument: &Instrument, out: &mut Vec<Caution>) {
    let wood = &instrument.wood;
    for (holds, what, harm) in [
        (wood.binding.is_some(), "bound", "the strip chips or lifts"),
        (wood.inlaid, "inlaid", "inlay chips"),
        (wood.slotted, "slotted", "the wood between slots chips out"),
    ] {
        if holds {
            out.push(caution(
                "no_plane",
                "board",
                format!("the board is {what}: no plane at its edges, {harm}; abrasive only, strokes along the board"),
            ));
        }
    }
    if wood.slotted {
        out.push(caution(
            "clean_slots",
            "board",
            "dust packs into cut slots: clear them after every grade, and check their depth after the last",
        ));
    }
}
