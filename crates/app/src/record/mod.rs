//! Figures as JSON records for other programs. Keys end in their unit.

mod plan;
mod play;
mod read;
mod sheet;

pub use plan::{light_name, plan_record, tool_name};
pub use play::{PlayFigures, basis_name, play_record};
pub use read::{hint_words, read_record, untold_words};
pub use sheet::sheet_record;

use instrument::Radius;
use instrument::format::Faults;
use serde_json::{Value, json};

/// A radius in mm, or null for flat.
fn radius_mm(radius: Radius) -> Value {
    json!(radius.finite_mm())
}

/// A number, or null when it is not finite.
fn number(value: f64) -> Value {
    json!(value.is_finite().then_some(value))
}

/// Faults of a text as records.
pub fn faults_record(name: &str, faults: &Faults) -> Value {
    let faults: Vec<Value> = faults
        .0
        .iter()
        .map(|fault| {
            json!({
                "where": fault.place,
                "line": fault.line,
                "message": fault.message,
                "way_out": fault.way_out,
            })
        })
        .collect();
    json!({ "file": name, "faults": faults })
}
