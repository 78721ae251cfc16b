//! The software bill of materials, as CycloneDX 1.6 in JSON, <https://cyclonedx.org/docs/1.6/json/>.
//!
//! No date and no serial number: the same parts give the same bytes.

use serde_json::{Value, json};

use crate::parts::{Part, TARGET, Use};

/// The bill of the program's parts.
///
/// # Errors
/// When the program itself is not among the parts.
pub fn bill(parts: &[Part]) -> Result<Value, String> {
    let program = parts
        .iter()
        .find(|part| part.own && part.name == "camberwright")
        .ok_or("the program is not among its parts")?;
    let others = parts.iter().filter(|part| *part != program);
    let mut main = component(program);
    main["type"] = json!("application");
    Ok(json!({
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {
            "component": main,
            "properties": [{ "name": "target", "value": TARGET }],
        },
        "components": others.map(component).collect::<Vec<Value>>(),
        "dependencies": parts.iter().map(|part| needs(part, parts)).collect::<Vec<Value>>(),
    }))
}

fn component(part: &Part) -> Value {
    let mut component = json!({
        "type": if part.name.ends_with("fonts") { "data" } else { "library" },
        "bom-ref": part.key(),
        "name": part.name,
        "version": part.version,
        "scope": match part.used {
            Use::Inside => "required",
            Use::Building => "excluded",
        },
        "licenses": [licence(&part.licence)],
    });
    if let Some(sha256) = &part.sha256 {
        component["hashes"] = json!([{ "alg": "SHA-256", "content": sha256 }]);
    }
    if part.within.is_none() && !part.own {
        // The package's address of its own, <https://github.com/package-url/purl-spec>.
        component["purl"] = json!(format!("pkg:cargo/{}@{}", part.name, part.version));
    }
    component
}

/// One licence goes by its identifier, several as an expression.
fn licence(expression: &str) -> Value {
    match expression.contains(' ') {
        true => json!({ "expression": expression }),
        false => json!({ "license": { "id": expression } }),
    }
}

fn needs(part: &Part, parts: &[Part]) -> Value {
    let mut needs: Vec<String> = part.needs.iter().cloned().collect();
    let key = part.key();
    let held = parts
        .iter()
        .filter(|other| other.within.as_ref() == Some(&key));
    needs.extend(held.map(Part::key));
    json!({ "ref": key, "dependsOn": needs })
}
