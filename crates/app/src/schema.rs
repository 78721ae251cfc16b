//! JSON Schema of the file formats, printed from the same description that the reader checks by.

use instrument::format::{Kind, Need, Table};
use serde_json::{Map, Value, json};

/// The schema (draft 2020-12) of a format.
pub fn schema(title: &str, table: &Table) -> Value {
    let mut schema = table_schema(table);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!(title);
    schema
}

fn table_schema(table: &Table) -> Value {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in table.keys {
        let mut value = kind_schema(&key.kind);
        let described = match key.need {
            Need::Required => {
                required.push(key.name);
                key.meaning.to_owned()
            }
            Need::Otherwise(default) => format!("{}; otherwise: {default}", key.meaning),
        };
        value["description"] = json!(described);
        properties.insert(key.name.to_owned(), value);
    }
    json!({
        "type": "object",
        "description": table.meaning,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn kind_schema(kind: &Kind) -> Value {
    match kind {
        Kind::Length { least_mm, most_mm } => with_text(*least_mm, *most_mm, "16 in"),
        Kind::Radius => with_text(
            instrument::Radius::LEAST_MM,
            instrument::Radius::MOST_MM,
            "flat",
        ),
        Kind::Force { least_n, most_n } => with_text(*least_n, *most_n, "0.7 N"),
        Kind::Number { least, most } => {
            json!({ "type": "number", "minimum": least, "maximum": most })
        }
        Kind::Whole { least, most } => {
            json!({ "type": "integer", "minimum": least, "maximum": most })
        }
        Kind::Percent => with_text(0.0, 100.0, "45 %"),
        Kind::Temperature => with_text(-10.0, 50.0, "20 °C"),
        Kind::LinearDensity => {
            json!({ "type": "string", "examples": ["0.0004 kg/m", "2.2e-5 lb/in"] })
        }
        Kind::Note => json!({ "type": "string", "examples": ["E4", "F#3"] }),
        Kind::Text => json!({ "type": "string" }),
        Kind::Choice(words) => json!({ "type": "string", "enum": words }),
        Kind::Usual(words) => json!({ "type": "string", "examples": words }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Table(table) => table_schema(table),
        Kind::List(kind) => json!({ "type": "array", "items": kind_schema(kind) }),
        Kind::Any(kinds) => json!({ "anyOf": kinds.iter().map(kind_schema).collect::<Vec<_>>() }),
    }
}

/// A quantity: a bare number in the format's own unit, or a text with a unit.
fn with_text(least: f64, most: f64, example: &str) -> Value {
    json!({
        "anyOf": [
            { "type": "number", "minimum": least, "maximum": most },
            { "type": "string", "examples": [example] },
        ]
    })
}
