//! What is said when a typed quantity cannot be read.
//!
//! Every message names what was being read, what was typed, what is wrong with it, and
//! how it could be written instead.

use std::fmt;

/// How many characters of a refused text are kept in the error.
const GIVEN_CHARS: usize = 40;

/// The kind of quantity that was being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// A length, such as a scale length or a radius.
    Length,
    /// A force, such as a string's tension.
    Force,
    /// The mass of a string for each unit of its length.
    LinearDensity,
    /// A note name with its octave.
    Note,
    /// A percentage, such as relative humidity.
    Percentage,
    /// A temperature.
    Temperature,
    /// A relative humidity between 0 and 100 %.
    RelativeHumidity,
    /// What a string is made of.
    StringMake,
}

impl Quantity {
    /// The word for this quantity in messages.
    pub fn name(self) -> &'static str {
        match self {
            Quantity::Length => "length",
            Quantity::Force => "force",
            Quantity::LinearDensity => "unit weight",
            Quantity::Note => "note",
            Quantity::Percentage => "percentage",
            Quantity::Temperature => "temperature",
            Quantity::RelativeHumidity => "relative humidity",
            Quantity::StringMake => "string make",
        }
    }

    /// Texts of this quantity that can be read, for the way out in a message.
    pub fn examples(self) -> &'static str {
        match self {
            Quantity::Length => "406.4 mm, 16 in, 11 1/2 in or 12 thou",
            Quantity::Force => "0.7 N, 70 gf, 2 ozf or 16 lbf",
            Quantity::LinearDensity => "0.0003956 kg/m, 0.39 g/m or 2.215e-5 lb/in",
            Quantity::Note => "E4, F#3 or Bb2",
            Quantity::Percentage => "45 % or 45",
            Quantity::Temperature => "20 °C or 68 °F",
            Quantity::RelativeHumidity => "45 %",
            Quantity::StringMake => "plain steel, nickel wound or nylon",
        }
    }
}

/// What is wrong with a text that was to be a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum Problem {
    /// Nothing was typed.
    Empty,
    /// The text is longer than any quantity needs.
    TooLong {
        /// The most characters that are read.
        limit_chars: usize,
    },
    /// There is no number where one must stand, or it is malformed.
    NotANumber,
    /// The number is not finite.
    NotFinite,
    /// A comma may part decimals or thousands here, and the two readings differ.
    AmbiguousSeparator,
    /// A fraction is divided by nothing.
    ZeroDenominator,
    /// A unit must be typed, for the number alone could mean several things.
    MissingUnit,
    /// The unit is not one of those known.
    UnknownUnit {
        /// The unit as it was typed.
        unit: String,
        /// The known unit spelled most like it.
        nearest: Option<&'static str>,
    },
    /// More than one number or unit was typed.
    SeveralUnits,
    /// The value lies outside what this quantity may be.
    OutOfRange {
        /// The least value allowed.
        low: f64,
        /// The greatest value allowed.
        high: f64,
        /// The unit of both limits.
        unit: &'static str,
    },
    /// The text is not a note name with an octave.
    NotANote,
    /// The name is not one of those known.
    UnknownName {
        /// The known name spelled most like it.
        nearest: Option<&'static str>,
    },
}

/// A text that could not be read as a quantity, and why.
///
/// ```
/// let refused = quantity::parse_length("1/0 in").unwrap_err();
/// assert_eq!(
///     refused.to_string(),
///     "length \"1/0 in\" divides by zero; write for example 406.4 mm, 16 in, 11 1/2 in or 12 thou"
/// );
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct QuantityError {
    /// What was typed, shortened to 40 characters.
    pub given: String,
    /// What it was read as.
    pub quantity: Quantity,
    /// What is wrong with it.
    pub problem: Problem,
}

impl QuantityError {
    /// An error about `text`, which is shortened and freed of control characters.
    pub fn new(text: &str, quantity: Quantity, problem: Problem) -> Self {
        QuantityError {
            given: shortened(text),
            quantity,
            problem,
        }
    }
}

impl std::error::Error for QuantityError {}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = self.quantity.name();
        if self.problem == Problem::Empty {
            write!(f, "{name} is empty")?;
        } else {
            write!(f, "{name} \"{}\" ", self.given)?;
            write_problem(f, &self.problem)?;
        }
        write!(f, "; write for example {}", self.quantity.examples())
    }
}

fn write_problem(f: &mut fmt::Formatter<'_>, problem: &Problem) -> fmt::Result {
    match problem {
        Problem::Empty => f.write_str("is empty"),
        Problem::TooLong { limit_chars } => {
            write!(
                f,
                "is longer than the {limit_chars} characters that are read"
            )
        }
        Problem::NotANumber => f.write_str("does not hold one plain number"),
        Problem::NotFinite => f.write_str("is not a finite number"),
        Problem::AmbiguousSeparator => f.write_str(
            "is ambiguous: its comma could part decimals or thousands, so type no thousands \
             separator and a point before the decimals",
        ),
        Problem::ZeroDenominator => f.write_str("divides by zero"),
        Problem::MissingUnit => f.write_str("has no unit"),
        Problem::UnknownUnit { unit, nearest } => {
            write!(f, "has the unknown unit \"{unit}\"")?;
            write_nearest(f, *nearest)
        }
        Problem::SeveralUnits => f.write_str("holds more than one number or unit"),
        Problem::OutOfRange { low, high, unit } => {
            write!(f, "is outside {low} to {high} {unit}")
        }
        Problem::NotANote => {
            f.write_str("is not a letter A to G, an optional # or b, and an octave")
        }
        Problem::UnknownName { nearest } => {
            f.write_str("is not known")?;
            write_nearest(f, *nearest)
        }
    }
}

fn write_nearest(f: &mut fmt::Formatter<'_>, nearest: Option<&str>) -> fmt::Result {
    match nearest {
        Some(known) => write!(f, ", did you mean \"{known}\"?"),
        None => Ok(()),
    }
}

/// The text as it can stand on one line of a message.
pub(crate) fn shortened(text: &str) -> String {
    let printable = |c: char| {
        if c.is_control() {
            char::REPLACEMENT_CHARACTER
        } else {
            c
        }
    };
    if text.chars().count() <= GIVEN_CHARS {
        return text.chars().map(printable).collect();
    }
    text.chars()
        .take(GIVEN_CHARS - 1)
        .map(printable)
        .chain(['…'])
        .collect()
}
