//! The sheet as a record.

use instrument::Instrument;
use instrument::frets::SlotFit;
use play::{FretFigures, Sheet, Warning};
use quantity::WeightBasis;
use serde_json::{Value, json};

use super::{number, radius_mm};

/// The record that `sheet --json` prints.
pub fn sheet_record(instrument: &Instrument, sheet: &Sheet) -> Value {
    json!({
        "title": instrument.title,
        "tuning": instrument.tuning.name,
        "frets": sheet.frets.iter().map(fret).collect::<Vec<_>>(),
        "camber": camber(sheet),
        "strings": sheet.strings.iter().map(string).collect::<Vec<_>>(),
        "neck_load_n": sheet.neck_load_n,
        "board": {
            "end_x_mm": instrument.end_x_mm(),
            "end_width_mm": instrument.outline.width(instrument.end_x_mm()),
            "crown_thickness_mm": instrument.wood.crown_thickness_mm,
        },
        "wire": wire(sheet),
        "slot_fit": fit(sheet.fit),
        "movement": movement(sheet),
        "warnings": sheet.warnings.iter().map(warning).collect::<Vec<_>>(),
    })
}

fn fret(figures: &FretFigures) -> Value {
    json!({
        "fret": figures.fret,
        "cents": figures.cents,
        "x_mm": figures.x_mm,
        "step_mm": figures.step_mm,
        "lanes_x_mm": figures.lanes_x_mm,
        "lanes_y_mm": figures.lanes_y_mm,
        "skew_deg": figures.skew_deg,
        "width_mm": figures.width_mm,
        "radius_mm": radius_mm(figures.radius),
        "edge_drop_mm": figures.edge_drop_mm,
        "edge_thickness_mm": figures.edge_thickness_mm,
        "margin_mm": figures.margin_mm(),
        "margin_treble_mm": figures.margin_treble_mm,
        "margin_bass_mm": figures.margin_bass_mm,
        "arc_length_mm": figures.arc.length_mm,
        "arc_radius_mm": number(figures.arc.radius_mm),
        "slot_depth_mm": figures.slot_depth_mm,
        "slot_length_mm": figures.slot_length_mm,
        "wood_under_slot_mm": figures.wood_under_slot_mm,
        "wire_mm": figures.wire_mm,
        "bend_radius_mm": number(figures.bend_radius_mm),
        "gauge_mm": figures.gauge.map(|gauge| radius_mm(gauge.gauge)),
        "gauge_light_mm": figures.gauge.map(|gauge| gauge.light_mm),
    })
}

fn camber(sheet: &Sheet) -> Value {
    let camber = &sheet.camber;
    json!({
        "apex_x_mm": camber.apex_x_mm,
        "lanes_apex_x_mm": camber.lanes_apex_x_mm,
        "lane_hump_mm": camber.lane_hump_mm,
        "lane_hump_arch_mm": camber.lane_hump_arch_mm,
        "removed_mm3": camber.removed_mm3,
        "fall_away_mm3": camber.fall_away_mm3,
    })
}

fn string(figures: &play::strings::StringFigures) -> Value {
    json!({
        "note": figures.note,
        "frequency_hz": figures.frequency_hz,
        "length_mm": figures.length_mm,
        "tension_n": figures.tension_n,
        "unit_weight_kg_per_m": figures.weight.as_ref().map(|weight| weight.kg_per_m),
        "unit_weight_basis": figures.weight.as_ref().map(|weight| basis(weight.basis)),
        "unit_weight_source": figures.weight.as_ref().map(|weight| weight.source),
        "stretch": figures.stretch.as_ref().map(|stretch| stretch.kappa),
        "stretch_sigma": figures.stretch.as_ref().and_then(|stretch| stretch.sigma),
        "stretch_source": figures.stretch.as_ref().map(|stretch| stretch.source),
        "inharmonicity": figures.inharmonicity,
        "stress_gpa": figures.stress_gpa,
        "strength_gpa": figures.strength_gpa,
        "strength_source": figures.strength_source,
    })
}

/// How a unit weight was found, in a word.
pub fn basis(basis: WeightBasis) -> &'static str {
    match basis {
        WeightBasis::Published => "published",
        WeightBasis::Computed => "computed",
        WeightBasis::Interpolated => "interpolated",
        WeightBasis::Given => "given",
    }
}

fn wire(sheet: &Sheet) -> Value {
    let sticks: Vec<Value> = sheet
        .wire
        .sticks
        .iter()
        .map(|stick| json!({ "frets": stick.frets, "rest_mm": stick.rest_mm }))
        .collect();
    json!({
        "total_mm": sheet.wire.total_mm,
        "sticks": sticks,
        "proven_least": sheet.wire.proven_least,
        "too_long": sheet.wire.too_long,
    })
}

fn fit(fit: SlotFit) -> Value {
    match fit {
        SlotFit::Unknown => json!({ "fit": "unknown" }),
        SlotFit::Tight { by_mm } => json!({ "fit": "tight", "by_mm": by_mm }),
        SlotFit::Holds { grip_mm } => json!({ "fit": "holds", "grip_mm": grip_mm }),
        SlotFit::Loose { by_mm } => json!({ "fit": "loose", "by_mm": by_mm }),
    }
}

fn movement(sheet: &Sheet) -> Value {
    sheet.movement.as_ref().map_or(Value::Null, |movement| {
        json!({
            "shop_moisture_percent": movement.shop_moisture,
            "home_moisture_percent": movement.home_moisture,
            "coefficient_per_percent": movement.coefficient.value,
            "source": movement.coefficient.source,
            "proud_nut_mm": movement.proud_mm.0,
            "proud_last_fret_mm": movement.proud_mm.1,
            "edge_drop_change_mm": movement.edge_drop_change_mm,
            "outside_measured": movement.outside_measured,
        })
    })
}

fn warning(warning: &Warning) -> Value {
    json!({ "code": warning.code, "message": warning.message, "where": warning.place })
}
