//! What each kind of reading asks of its line.

use instrument::Radius;

use super::head::Column;
use super::line::Line;
use crate::place::{Along, millimetres, place_words, station_words};
use crate::reading::{Amount, Chalk, ChalkTool, Gap, Seen, Spot, What};
use crate::sagitta::{DialErrors, radius_from_sagitta};

/// The kinds of reading, as they stand in the file.
const KINDS: [&str; 7] = [
    "height",
    "light",
    "gap",
    "rock",
    "sagitta",
    "thickness",
    "chalk",
];

/// The columns that a kind has no use for: what stands there is left out, and that is said.
/// `tool` is free for a maker's word where only one tool can be meant.
pub(super) const UNUSED_BY: [(&str, &[Column]); KINDS.len()] = {
    use Column::{From, SetUp, Shows, To, Value};
    [
        ("height", &[From, To, Shows]),
        ("light", &[From, To, SetUp]),
        ("gap", &[SetUp]),
        ("rock", &[Shows, SetUp]),
        ("sagitta", &[From, To, Shows, SetUp]),
        ("thickness", &[From, To, Shows, SetUp]),
        ("chalk", &[From, To, Value, SetUp]),
    ]
};

/// Two tools are the same when their lengths differ by no more: this, and a share of the length.
const SAME_TOOL_MM: f64 = 0.05;
const SAME_TOOL_SHARE: f64 = 1e-4;

const CHECK_VALUE: &str = "check the value and its unit";

/// What a line says was measured.
pub(super) struct Found {
    pub what: What,
    pub sigma_mm: f64,
    /// The place in words; empty for a height, of which there may be very many.
    pub place: String,
}

/// Reads the line by its kind; nothing when it has a fault, which is noted.
pub(super) fn read_kind(line: &mut Line<'_, '_>) -> Option<Found> {
    match line.word(Column::Kind, &KINDS)? {
        "height" => height(line),
        "light" => light(line),
        "gap" => gap(line),
        "rock" => rock(line),
        "sagitta" => sagitta(line),
        "thickness" => thickness(line),
        _ => chalk(line),
    }
}

fn height(line: &mut Line<'_, '_>) -> Option<Found> {
    let (at, value) = (
        line.spot(),
        line.length(Column::Value, "write the height, such as 0.12 mm"),
    );
    let sigma_mm = line.sigma(line.bench.steps.probe_mm);
    let height_mm = within_height(line, value?)?;
    Some(Found {
        what: What::Height {
            set_up: 0,
            at: at?,
            height_mm,
        },
        sigma_mm: sigma_mm?,
        place: String::new(),
    })
}

/// The greatest height that is read either way, mm: past any probe's reach.
pub(super) const MOST_HEIGHT_MM: f64 = 100.0;

/// What to say of a height past the limit: message and way out.
pub(super) fn too_high(height_mm: f64) -> (String, String) {
    (
        format!(
            "height {} is more than {MOST_HEIGHT_MM} mm either way",
            millimetres(height_mm)
        ),
        CHECK_VALUE.into(),
    )
}

fn within_height(line: &mut Line<'_, '_>, height_mm: f64) -> Option<f64> {
    if height_mm.abs() <= MOST_HEIGHT_MM {
        return Some(height_mm);
    }
    line.fault(Column::Value, || too_high(height_mm));
    None
}

/// What a positive figure is called, its limit, and what to do when it is not positive.
struct Positive {
    name: &'static str,
    most_mm: f64,
    when_not: &'static str,
}

/// The value, more than 0 and at most the limit.
fn positive(line: &mut Line<'_, '_>, asked: Positive) -> Option<f64> {
    let Positive {
        name,
        most_mm,
        when_not,
    } = asked;
    let value_mm = line.length(Column::Value, when_not)?;
    if value_mm > 0.0 && value_mm <= most_mm {
        return Some(value_mm);
    }
    line.fault(Column::Value, || {
        let said = millimetres(value_mm);
        if value_mm > most_mm {
            return (
                format!("{name} {said} is more than {most_mm} mm"),
                CHECK_VALUE.into(),
            );
        }
        (
            format!("{name} {said} is not more than 0 mm"),
            when_not.into(),
        )
    });
    None
}

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

fn light(line: &mut Line<'_, '_>) -> Option<Found> {
    let (gauge, x_mm) = (gauge(line), line.station("a gauge"));
    let (seen, sigma_mm) = (seen(line), line.sigma(line.bench.steps.smallest_light_mm));
    let x_mm = x_mm?;
    let gauge = reaching(line, gauge?, x_mm)?;
    Some(Found {
        what: What::Light {
            gauge,
            x_mm,
            half_width_mm: line.bench.instrument.outline.half_width(x_mm),
            seen: seen?,
        },
        sigma_mm: sigma_mm?,
        place: station_words(line.bench.instrument, x_mm),
    })
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

/// True when no value stands beside `none`; a fault otherwise.
fn no_value(line: &mut Line<'_, '_>, thing: &str) -> bool {
    if line.is_empty(Column::Value) {
        return true;
    }
    line.fault(Column::Value, || {
        (
            format!("a value is given, and shows says there was no {thing}"),
            "leave one of the two out".into(),
        )
    });
    false
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

fn same_length(owned_mm: f64, given_mm: f64) -> bool {
    (owned_mm - given_mm).abs() <= SAME_TOOL_MM + SAME_TOOL_SHARE * owned_mm
}

fn radius_words(radius: Radius) -> String {
    radius
        .finite_mm()
        .map_or("flat".into(), |mm| format!("of radius {}", millimetres(mm)))
}

/// Notes that a tool is not in the kit, with two ways out.
fn not_owned(line: &mut Line<'_, '_>, tool: &str, key: &str) {
    let title = line.bench.kit.map_or("", |kit| kit.title.as_str());
    line.fault(Column::Tool, || {
        let figure = if key == "dials" { "chord" } else { "radius" };
        (
            format!("{tool} is not in the kit \"{title}\""),
            format!("add it to the kit's {key}, or check the {figure}"),
        )
    });
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

/// The three spots of a straightedge.
struct Straight {
    from: Spot,
    to: Spot,
    at: Spot,
}

fn gap(line: &mut Line<'_, '_>) -> Option<Found> {
    let (straight, gap) = (straight(line), feeler(line));
    let sigma_mm = line.sigma(line.bench.steps.feeler_mm);
    let Straight { from, to, at } = straight?;
    Some(Found {
        what: What::Gap {
            from,
            to,
            at,
            gap: gap?,
        },
        sigma_mm: sigma_mm?,
        place: place_words(line.bench.instrument, at),
    })
}

fn feeler(line: &mut Line<'_, '_>) -> Option<Gap> {
    if !line.is_empty(Column::Shows) {
        line.word(Column::Shows, &["none"])?;
        let least_mm = line.bench.steps.least_feeler_mm;
        return no_value(line, "gap").then_some(Gap::None { least_mm });
    }
    let asked = Positive {
        name: "gap",
        most_mm: 10.0,
        when_not: "write the feeler that just goes in, or none under shows when none does",
    };
    positive(line, asked).map(Gap::Mm)
}

fn rock(line: &mut Line<'_, '_>) -> Option<Found> {
    let straight = straight(line);
    let asked = Positive {
        name: "hump",
        most_mm: 10.0,
        when_not: "write how high the hump is at the least; where nothing rocks, write a gap",
    };
    let (hump, sigma_mm) = (
        positive(line, asked),
        line.sigma(line.bench.steps.feeler_mm),
    );
    let Straight { from, to, at } = straight?;
    Some(Found {
        what: What::Rock {
            from,
            to,
            at,
            hump_mm: hump?,
        },
        sigma_mm: sigma_mm?,
        place: place_words(line.bench.instrument, at),
    })
}

/// Where a straightedge touches, and the spot under it, all on one line along the board.
fn straight(line: &mut Line<'_, '_>) -> Option<Straight> {
    let last_fret = Along::Fret(line.bench.instrument.last_fret());
    let across = line.across();
    let from = end(line, Column::From, Along::Fret(0));
    let to = end(line, Column::To, last_fret);
    let at = line.along(Column::At);
    let across = across?;
    let mut spot = |column, along: Option<Along>| line.spot_of(column, along?, across);
    let ends = (spot(Column::From, from), spot(Column::To, to));
    let at = spot(Column::At, at);
    let (from, to) = (ends.0?, ends.1?);
    // A straightedge has no direction: the end nearer the nut is the one called `from`.
    let (from, to) = if from.x_mm <= to.x_mm {
        (from, to)
    } else {
        (to, from)
    };
    long_enough(line, from, to)?;
    let at = between(line, from, to, at?)?;
    Some(Straight { from, to, at })
}

fn end(line: &mut Line<'_, '_>, column: Column, usual: Along) -> Option<Along> {
    if line.is_empty(column) {
        return Some(usual);
    }
    line.along(column)
}

/// A fault when the kit lists straightedges, and none is that long.
fn long_enough(line: &mut Line<'_, '_>, from: Spot, to: Spot) -> Option<()> {
    let owned = line.bench.kit.map_or(&[][..], |kit| &kit.straightedges_mm);
    let Some(longest_mm) = owned.iter().copied().reduce(f64::max) else {
        return Some(());
    };
    let span_mm = (to.x_mm - from.x_mm).hypot(to.y_mm - from.y_mm);
    if span_mm <= longest_mm + SAME_TOOL_MM {
        return Some(());
    }
    line.fault(Column::To, || {
        (
            format!(
                "from and to lie {} apart; the kit's longest straightedge is {}",
                millimetres(span_mm),
                millimetres(longest_mm)
            ),
            "add a longer one to the kit's straightedges, or write where its ends lay".into(),
        )
    });
    None
}

fn between(line: &mut Line<'_, '_>, from: Spot, to: Spot, at: Spot) -> Option<Spot> {
    if from.x_mm < at.x_mm && at.x_mm < to.x_mm {
        return Some(at);
    }
    line.fault(Column::At, || {
        (
            format!(
                "{} from the nut does not lie between the ends of the straightedge, {} and {}",
                millimetres(at.x_mm),
                millimetres(from.x_mm),
                millimetres(to.x_mm)
            ),
            "write a place between them, or where the ends lay under from and to".into(),
        )
    });
    None
}

/// A dial as the kit lists it, or as the line says.
struct Legs {
    chord_mm: f64,
    resolution_mm: f64,
}

fn sagitta(line: &mut Line<'_, '_>) -> Option<Found> {
    let (legs, x_mm) = (legs(line), line.station("a dial"));
    let asked = Positive {
        name: "sagitta",
        most_mm: MOST_HEIGHT_MM,
        when_not: "write how far the crown stands over the legs; on a flat board write heights",
    };
    let value = positive(line, asked);
    let (legs, x_mm) = (legs?, x_mm?);
    let sigma_mm = line.sigma(legs.resolution_mm);
    let chord_mm = on_the_wood(line, legs.chord_mm, x_mm)?;
    Some(Found {
        what: What::Sagitta {
            chord_mm,
            x_mm,
            sagitta_mm: under_half(line, chord_mm, value?)?,
        },
        sigma_mm: sigma_mm?,
        place: station_words(line.bench.instrument, x_mm),
    })
}

/// The dial that the line names by its chord, owned when the kit lists dials.
fn legs(line: &mut Line<'_, '_>) -> Option<Legs> {
    let way_out = "write the distance between the dial's legs, such as 40 mm";
    let chord_mm = line.length(Column::Tool, way_out)?;
    if chord_mm <= 0.0 {
        line.fault(Column::Tool, || {
            (
                format!("chord {} is not more than 0 mm", millimetres(chord_mm)),
                way_out.into(),
            )
        });
        return None;
    }
    let dials = line.bench.kit.map_or(&[][..], |kit| &kit.dials);
    if dials.is_empty() {
        let resolution_mm = 0.01;
        return Some(Legs {
            chord_mm,
            resolution_mm,
        });
    }
    let owned = dials
        .iter()
        .find(|dial| same_length(dial.chord_mm, chord_mm));
    if owned.is_none() {
        let tool = format!("dial with a chord of {}", millimetres(chord_mm));
        not_owned(line, &tool, "dials");
    }
    owned.map(|dial| Legs {
        chord_mm: dial.chord_mm,
        resolution_mm: dial.resolution_mm,
    })
}

/// The chord again when both legs stand on the board; a fault otherwise.
fn on_the_wood(line: &mut Line<'_, '_>, chord_mm: f64, x_mm: f64) -> Option<f64> {
    let span = line.bench.instrument.outline.span(x_mm);
    let width_mm = span.map_or(0.0, |(low, high)| 2.0 * high.min(-low).max(0.0));
    if chord_mm <= width_mm {
        return Some(chord_mm);
    }
    line.fault(Column::Tool, || {
        (
            format!(
                "chord {} is wider than the board there, {} about the centreline",
                millimetres(chord_mm),
                millimetres(width_mm)
            ),
            "check the place, or read with a narrower dial".into(),
        )
    });
    None
}

fn under_half(line: &mut Line<'_, '_>, chord_mm: f64, sagitta_mm: f64) -> Option<f64> {
    let sharp = DialErrors {
        sagitta_sigma_mm: 0.0,
        chord_sigma_mm: 0.0,
    };
    let proves = radius_from_sagitta(chord_mm, sagitta_mm, sharp);
    if proves.is_some() && sagitta_mm < 0.5 * chord_mm {
        return Some(sagitta_mm);
    }
    line.fault(Column::Value, || {
        (
            format!(
                "sagitta {} is not under half the chord of {}",
                millimetres(sagitta_mm),
                millimetres(chord_mm)
            ),
            CHECK_VALUE.into(),
        )
    });
    None
}

fn thickness(line: &mut Line<'_, '_>) -> Option<Found> {
    let at = line.spot();
    let asked = Positive {
        name: "thickness",
        most_mm: 50.0,
        when_not: "write what the caliper shows, such as 5.85 mm",
    };
    let (thickness, sigma_mm) = (
        positive(line, asked),
        line.sigma(line.bench.steps.caliper_mm),
    );
    let at = at?;
    Some(Found {
        what: What::Thickness {
            at,
            thickness_mm: thickness?,
        },
        sigma_mm: sigma_mm?,
        place: place_words(line.bench.instrument, at),
    })
}

fn chalk(line: &mut Line<'_, '_>) -> Option<Found> {
    let (at, tool) = (line.spot(), chalk_tool(line));
    let chalk = match line.word(Column::Shows, &["stayed", "gone"]) {
        Some("stayed") => Some(Chalk::Stayed),
        Some(_) => Some(Chalk::Gone),
        None => None,
    };
    // The step of chalk is its layer: a resolution in the line says how thick it lay.
    let layer_mm = line.step(line.bench.steps.chalk_layer_mm);
    let (at, layer_mm) = (at?, layer_mm?);
    Some(Found {
        what: What::Chalk {
            tool: wide_enough(line, tool?, at)?,
            at,
            chalk: chalk?,
            layer_mm,
        },
        sigma_mm: 0.5 * layer_mm,
        place: place_words(line.bench.instrument, at),
    })
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
