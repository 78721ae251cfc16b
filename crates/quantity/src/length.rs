//! Lengths: reading what a maker types, and showing a length in the chosen unit.

use crate::error::{Quantity, QuantityError};
use crate::number::{FEET, INCHES, Reading, Scale, Unit, fixed, shortest, shortest_in_unit};

/// Millimetres in one inch: 25.4 exactly (international yard and pound agreement, 1959).
const INCH: Scale = Scale {
    times: 254.0,
    per: 10.0,
};

/// Shown fractions of an inch are whole numbers of these parts.
const FRACTION_PARTS: f64 = 64.0;

/// Above this many inches a double no longer resolves 1/64.
const MOST_FRACTION_INCHES: f64 = 1e12;

/// A length; inside it is kept in millimetres and never rounded.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Length(f64);

impl Length {
    /// A length of so many millimetres.
    pub const fn from_mm(mm: f64) -> Self {
        Length(mm)
    }

    /// The length in millimetres.
    pub const fn mm(self) -> f64 {
        self.0
    }

    /// The length in inches of exactly 25.4 mm.
    pub fn inches(self) -> f64 {
        INCH.value(self.0)
    }

    /// A length of so many inches of exactly 25.4 mm.
    pub const fn from_inches(inches: f64) -> Self {
        Length(INCH.raw(inches))
    }
}

/// The unit a maker wants lengths shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum LengthUnit {
    /// Millimetres, as `406.40 mm`.
    #[default]
    Millimetre,
    /// Inches with decimals, as `16.0000 in`.
    DecimalInch,
    /// Inches with a fraction down to 1/64, as `11 1/2 in`.
    FractionInch,
}

const UNITS: &[Unit] = &[
    Unit {
        names: &[
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
        ],
        scale: Scale::ONE,
    },
    Unit {
        names: &[
            "cm",
            "centimetre",
            "centimetres",
            "centimeter",
            "centimeters",
        ],
        scale: Scale {
            times: 10.0,
            per: 1.0,
        },
    },
    Unit {
        names: &["m", "metre", "metres", "meter", "meters"],
        scale: Scale {
            times: 1000.0,
            per: 1.0,
        },
    },
    Unit {
        names: &[
            "um",
            "micron",
            "microns",
            "micrometre",
            "micrometres",
            "micrometer",
            "micrometers",
        ],
        scale: Scale {
            times: 1.0,
            per: 1000.0,
        },
    },
    Unit {
        names: INCHES,
        scale: INCH,
    },
    Unit {
        names: &["thou"],
        scale: Scale {
            times: 254.0,
            per: 10_000.0,
        },
    },
    Unit {
        names: FEET,
        scale: Scale {
            times: 3048.0,
            per: 10.0,
        },
    },
];

const READING: Reading = Reading {
    quantity: Quantity::Length,
    units: UNITS,
    bare_scale: Some(Scale::ONE),
    low: -1e6,
    high: 1e6,
    raw_unit: "mm",
};

impl LengthUnit {
    /// The unit in which a length of that size is read at the bench: fractions of an inch are
    /// for what a rule measures; under 1/8 in, where gauges and dials measure, makers speak of
    /// thousandths (common practice, no source).
    ///
    /// ```
    /// use quantity::{Length, LengthUnit};
    /// let unit = LengthUnit::FractionInch;
    /// assert_eq!(unit.at_the_bench(Length::from_mm(43.0)), LengthUnit::FractionInch);
    /// assert_eq!(unit.at_the_bench(Length::from_mm(0.2)), LengthUnit::DecimalInch);
    /// ```
    pub fn at_the_bench(self, length: Length) -> LengthUnit {
        match self {
            LengthUnit::FractionInch if length.inches().abs() < 0.125 => LengthUnit::DecimalInch,
            unit => unit,
        }
    }
}

/// [`show_length`] in the unit in which a length of that size is read at the bench.
pub fn show_at_the_bench(length: Length, unit: LengthUnit, decimals: usize) -> String {
    show_length(length, unit.at_the_bench(length), decimals)
}

/// Reads a length as a maker types it; a number without a unit is in millimetres.
///
/// A fraction needs its unit: `11 1/2` alone is refused rather than taken for millimetres.
/// Decimals take a point or a comma, inches also a fraction, and feet may stand before
/// inches. Lengths below zero are read: whether one makes sense is for the caller to say.
///
/// Units: mm, cm, m, µm, in or ", thou, ft or '.
/// Valid range: up to 1 000 000 mm either way, at most 64 characters.
///
/// # Errors
/// Refuses what is empty, not a finite number, in two units or an unknown one, divided
/// by zero, or ambiguous for its comma (`1,000.5`, but also `25,400`, which could be a
/// thousand times as much), and says which.
///
/// ```
/// use quantity::parse_length;
/// assert_eq!(parse_length("25-1/2\"").unwrap().mm(), 647.7);
/// assert_eq!(parse_length("406,4").unwrap().mm(), 406.4);
/// assert!(parse_length("1,000.5 mm").is_err());
/// ```
pub fn parse_length(text: &str) -> Result<Length, QuantityError> {
    READING.read(text).map(Length)
}

/// The length rounded for reading, always with its unit.
///
/// `decimals` counts for millimetres; inches get two more, which keeps about the same
/// fineness. A fraction of an inch is to the nearest 1/64, followed by what is left over
/// if the asked decimals would show it. The data stays unrounded.
///
/// ```
/// use quantity::{Length, LengthUnit, show_length};
/// let action = Length::from_mm(1.6);
/// assert_eq!(show_length(action, LengthUnit::Millimetre, 2), "1.60 mm");
/// assert_eq!(show_length(action, LengthUnit::DecimalInch, 2), "0.0630 in");
/// assert_eq!(show_length(action, LengthUnit::FractionInch, 2), "1/16 in + 0.0005 in");
/// ```
pub fn show_length(length: Length, unit: LengthUnit, decimals: usize) -> String {
    if !length.mm().is_finite() {
        return "no length".to_owned();
    }
    let inch_decimals = decimals.saturating_add(2);
    match unit {
        LengthUnit::Millimetre => format!("{} mm", fixed(length.mm(), decimals)),
        LengthUnit::DecimalInch => format!("{} in", fixed(length.inches(), inch_decimals)),
        LengthUnit::FractionInch => show_fraction(length.inches(), inch_decimals),
    }
}

/// The length in full, so that [`parse_length`] reads it back, for edit fields and storage.
///
/// Millimetres come back bit for bit, inches within 1e-12 of the value. An inch fraction
/// is written only where it is the whole value; otherwise decimals are. Lengths beyond
/// the range of [`parse_length`] are written but not read back, and below 1e-300 mm
/// inches run out of digits.
///
/// ```
/// use quantity::{Length, LengthUnit, parse_length, write_length};
/// let radius = parse_length("16in").unwrap();
/// assert_eq!(write_length(radius, LengthUnit::Millimetre), "406.4 mm");
/// assert_eq!(write_length(radius, LengthUnit::FractionInch), "16 in");
/// ```
pub fn write_length(length: Length, unit: LengthUnit) -> String {
    if !length.mm().is_finite() {
        return "no length".to_owned();
    }
    match unit {
        LengthUnit::Millimetre => format!("{} mm", shortest(length.mm())),
        LengthUnit::DecimalInch => write_decimal_inches(length),
        LengthUnit::FractionInch => {
            exact_fraction(length).unwrap_or_else(|| write_decimal_inches(length))
        }
    }
}

fn write_decimal_inches(length: Length) -> String {
    format!("{} in", shortest_in_unit(length.mm(), INCH))
}

/// The length as a fraction of an inch, where that is all of it.
fn exact_fraction(length: Length) -> Option<String> {
    let parts = nearest_parts(length.inches())?;
    let is_whole_value = Length::from_inches(parts / FRACTION_PARTS) == length;
    is_whole_value.then(|| format!("{} in", fraction_text(parts)))
}

fn show_fraction(inches: f64, inch_decimals: usize) -> String {
    let Some(parts) = nearest_parts(inches) else {
        return format!("{} in", fixed(inches, inch_decimals));
    };
    let left_over = inches - parts / FRACTION_PARTS;
    let shown = fixed(left_over, inch_decimals);
    let is_nothing = shown.bytes().all(|b| matches!(b, b'0' | b'.'));
    if is_nothing {
        return format!("{} in", fraction_text(parts));
    }
    if parts == 0.0 {
        return format!("{shown} in");
    }
    let sign = if left_over < 0.0 { '-' } else { '+' };
    format!(
        "{} in {sign} {} in",
        fraction_text(parts),
        shown.trim_start_matches('-')
    )
}

/// The nearest whole number of 1/64 in, unless the length is too great to resolve them.
fn nearest_parts(inches: f64) -> Option<f64> {
    (inches.abs() <= MOST_FRACTION_INCHES).then(|| (inches * FRACTION_PARTS).round() + 0.0)
}

/// So many 1/64 in as a whole number and a fraction in lowest terms.
fn fraction_text(parts: f64) -> String {
    let sign = if parts < 0.0 { "-" } else { "" };
    let whole = (parts.abs() / FRACTION_PARTS).trunc();
    let (mut numerator, mut denominator) = (parts.abs() % FRACTION_PARTS, FRACTION_PARTS);
    while numerator != 0.0 && numerator % 2.0 == 0.0 {
        (numerator, denominator) = (numerator / 2.0, denominator / 2.0);
    }
    match (whole == 0.0, numerator == 0.0) {
        (_, true) => format!("{sign}{whole}"),
        (true, false) => format!("{sign}{numerator}/{denominator}"),
        (false, false) => format!("{sign}{whole} {numerator}/{denominator}"),
    }
}
