//! The bench plan as a record.

use bench::effort::RateBasis;
use bench::gauges::{GaugeStation, Light};
use bench::touch::{MOMENTS, TouchMap};
use bench::{BenchPlan, Stage, Work};
use instrument::Instrument;
use serde_json::{Value, json};

use super::radius_mm;

/// The record that `plan --json` prints.
pub fn plan_record(instrument: &Instrument, plan: &BenchPlan) -> Value {
    json!({
        "title": instrument.title,
        "kit": plan.kit_title,
        "reaches_finish": plan.reaches_finish,
        "start_thickness_mm": plan.start_mm,
        "stages": plan.stages.iter().map(|stage| stage_record(instrument, stage)).collect::<Vec<_>>(),
        "grades": plan.ladder.grades.iter().map(|grade| grade.name).collect::<Vec<_>>(),
        "blocks": plan.zones.iter().map(zone).collect::<Vec<_>>(),
        "unused_blocks": plan.unused.iter().map(|unused| {
            json!({ "radius_mm": radius_mm(unused.block.radius), "why": unused.why })
        }).collect::<Vec<_>>(),
        "blocks_leave": {
            "left_max_mm": plan.blocks_leave.max_mm,
            "at_x_mm": plan.blocks_leave.at_mm.0,
            "at_y_mm": plan.blocks_leave.at_mm.1,
            "left_mm3": plan.blocks_leave.volume_mm3,
        },
        "beam": beam(plan),
        "helpful_blocks": plan.helpful.iter().map(|block| json!({
            "radius_mm": radius_mm(block.radius),
            "left_max_mm": block.left_max_mm,
            "left_mm3": block.left_mm3,
        })).collect::<Vec<_>>(),
        "gauges": plan.gauges.iter().map(gauge).collect::<Vec<_>>(),
        "wear": wear(plan),
        "warnings": plan.cautions.iter().map(|caution| {
            json!({ "code": caution.code, "message": caution.message, "where": caution.place })
        }).collect::<Vec<_>>(),
    })
}

fn stage_record(instrument: &Instrument, stage: &Stage) -> Value {
    let crown_mm = instrument.wood.crown_thickness_mm;
    json!({
        "key": stage.key,
        "tool": tool_name(&stage.work),
        "radius_mm": stage.radius().map(radius_mm),
        "grade": stage.grade.name,
        "from_x_mm": stage.from_x_mm(),
        "to_x_mm": stage.to_x_mm(),
        "start_crown_mm": crown_mm + stage.before.offset_mm,
        "end_crown_mm": crown_mm + stage.after.offset_mm,
        "allowance_mm": stage.allowance_mm,
        "removed_mm3": stage.removed_mm3,
        "arch_mm3": stage.arch_mm3,
        "left_max_mm": stage.left_max_mm,
        "left_max_at_x_mm": stage.left_max_at_mm.0,
        "left_mm3": stage.left_mm3,
        "rub_m": stage.effort.distance_m,
        "minutes": stage.effort.minutes,
        "strokes": stage.strokes,
        "chalk": chalk(instrument, stage),
        "thinnest_edge_mm": stage.edge_after_mm.0,
        "thinnest_edge_x_mm": stage.edge_after_mm.1,
    })
}

/// What the chalk shows at moments of the stage.
fn chalk(instrument: &Instrument, stage: &Stage) -> Vec<Value> {
    let map = TouchMap::of(instrument, stage, 96, 25);
    (0..MOMENTS.len())
        .map(|moment| {
            json!({
                "done_share": MOMENTS[moment],
                "still_to_go_mm": map.tool_height_mm[moment],
                "chalk_gone_share": map.gone_share(moment),
            })
        })
        .collect()
}

/// The tool of a stage, in words.
pub fn tool_name(work: &Work) -> &'static str {
    match work {
        Work::Block(_) => "block",
        Work::Beam(_) => "beam",
        Work::FallAway(_) => "beam on the fall-away",
    }
}

fn zone(zone: &bench::blocks::BlockZone) -> Value {
    json!({
        "radius_mm": radius_mm(zone.block.radius),
        "length_mm": zone.block.length_mm,
        "width_mm": zone.block.width_mm,
        "spans": zone.spans.iter().map(|span| {
            json!({ "from_x_mm": span.from_mm, "to_x_mm": span.to_mm })
        }).collect::<Vec<_>>(),
    })
}

fn beam(plan: &BenchPlan) -> Value {
    let beam = &plan.beam;
    let way = |way: &bench::beam::EasyWay| {
        json!({
            "radius_at_last_fret_mm": radius_mm(way.radius_at_last_fret),
            "low_at_edge_mm": way.low_at_edge_mm,
        })
    };
    json!({
        "far_to_near_sweep": beam.far_to_near_sweep,
        "edge_angle_deg": beam.edge_angle_deg,
        "spans": beam.spans.iter().map(|span| json!({
            "from_x_mm": span.from_mm,
            "to_x_mm": span.to_mm,
            "near_sweep_mm": span.near_sweep_mm,
            "far_sweep_mm": span.far_sweep_mm,
        })).collect::<Vec<_>>(),
        "along_edges": way(&beam.along_edges),
        "along_centreline": way(&beam.along_centreline),
    })
}

fn gauge(station: &GaugeStation) -> Value {
    json!({
        "fret": station.fret,
        "x_mm": station.x_mm,
        "radius_mm": radius_mm(station.radius),
        "gauge_mm": radius_mm(station.gauge),
        "gauge_light_mm": station.light_mm,
        "light": light_name(station.light),
        "no_light_from_mm": radius_mm(station.no_light.0),
        "no_light_to_mm": radius_mm(station.no_light.1),
    })
}

/// Where light shows under a gauge, in words.
pub fn light_name(light: Light) -> &'static str {
    match light {
        Light::Edges => "at both edges",
        Light::Crown => "at the crown",
        Light::None => "none to be seen",
    }
}

fn wear(plan: &BenchPlan) -> Value {
    let (basis, logged) = match plan.wear.basis {
        RateBasis::Default { logged } => ("default", logged),
        RateBasis::Fitted { logged, .. } => ("fitted", logged),
    };
    json!({ "rate_mm3_per_nm": plan.wear.reference, "basis": basis, "stages_logged": logged })
}
