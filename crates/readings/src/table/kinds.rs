//! What each kind of reading asks of its line.

mod dial;
mod gauge;
mod straightedge;

use super::head::Column;
use super::line::Line;
use crate::place::{millimetres, place_words};
use crate::reading::What;

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
        "light" => gauge::light(line),
        "gap" => straightedge::gap(line),
        "rock" => straightedge::rock(line),
        "sagitta" => dial::sagitta(line),
        "thickness" => thickness(line),
        _ => gauge::chalk(line),
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

fn same_length(owned_mm: f64, given_mm: f64) -> bool {
    (owned_mm - given_mm).abs() <= SAME_TOOL_MM + SAME_TOOL_SHARE * owned_mm
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
