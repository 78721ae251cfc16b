//! Linear density: what a string weighs for each unit of its length, its "unit weight".

use crate::error::{Quantity, QuantityError};
use crate::number::{Reading, Scale, Unit, fixed, shortest_in_unit};

/// Kilograms per metre in one pound per inch: 17.858, from the pound of 0.45359237 kg and the
/// inch of 25.4 mm, both exact (international yard and pound agreement, 1959).
const POUND_PER_INCH: Scale = Scale {
    times: 0.45359237,
    per: 0.0254,
};

/// Kilograms per metre in one gram per metre.
const GRAM_PER_METRE: Scale = Scale {
    times: 1.0,
    per: 1000.0,
};

/// Mass for each unit of length; inside it is kept in kilograms per metre.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct LinearDensity(f64);

impl LinearDensity {
    /// A linear density of so many kilograms per metre.
    pub const fn from_kg_per_m(kg_per_m: f64) -> Self {
        LinearDensity(kg_per_m)
    }

    /// The linear density in kilograms per metre.
    pub const fn kg_per_m(self) -> f64 {
        self.0
    }

    /// A linear density of so many pounds per inch, as string makers print it.
    pub const fn from_lb_per_in(lb_per_in: f64) -> Self {
        LinearDensity(POUND_PER_INCH.raw(lb_per_in))
    }

    /// The linear density in pounds per inch.
    pub fn lb_per_in(self) -> f64 {
        POUND_PER_INCH.value(self.0)
    }
}

/// The unit a maker wants unit weights shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum LinearDensityUnit {
    /// Kilograms per metre.
    KilogramPerMetre,
    /// Grams per metre, a handy size for strings.
    #[default]
    GramPerMetre,
    /// Pounds per inch, as string makers print it.
    PoundPerInch,
}

impl LinearDensityUnit {
    /// The sign of the unit and its scale to kilograms per metre.
    fn sign_and_scale(self) -> (&'static str, Scale) {
        match self {
            LinearDensityUnit::KilogramPerMetre => ("kg/m", Scale::ONE),
            LinearDensityUnit::GramPerMetre => ("g/m", GRAM_PER_METRE),
            LinearDensityUnit::PoundPerInch => ("lb/in", POUND_PER_INCH),
        }
    }
}

const UNITS: &[Unit] = &[
    Unit {
        names: &["kg/m"],
        scale: Scale::ONE,
    },
    Unit {
        names: &["g/m"],
        scale: GRAM_PER_METRE,
    },
    Unit {
        names: &["mg/m"],
        scale: Scale {
            times: 1.0,
            per: 1e6,
        },
    },
    Unit {
        names: &["g/cm"],
        scale: Scale {
            times: 1.0,
            per: 10.0,
        },
    },
    Unit {
        names: &["lb/in", "lbs/in"],
        scale: POUND_PER_INCH,
    },
    Unit {
        names: &["lb/ft", "lbs/ft"],
        scale: Scale {
            times: 0.45359237,
            per: 0.3048,
        },
    },
];

const READING: Reading = Reading {
    quantity: Quantity::LinearDensity,
    units: UNITS,
    bare_scale: None,
    low: 0.0,
    high: 100.0,
    raw_unit: "kg/m",
};

/// Reads a string's unit weight; its unit must be typed.
///
/// Valid range: 0 to 100 kg/m. Exponents such as `2.215e-5` are read.
///
/// # Errors
/// As [`crate::parse_length`], and refuses a number without a unit or below zero.
///
/// ```
/// use quantity::parse_linear_density;
/// assert_eq!(parse_linear_density("0.0003956 kg/m").unwrap().kg_per_m(), 0.0003956);
/// assert!(parse_linear_density("0.0003956").is_err());
/// ```
pub fn parse_linear_density(text: &str) -> Result<LinearDensity, QuantityError> {
    READING.read(text).map(LinearDensity)
}

/// The linear density rounded to so many significant digits, always with its unit.
///
/// Significant digits rather than decimals, because the sizes differ by unit and string.
///
/// ```
/// use quantity::{LinearDensity, LinearDensityUnit, show_linear_density};
/// let string = LinearDensity::from_lb_per_in(2.215e-5);
/// assert_eq!(show_linear_density(string, LinearDensityUnit::GramPerMetre, 4), "0.3956 g/m");
/// ```
pub fn show_linear_density(
    density: LinearDensity,
    unit: LinearDensityUnit,
    significant_digits: usize,
) -> String {
    let (sign, scale) = unit.sign_and_scale();
    let value = scale.value(density.0);
    if !value.is_finite() {
        return "no unit weight".to_owned();
    }
    let places_before_point = if value == 0.0 {
        1.0
    } else {
        value.abs().log10().floor() + 1.0
    };
    // Both numbers are small, so the conversion to a count of decimals cannot overflow.
    let decimals = (significant_digits.clamp(1, 15) as f64 - places_before_point).clamp(0.0, 15.0);
    format!("{} {sign}", fixed(value, decimals as usize))
}

/// The linear density in full, so that [`parse_linear_density`] reads it back within
/// 1e-12 of its value.
pub fn write_linear_density(density: LinearDensity, unit: LinearDensityUnit) -> String {
    let (sign, scale) = unit.sign_and_scale();
    if !density.0.is_finite() {
        return "no unit weight".to_owned();
    }
    format!("{} {sign}", shortest_in_unit(density.0, scale))
}
