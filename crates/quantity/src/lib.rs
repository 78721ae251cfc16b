//! Lengths, forces and pitches as a maker types and reads them, and tables of materials.
//!
//! This room knows nothing of guitars: it turns what is typed into quantities, quantities
//! into what is shown, and keeps the published figures of woods, abrasive grains, strings
//! and wire with their sources. It touches no file, clock or environment, and no text can
//! make it panic.

mod csv;
pub mod density;
pub mod error;
pub mod figure;
pub mod force;
pub mod grain;
pub mod length;
pub mod moisture;
mod number;
pub mod percent;
pub mod pitch;
pub mod spelling;
pub mod string_material;
pub mod string_table;
pub mod wire;
pub mod wood;

pub use density::{
    LinearDensity, LinearDensityUnit, parse_linear_density, show_linear_density,
    write_linear_density,
};
pub use error::{Problem, Quantity, QuantityError};
pub use figure::{Figure, Mark};
pub use force::{Force, ForceUnit, parse_force, show_force, write_force};
pub use grain::{Grade, grade, grades, nearest_grade_name};
pub use length::{Length, LengthUnit, parse_length, show_at_the_bench, show_length, write_length};
pub use moisture::equilibrium_moisture_percent;
pub use percent::{parse_percent, parse_temperature};
pub use pitch::{Note, cents_between, parse_note, ratio_of_cents};
pub use spelling::nearest;
pub use string_material::{RuledCore, StringMaterial, string_material, string_materials};
pub use string_table::{Make, StringWeight, WeightBasis, string_weights, unit_weight};
pub use wire::{Wire, wire, wires};
pub use wood::{HealthNote, LawNote, Wood, nearest_wood_name, width_change, wood, woods};
