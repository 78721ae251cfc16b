//! Gauges, blocks and the beam: light that is seen under them, and chalk that is rubbed.

use instrument::Radius;

use super::{Found, Positive, no_value, not_owned, positive, same_length};
use crate::place::{OUTSIDE_MM, millimetres, place_words, station_words};
use crate::reading::{Amount, Chalk, ChalkTool, Seen, Spot, What};
use crate::ruling::rests;
use crate::table::head::Column;
use crate::table::line::Line;

fn light_value(line: &mut Line<'_, '_>) -> Option<f64> {
    positive(
        line,
        Positive {
            name: "light",
            most_mm: 10.0,
            when_not: "write how much light, such as 0.05 mm, or none under shows when there is none",
        },
    )
}

pub(super) fn light(line: &mut Line<'_, '_>) -> Option<Found> {
    let (gauge, x_mm) = (gauge(line), line.station("a gauge"));
    let (seen, sigma_mm) = (seen(line), line.sigma(line.bench.steps.smallest_light_mm));
    let x_mm = whole_section(line, x_mm?)?;
    let gauge = reaching(line, gauge?, x_mm)?;
    Some(Found {
        what: What::Light {
            gauge,
            x_mm,
            half_width_mm: line.bench.instrument.outline.gauge_reach(x_mm),
            seen: seen?,
        },
        sigma_mm: sigma_mm?,
        place: station_words(line.bench.instrument, x_mm),
    })
}

/// The station again when a gauge laid square across lies on the board from edge to edge; on a
/// slanted nut or end it would hang over.
fn whole_section(line: &mut Line<'_, '_>, x_mm: f64) -> Option<f64> {
    let (from, to) = line.bench.instrument.outline.square_span();
    if (from - OUTSIDE_MM..=to + OUTSIDE_MM).contains(&x_mm) {
        return Some(x_mm);
    }
    line.fault(Column::At, || {
        (
            format!(
                "a gauge laid square across at {} hangs over the board's slanted end",
                millimetres(x_mm)
            ),
            format!(
                "read it between {} and {} from the nut",
                millimetres(from),
                millimetres(to)
            ),
        )
    });
    None
}

fn seen(line: &mut Line<'_, '_>) -> Option<Seen> {
    const SHOWS: [&str; 5] = ["none", "edges", "crown", "treble edge", "bass edge"];
    let smallest_mm = line.bench.steps.smallest_light_mm;
    match line.word(Column::Shows, &SHOWS)? {
        "none" => no_value(line, "light").then_some(Seen::Nothing { smallest_mm }),
        "edges" => amount(line).map(Seen::Edges),
        "crown" => amount(line).map(Seen::Crown),
        _ => light_value(line).map(|light_mm| Seen::OneEdge {
            light_mm,
            smallest_mm,
        }),
    }
}

fn amount(line: &mut Line<'_, '_>) -> Option<Amount> {
    if line.is_empty(Column::Value) {
        return Some(Amount::AtLeast(line.bench.steps.smallest_light_mm));
    }
    light_value(line).map(Amount::Mm)
}

/// The gauge, owned when a kit is given; a straightedge is a flat one.
fn gauge(line: &mut Line<'_, '_>) -> Option<Radius> {
    let radius = line.radius()?;
    let Some(kit) = line.bench.kit else {
        return Some(radius);
    };
    let straight = (!kit.straightedges_mm.is_empty()).then_some(Radius::FLAT);
    let owned = owned_radius(kit.gauges.iter().copied().chain(straight), radius);
    if owned.is_none() {
        not_owned(line, &format!("gauge {}", radius_words(radius)), "gauges");
    }
    owned
}

/// The tool of the kit that has this radius.
fn owned_radius(kit: impl Iterator<Item = Radius>, radius: Radius) -> Option<Radius> {
    let mut kit = kit;
    kit.find(|owned| match (owned.finite_mm(), radius.finite_mm()) {
        (None, None) => true,
        (Some(owned), Some(given)) => same_length(owned, given),
        _ => false,
    })
}

fn radius_words(radius: Radius) -> String {
    radius
        .finite_mm()
        .map_or("flat".into(), |mm| format!("of radius {}", millimetres(mm)))
}

/// The radius again when its arc is as wide as the board there; tighter is a fault.
fn reaching(line: &mut Line<'_, '_>, radius: Radius, x_mm: f64) -> Option<Radius> {
    let half_width_mm = line.bench.instrument.outline.half_width(x_mm);
    if radius.mm() > half_width_mm {
        return Some(radius);
    }
    line.fault(Column::Tool, || {
        (
            format!(
                "radius {} is not more than half the board's width there, {}",
                millimetres(radius.mm()),
                millimetres(half_width_mm)
            ),
            "check the radius and its unit".into(),
        )
    });
    None
}

pub(super) fn chalk(line: &mut Line<'_, '_>) -> Option<Found> {
    let (at, tool) = (line.spot(), chalk_tool(line));
    let chalk = match line.word(Column::Shows, &["stayed", "gone"]) {
        Some("stayed") => Some(Chalk::Stayed),
        Some(_) => Some(Chalk::Gone),
        None => None,
    };
    // The step of chalk is its layer: a resolution in the line says how thick it lay.
    let layer_mm = line.step(line.bench.steps.chalk_layer_mm);
    let (at, layer_mm) = (at?, layer_mm?);
    let tool = held(line, tool?, at)?;
    Some(Found {
        what: What::Chalk {
            tool: wide_enough(line, tool, at)?,
            at,
            chalk: chalk?,
            layer_mm,
        },
        sigma_mm: 0.5 * layer_mm,
        place: place_words(line.bench.instrument, at),
    })
}

/// The tool again when a beam is held on both sides of the patch.
fn held(line: &mut Line<'_, '_>, tool: ChalkTool, at: Spot) -> Option<ChalkTool> {
    if tool != ChalkTool::Beam || !rests(line.bench.instrument, at).is_empty() {
        return Some(tool);
    }
    line.fault(Column::At, || {
        (
            "nothing holds the beam on one side of a patch at the board's end".into(),
            "look at chalk further in, or lay a block there".into(),
        )
    });
    None
}

fn wide_enough(line: &mut Line<'_, '_>, tool: ChalkTool, at: Spot) -> Option<ChalkTool> {
    if let ChalkTool::Block(radius) = tool {
        reaching(line, radius, at.x_mm)?;
    }
    Some(tool)
}

/// The block, gauge or beam that was rubbed, owned when a kit is given.
fn chalk_tool(line: &mut Line<'_, '_>) -> Option<ChalkTool> {
    let kit = line.bench.kit;
    if line.text(Column::Tool).eq_ignore_ascii_case("beam") {
        if kit.is_some_and(|kit| kit.beams.is_empty()) {
            line.fault(Column::Tool, || {
                (
                    "no beam is in the kit".into(),
                    "add it to the kit's beams, or write the block's radius".into(),
                )
            });
            return None;
        }
        return Some(ChalkTool::Beam);
    }
    let radius = line.radius()?;
    let Some(kit) = kit else {
        return Some(ChalkTool::Block(radius));
    };
    let blocks = kit.blocks.iter().map(|block| block.radius);
    let owned = owned_radius(blocks.chain(kit.gauges.iter().copied()), radius);
    if owned.is_none() {
        not_owned(line, &format!("block {}", radius_words(radius)), "blocks");
    }
    owned.map(ChalkTool::Block)
}
