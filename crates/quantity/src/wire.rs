//! Materials of strings and windings: density and stiffness.

use std::sync::LazyLock;

use crate::csv::{Table, TableFault};
use crate::figure::Figure;

/// A material that strings are made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wire {
    /// Its name.
    pub name: &'static str,
    /// Its standard or alloy number, empty where there is none.
    pub standard: &'static str,
    /// Density in kg/m3.
    pub density_kg_m3: Figure,
    /// Young's modulus in GPa.
    pub modulus_gpa: Figure,
}

/// Every string material of the table.
pub fn wires() -> &'static [Wire] {
    static WIRES: LazyLock<Vec<Wire>> =
        LazyLock::new(|| read_wires().expect("the built-in table of wires is read by a test"));
    &WIRES
}

/// The material of this name, in any case of letters, with or without its parenthesis.
pub fn wire(name: &str) -> Option<&'static Wire> {
    let wanted = name.trim().to_lowercase();
    let is_it = |known: &&Wire| {
        let known_name = known.name.to_lowercase();
        let without_parenthesis = known_name.split(" (").next();
        known_name == wanted || without_parenthesis == Some(wanted.as_str())
    };
    wires().iter().find(is_it)
}

fn read_wires() -> Result<Vec<Wire>, TableFault> {
    let table = Table::read(include_str!("../data/wires.csv"))?;
    let mut wires = Vec::new();
    for row in table.rows() {
        let needed = |column: &str| {
            row.figure(column)?
                .ok_or_else(|| row.fault(format!("{column} is empty")))
        };
        wires.push(Wire {
            name: row.text("name")?,
            standard: row.text("standard")?,
            density_kg_m3: needed("density_kg_m3")?,
            modulus_gpa: needed("modulus_gpa")?,
        });
    }
    Ok(wires)
}
