//! What readings tell, as a record.

use readings::doubt::{Doubted, Hint};
use readings::figures::Told;
use readings::measured::Figure;
use readings::next::aimed_at;
use readings::observe::Found;
use readings::place::place_words;
use readings::report::{Next, Report, Verdict};
use readings::steps::Step;
use readings::telling::Telling;
use readings::together::Untold;
use readings::{Ask, Spot};
use serde_json::{Map, Value, json};

use super::{number, radius_mm, tool_name};

/// The record that `read --json` prints.
pub fn read_record(ask: &Ask<'_>, report: &Report<'_>) -> Value {
    let estimate: Map<String, Value> = report
        .figures
        .iter()
        .map(|told| (told.name.clone(), interval(told)))
        .collect();
    let likeliest: Map<String, Value> = report
        .figures
        .iter()
        .map(|told| (told.name.clone(), number(told.likeliest_mm)))
        .collect();
    json!({
        "title": ask.instrument.title,
        "visit": ask.visit.name,
        "date": ask.visit.date,
        "stage": ask.visit.stage,
        "readings_counted": ask.visit.count(),
        "confidence": ask.allowed.confidence,
        "estimate": estimate,
        "likeliest": likeliest,
        "cost": report.measured.mode.cost,
        "doubted": report.doubted.iter().map(doubted).collect::<Vec<_>>(),
        "untold": report.untold.iter().map(|untold| untold_words(report, untold)).collect::<Vec<_>>(),
        "readings": statements(ask, report),
        "model": model(report),
        "map": map(report),
        "next": next(ask, report),
        "next_reading": report.next.as_ref().ok()
            .and_then(|next| next.telling.first()).map(telling),
        "next_readings": report.next.as_ref().ok()
            .map(|next| next.telling.iter().map(telling).collect::<Vec<_>>()),
    })
}

fn interval(told: &Told) -> Value {
    json!({
        "value": number(told.value_mm),
        "low": number(told.low_mm),
        "high": number(told.high_mm),
    })
}

fn figure(figure: Figure) -> Value {
    json!({ "value": figure.value, "low": figure.low(), "high": figure.high() })
}

fn doubted(doubted: &Doubted) -> Value {
    json!({
        "line": doubted.line,
        "kind": doubted.kind,
        "where": doubted.place,
        "read_mm": doubted.read_mm,
        "foretold_mm": doubted.foretold_mm,
        "foretold_half_mm": doubted.foretold_half_mm,
        "off": doubted.off,
        "hint": doubted.hint.map(hint_words),
    })
}

/// What a wrong figure looks like, in words.
pub fn hint_words(hint: Hint) -> &'static str {
    match hint {
        Hint::TenTimes => "about ten times what the others foretell: a decimal point?",
        Hint::ATenth => "about a tenth of what the others foretell: a decimal point?",
        Hint::Inches => "off by about 25.4: inches for millimetres, or the other way?",
        Hint::OtherSign => "right with the other sign: edges for crown, or a hump for a gap?",
    }
}

/// What is not told, in words.
pub fn untold_words(report: &Report<'_>, untold: &Untold) -> String {
    let title = |index: &usize| report.figures[*index].title.as_str();
    match untold {
        Untold::Figure(index) => {
            format!("these readings say next to nothing of the {}", title(index))
        }
        Untold::Pair(one, other) => format!(
            "{} and {} cannot be told apart from these readings",
            title(one),
            title(other)
        ),
        Untold::Datum(set_up) => format!(
            "the crown's height and the datum of set-up {set_up} cannot be told apart: read the thickness at one place"
        ),
    }
}

/// Readings whose every statement is listed in a record; heights in bulk are not.
fn statements(ask: &Ask<'_>, report: &Report<'_>) -> Vec<Value> {
    ask.visit
        .readings
        .iter()
        .zip(&report.measured.mode.statements)
        .map(|(reading, statement)| {
            let spots: Vec<Value> = statement
                .spots
                .iter()
                .map(|(spot, factor)| {
                    json!({ "x_mm": spot.x_mm, "y_mm": spot.y_mm, "factor": factor })
                })
                .collect();
            let (value, low, high) = match statement.found {
                Found::Value(value) => (number(value), Value::Null, Value::Null),
                Found::Within(window) => (Value::Null, number(window.low), number(window.high)),
            };
            json!({
                "line": reading.line,
                "kind": reading.what.kind(),
                "where": reading.place,
                "spots": spots,
                "set_up": statement.set_up,
                "value_mm": value,
                "low_mm": low,
                "high_mm": high,
                "sigma_mm": statement.sigma_mm,
            })
        })
        .collect()
}

/// The unknowns: their names, what was assumed of them, and what was found.
fn model(report: &Report<'_>) -> Value {
    let wood = report.measured.wood();
    let found = report.measured.mode.unknowns.as_slice();
    let mean = report.measured.mean();
    let unknowns: Vec<Value> = (0..wood.unknowns())
        .map(|index| {
            let (centre, scale) = wood.assumed(index);
            json!({
                "name": wood.name(index),
                "prior_mean": centre,
                "prior_deviation": scale,
                "likeliest": wood.figure(found, index),
                "mean": wood.figure(mean, index),
                "deviation": scale * report.measured.known.covariance[(index, index)].max(0.0).sqrt(),
            })
        })
        .collect();
    json!({
        "net_along": wood.net.map(|net| net.along),
        "net_across": wood.net.map(|net| net.across),
        "fall_made": wood.expected.fall_made,
        "unknowns": unknowns,
    })
}

fn map(report: &Report<'_>) -> Value {
    let grid = &report.map.grid;
    let target = report
        .next
        .as_ref()
        .ok()
        .map(|next| &next.target.over_plan_mm);
    let points: Vec<Value> = grid
        .spots
        .iter()
        .enumerate()
        .map(|(index, spot)| {
            let wood = report.map.over_plan[index];
            json!({
                "x_mm": spot.x_mm,
                "y_mm": spot.y_mm,
                "area_mm2": grid.area_mm2[index],
                "planned_mm": aimed_at(&report.measured, *spot),
                "over_plan_mm": wood.value,
                "sigma_mm": wood.sigma,
                "target_mm": target.map(|target| target[index]),
            })
        })
        .collect();
    json!({ "columns": grid.columns, "rows": grid.rows, "points": points })
}

fn next(ask: &Ask<'_>, report: &Report<'_>) -> Value {
    let Ok(next) = &report.next else {
        return json!({
            "done": false,
            "impossible": "no surface of the planned camber lies inside the wood within the limits of pitch, roll and twist",
        });
    };
    let words = |spot: usize| place_words(ask.instrument, report.map.grid.spots[spot]);
    let limiting: Vec<Value> = next
        .target
        .limiting
        .iter()
        .map(|spot| {
            let at = report.map.grid.spots[*spot];
            json!({
                "x_mm": at.x_mm,
                "y_mm": at.y_mm,
                "where": words(*spot),
                "over_plan_mm": report.map.over_plan[*spot].value,
                "sigma_mm": report.map.over_plan[*spot].sigma,
            })
        })
        .collect();
    json!({
        "done": next.is_done(),
        "verdict": verdict(next.verdict),
        "stage": report.stage.map(|stage| stage.key.as_str()),
        "grade": report.grade.map(|grade| grade.name),
        "tolerance_mm": report.tolerance_mm,
        "departure_mm": next.departure.found_mm(),
        "departure_where": words(next.departure.largest),
        "departure_at_most_mm": next.departure.at_most_mm,
        "departure_at_most_where": words(next.departure.in_the_way),
        "limiting": limiting,
        "safety": next.target.safety,
        "level_mm": next.target.plane[0],
        "pitch_mm": next.target.plane[1],
        "roll_mm_per_mm": next.target.plane[2],
        "twist_mm_per_mm": next.target.plane[3],
        "take_off_max_mm": next.take_off_max_mm,
        "take_off_max_where": words(next.take_off_max_at),
        "take_off_mm3": next.take_off_mm3,
        "edge_after_mm": next.edge_after.0.value,
        "edge_after": figure(next.edge_after.0),
        "edge_after_where": place_words(ask.instrument, next.edge_after.1),
        "finished_crown_at_nut_mm": figure(next.finished_crown[0]),
        "finished_crown_at_last_fret_mm": figure(next.finished_crown[1]),
        "steps": next.steps.iter().map(step).collect::<Vec<_>>(),
        "accept": accept(ask, report, next),
        "change_radii": next.radii.as_ref().map(|change| json!({
            "radii": change.radii.iter().map(|(x_mm, radius)| json!({
                "x_mm": x_mm,
                "radius_mm": radius_mm(*radius),
            })).collect::<Vec<_>>(),
            "saved_mm3": change.saved_mm3,
            "higher_mm": change.higher_mm,
        })),
    })
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Done => "done",
        Verdict::ReadFirst => "read first",
        Verdict::TakeOff => "take off",
    }
}

fn accept(ask: &Ask<'_>, report: &Report<'_>, next: &Next) -> Vec<Value> {
    next.accept
        .iter()
        .map(|choice| {
            let at: Spot = report.map.grid.spots[choice.spot];
            json!({
                "x_mm": at.x_mm,
                "y_mm": at.y_mm,
                "where": place_words(ask.instrument, at),
                "left_low_mm": choice.left_low_mm,
                "perhaps_low_mm": choice.perhaps_low_mm,
                "low_area_mm2": choice.low_area_mm2,
                "saved_mm3": choice.saved_mm3,
                "higher_mm": choice.higher_mm,
            })
        })
        .collect()
}

fn step(step: &Step) -> Value {
    let radius = match &step.work {
        bench::Work::Block(block) => Some(radius_mm(block.radius)),
        bench::Work::Beam(_) | bench::Work::FallAway(_) => None,
    };
    json!({
        "tool": tool_name(&step.work),
        "radius_mm": radius,
        "grade": step.grade.name,
        "spans": step.spans.iter().map(|span| {
            json!({ "from_x_mm": span.from_mm, "to_x_mm": span.to_mm })
        }).collect::<Vec<_>>(),
        "removed_mm3": step.removed_mm3,
        "deepest_mm": step.deepest_mm,
        "rub_m": step.effort.distance_m,
        "minutes": step.effort.minutes,
    })
}

fn telling(telling: &Telling) -> Value {
    json!({
        "kind": telling.kind,
        "gauge_mm": telling.gauge.map(radius_mm),
        "chord_mm": telling.chord_mm,
        "where": telling.place,
        "x_mm": telling.at.x_mm,
        "y_mm": telling.at.y_mm,
        "before_half_mm": telling.before_half_mm,
        "after_half_mm": telling.after_half_mm,
    })
}
