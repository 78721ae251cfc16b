//! Percentages and temperatures, as a shop's hygrometer and thermometer give them.

use crate::error::{Problem, Quantity, QuantityError};
use crate::number::{Reading, Scale, Unit};

/// Degrees Celsius of absolute zero (SI definition of the degree Celsius).
const ABSOLUTE_ZERO_C: f64 = -273.15;

/// Hotter than anything on a bench; a typed value above it is a slip.
const HOTTEST_C: f64 = 2000.0;

const PERCENT: Reading = Reading {
    quantity: Quantity::Percentage,
    units: &[Unit {
        names: &["%", "percent", "per cent", "% rh", "%rh"],
        scale: Scale::ONE,
    }],
    bare_scale: Some(Scale::ONE),
    low: -1e6,
    high: 1e6,
    raw_unit: "%",
};

/// Reads a percentage: `45 %`, `45%` or `45` are all 45.0.
///
/// Valid range: up to 1 000 000 % either way; whether a value makes sense is for the
/// caller to say.
///
/// # Errors
/// As [`crate::parse_length`].
pub fn parse_percent(text: &str) -> Result<f64, QuantityError> {
    PERCENT.read(text)
}

/// The scales of temperature, each read as a plain number first.
const CELSIUS: &[&str] = &["°c", "c", "℃", "deg c", "degc", "° c", "celsius"];
const FAHRENHEIT: &[&str] = &["°f", "f", "℉", "deg f", "degf", "° f", "fahrenheit"];
const KELVIN: &[&str] = &["k", "kelvin"];

const ANY_DEGREE: Reading = Reading {
    quantity: Quantity::Temperature,
    units: &[
        Unit {
            names: CELSIUS,
            scale: Scale::ONE,
        },
        Unit {
            names: FAHRENHEIT,
            scale: Scale::ONE,
        },
        Unit {
            names: KELVIN,
            scale: Scale::ONE,
        },
    ],
    bare_scale: None,
    low: -1e6,
    high: 1e6,
    raw_unit: "degrees",
};

/// Reads a temperature and gives it in degrees Celsius; its unit must be typed.
///
/// Units: °C, °F, K.
/// Valid range: absolute zero to 2000 °C.
///
/// # Errors
/// As [`crate::parse_length`], and refuses a number without a unit, for 68 may be either.
///
/// ```
/// use quantity::parse_temperature;
/// assert_eq!(parse_temperature("68 °F").unwrap(), 20.0);
/// assert!(parse_temperature("68").is_err());
/// ```
pub fn parse_temperature(text: &str) -> Result<f64, QuantityError> {
    let degrees = ANY_DEGREE.read(text)?;
    let unit = text
        .trim_end_matches(|c: char| c.is_whitespace() || c == '.')
        .to_lowercase();
    let celsius = if FAHRENHEIT.iter().any(|name| unit.ends_with(name)) {
        (degrees - 32.0) / 1.8
    } else if KELVIN.iter().any(|name| unit.ends_with(name)) {
        degrees + ABSOLUTE_ZERO_C
    } else {
        degrees
    };
    if (ABSOLUTE_ZERO_C..=HOTTEST_C).contains(&celsius) {
        return Ok(celsius);
    }
    let problem = Problem::OutOfRange {
        low: ABSOLUTE_ZERO_C,
        high: HOTTEST_C,
        unit: "°C",
    };
    Err(QuantityError::new(text, Quantity::Temperature, problem))
}
