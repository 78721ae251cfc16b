//! Forces: string tension, and how hard a player picks or presses.

use crate::error::{Quantity, QuantityError};
use crate::number::{Reading, Scale, Unit, fixed, shortest_in_unit};

/// Newtons that one kilogram weighs: standard gravity, exact (3rd CGPM, 1901).
const N_PER_KGF: f64 = 9.80665;

/// Kilograms in one pound, exact (international yard and pound agreement, 1959).
const KG_PER_LB: f64 = 0.45359237;

/// The unit scales, to newtons.
const GRAM_FORCE: Scale = Scale {
    times: N_PER_KGF,
    per: 1000.0,
};
const KILOGRAM_FORCE: Scale = Scale {
    times: N_PER_KGF,
    per: 1.0,
};
const OUNCE_FORCE: Scale = Scale {
    times: KG_PER_LB * N_PER_KGF,
    per: 16.0,
};
const POUND_FORCE: Scale = Scale {
    times: KG_PER_LB * N_PER_KGF,
    per: 1.0,
};

/// A force; inside it is kept in newtons.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Force(f64);

impl Force {
    /// A force of so many newtons.
    pub const fn from_newtons(newtons: f64) -> Self {
        Force(newtons)
    }

    /// The force in newtons.
    pub const fn newtons(self) -> f64 {
        self.0
    }

    /// The force in pounds-force.
    pub fn pounds_force(self) -> f64 {
        POUND_FORCE.value(self.0)
    }
}

/// The unit a maker wants forces shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ForceUnit {
    /// Newtons.
    #[default]
    Newton,
    /// Grams-force, as a small spring balance reads.
    GramForce,
    /// Kilograms-force.
    KilogramForce,
    /// Ounces-force.
    OunceForce,
    /// Pounds-force, as string makers print tension.
    PoundForce,
}

impl ForceUnit {
    /// The sign of the unit and its scale to newtons.
    fn sign_and_scale(self) -> (&'static str, Scale) {
        match self {
            ForceUnit::Newton => ("N", Scale::ONE),
            ForceUnit::GramForce => ("gf", GRAM_FORCE),
            ForceUnit::KilogramForce => ("kgf", KILOGRAM_FORCE),
            ForceUnit::OunceForce => ("ozf", OUNCE_FORCE),
            ForceUnit::PoundForce => ("lbf", POUND_FORCE),
        }
    }
}

const UNITS: &[Unit] = &[
    Unit {
        names: &["n", "newton", "newtons"],
        scale: Scale::ONE,
    },
    Unit {
        names: &["gf", "g", "gram-force", "gram force"],
        scale: GRAM_FORCE,
    },
    Unit {
        names: &["kgf", "kg", "kp", "kilogram-force", "kilogram force"],
        scale: KILOGRAM_FORCE,
    },
    Unit {
        names: &["ozf", "oz", "ounce-force", "ounce force"],
        scale: OUNCE_FORCE,
    },
    Unit {
        names: &["lbf", "lb", "lbs", "pound-force", "pound force"],
        scale: POUND_FORCE,
    },
];

const READING: Reading = Reading {
    quantity: Quantity::Force,
    units: UNITS,
    bare_scale: None,
    low: -1e6,
    high: 1e6,
    raw_unit: "N",
};

/// Reads a force; its unit must be typed, for makers use newtons and pounds alike.
///
/// A weight (`g`, `kg`, `oz`, `lb`) is taken as the force it exerts under standard gravity.
///
/// Valid range: up to 1 000 000 N either way.
///
/// # Errors
/// As [`crate::parse_length`], and refuses a number without a unit.
///
/// ```
/// use quantity::parse_force;
/// assert_eq!(parse_force("0.7 N").unwrap().newtons(), 0.7);
/// assert!(parse_force("16").is_err());
/// ```
pub fn parse_force(text: &str) -> Result<Force, QuantityError> {
    READING.read(text).map(Force)
}

/// The force rounded to so many decimals of the unit, always with its unit.
pub fn show_force(force: Force, unit: ForceUnit, decimals: usize) -> String {
    let (sign, scale) = unit.sign_and_scale();
    if !force.0.is_finite() {
        return "no force".to_owned();
    }
    format!("{} {sign}", fixed(scale.value(force.0), decimals))
}

/// The force in full, so that [`parse_force`] reads it back within 1e-12 of its value.
pub fn write_force(force: Force, unit: ForceUnit) -> String {
    let (sign, scale) = unit.sign_and_scale();
    if !force.0.is_finite() {
        return "no force".to_owned();
    }
    format!("{} {sign}", shortest_in_unit(force.0, scale))
}
