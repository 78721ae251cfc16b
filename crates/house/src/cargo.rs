//! What cargo knows of the house: packages, and which is built with which.

use std::process::Command;

use serde_json::Value;

use crate::House;

/// What `cargo metadata` says, never going to the network.
///
/// # Errors
/// What cargo says when it cannot.
pub fn metadata(more: &[&str]) -> Result<Value, String> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let output = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--offline"])
        .args(more)
        .current_dir(House::here().root())
        .output()
        .map_err(|error| format!("cargo: {error}"))?;
    if !output.status.success() {
        let told = String::from_utf8_lossy(&output.stderr);
        return Err(format!("cargo metadata: {told}"));
    }
    serde_json::from_slice(&output.stdout).map_err(|error| format!("cargo metadata: {error}"))
}

/// A list under a key; empty when there is none.
pub fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

/// A text under a key; empty when there is none.
pub fn text(value: &Value, key: &str) -> String {
    value[key].as_str().unwrap_or("").to_owned()
}
