//! Reading one number and its unit out of typed text, and writing numbers without loss.
//!
//! This is the one door for typed figures: fractions, decimal commas, typographic signs
//! and exponents are all understood here, so every quantity is typed in the same way.

use crate::error::{Problem, Quantity, QuantityError};
use crate::spelling;

/// The most characters of a text that are read.
pub(crate) const TEXT_LIMIT_CHARS: usize = 64;

/// The most decimals shown; more than a double holds would only be noise.
const MOST_DECIMALS: usize = 15;

/// One unit: the names it goes by, in lower case, and how to reach the raw unit from it.
pub(crate) struct Unit {
    /// Names in lower case, the one to suggest first.
    pub names: &'static [&'static str],
    /// Raw units in one of this unit.
    pub scale: Scale,
}

/// Raw units in one of another unit, as a product and a quotient.
///
/// Two factors rather than one, because 25.4 and 0.001 have no exact double while 254/10
/// and 1/1000 are taken in exact steps: 25.5 in comes out as 647.7 mm, not a bit beside it.
#[derive(Clone, Copy)]
pub(crate) struct Scale {
    /// Multiplied by first.
    pub times: f64,
    /// Divided by then.
    pub per: f64,
}

impl Scale {
    /// The raw unit itself.
    pub const ONE: Scale = Scale {
        times: 1.0,
        per: 1.0,
    };

    /// The raw value of so many of the unit.
    pub const fn raw(self, value: f64) -> f64 {
        value * self.times / self.per
    }

    /// How many of the unit the raw value is.
    pub const fn value(self, raw: f64) -> f64 {
        raw * self.per / self.times
    }
}

/// How typed text of one quantity is read.
pub(crate) struct Reading {
    /// The quantity, for messages.
    pub quantity: Quantity,
    /// The units that may be typed.
    pub units: &'static [Unit],
    /// The unit of a number typed without one, if that may stand.
    pub bare_scale: Option<Scale>,
    /// The least raw value allowed.
    pub low: f64,
    /// The greatest raw value allowed.
    pub high: f64,
    /// The raw unit, for messages.
    pub raw_unit: &'static str,
}

impl Reading {
    /// The value of `text` in the raw unit.
    pub fn read(&self, text: &str) -> Result<f64, QuantityError> {
        self.read_raw(text)
            .map_err(|problem| QuantityError::new(text, self.quantity, problem))
    }

    fn read_raw(&self, text: &str) -> Result<f64, Problem> {
        let plain = normalised(text)?;
        let (sign, unsigned) = split_sign(&plain);
        let (number, rest) = leading_number(unsigned)?;
        let (unit, more) = leading_unit(rest);
        // A fraction without a unit is meant in inches, yet a bare number is millimetres.
        if rest.is_empty() && unsigned.contains('/') {
            return Err(Problem::MissingUnit);
        }
        let raw = if more.is_empty() {
            self.scale(unit)?.raw(number)
        } else {
            self.two_parts(number, unit, more)?
        };
        self.in_range(sign * raw)
    }

    /// Feet and inches, the only pair of numbers that makes one quantity.
    fn two_parts(&self, number: f64, unit: &str, more: &str) -> Result<f64, Problem> {
        let (second_number, rest) = leading_number(more)?;
        let (second_unit, extra) = leading_unit(rest);
        let joined = unit.trim_end_matches('-').trim_end();
        let is_feet_and_inches = self.quantity == Quantity::Length
            && FEET.contains(&plain_unit(joined).as_str())
            && INCHES.contains(&plain_unit(second_unit).as_str())
            && extra.is_empty();
        if !is_feet_and_inches {
            return Err(Problem::SeveralUnits);
        }
        Ok(self.scale(joined)?.raw(number) + self.scale(second_unit)?.raw(second_number))
    }

    /// The scale of the typed unit.
    fn scale(&self, unit: &str) -> Result<Scale, Problem> {
        if unit.is_empty() {
            return self.bare_scale.ok_or(Problem::MissingUnit);
        }
        let plain = plain_unit(unit);
        if let Some(scale) = self.known_scale(&plain) {
            return Ok(scale);
        }
        let words: Vec<&str> = plain.split(' ').collect();
        if words.len() > 1 && words.iter().all(|word| self.known_scale(word).is_some()) {
            return Err(Problem::SeveralUnits);
        }
        let names = self
            .units
            .iter()
            .flat_map(|known| known.names.iter().copied());
        let nearest = spelling::nearest(&plain, names);
        Err(Problem::UnknownUnit {
            unit: crate::error::shortened(unit),
            nearest,
        })
    }

    fn known_scale(&self, plain: &str) -> Option<Scale> {
        self.units
            .iter()
            .find(|known| known.names.contains(&plain))
            .map(|known| known.scale)
    }

    fn in_range(&self, raw: f64) -> Result<f64, Problem> {
        if (self.low..=self.high).contains(&raw) {
            // Adding zero turns a typed "-0" into zero, which is shown without a sign.
            return Ok(raw + 0.0);
        }
        Err(Problem::OutOfRange {
            low: self.low,
            high: self.high,
            unit: self.raw_unit,
        })
    }
}

/// Names of the foot, in lower case.
pub(crate) const FEET: &[&str] = &["ft", "'", "foot", "feet"];
/// Names of the inch, in lower case.
pub(crate) const INCHES: &[&str] = &["in", "\"", "inch", "inches"];

/// The text with one plain sign for each of its typographic variants, trimmed.
pub(crate) fn normalised(text: &str) -> Result<String, Problem> {
    if text.chars().count() > TEXT_LIMIT_CHARS {
        return Err(Problem::TooLong {
            limit_chars: TEXT_LIMIT_CHARS,
        });
    }
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match (vulgar_fraction(c), plain_char(c)) {
            (Some(fraction), _) => {
                plain.push(' ');
                plain.push_str(fraction);
            }
            (None, simple) => plain.push(simple),
        }
    }
    let plain = plain.replace("''", "\"");
    let trimmed = plain.trim();
    if trimmed.is_empty() {
        Err(Problem::Empty)
    } else {
        Ok(trimmed.to_owned())
    }
}

/// One plain character for a typographic variant of it.
fn plain_char(c: char) -> char {
    match c {
        c if c.is_whitespace() => ' ',
        '″' | '”' | '“' | '„' | '‟' | '＂' => '"',
        '′' | '’' | '‘' | '‛' | '＇' => '\'',
        '−' | '‐' | '‑' | '–' => '-',
        '⁄' | '∕' => '/',
        'µ' | 'μ' => 'u',
        'º' | '˚' => '°',
        other => other,
    }
}

/// The digits of a fraction that is written as one character.
fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}

/// The sign in front, as a factor, and the text behind it.
fn split_sign(text: &str) -> (f64, &str) {
    if let Some(rest) = text.strip_prefix('-') {
        return (-1.0, rest.trim_start());
    }
    (1.0, text.strip_prefix('+').unwrap_or(text).trim_start())
}

/// The unsigned number at the front, and the trimmed text behind it.
fn leading_number(text: &str) -> Result<(f64, &str), Problem> {
    let (run, rest) = text.split_at(numeric_run_bytes(text));
    let rest = rest.trim();
    let mut run = run.trim();
    if !rest.is_empty() {
        // A hyphen may join number and unit, as in "16-inch".
        run = run.strip_suffix('-').unwrap_or(run).trim_end();
    }
    if !run.contains(|c: char| c.is_ascii_digit()) {
        return Err(without_digits(text));
    }
    Ok((unsigned_number(run)?, rest))
}

/// What to say of a text that starts with no digit.
fn without_digits(text: &str) -> Problem {
    let lower = text.to_lowercase();
    let names_no_number = ["nan", "inf", "infinity", "∞"];
    if names_no_number
        .iter()
        .any(|name| lower.split_whitespace().any(|word| word == *name))
    {
        Problem::NotFinite
    } else {
        Problem::NotANumber
    }
}

/// How many bytes at the front can belong to a number.
fn numeric_run_bytes(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = 0;
    while end < bytes.len() {
        end += match bytes[end] {
            b'0'..=b'9' | b'.' | b',' | b'/' | b' ' | b'-' => 1,
            b'e' | b'E' if end > 0 && !bytes[end - 1].is_ascii_whitespace() => {
                match exponent_bytes(&bytes[end..]) {
                    0 => break,
                    taken => taken,
                }
            }
            _ => break,
        };
    }
    end
}

/// Bytes of an exponent such as `e-5` at the front, or 0.
fn exponent_bytes(bytes: &[u8]) -> usize {
    let signed = usize::from(matches!(bytes.get(1), Some(b'+' | b'-')));
    let digits = bytes
        .iter()
        .skip(1 + signed)
        .take_while(|b| b.is_ascii_digit())
        .count();
    if digits == 0 { 0 } else { 1 + signed + digits }
}

/// The unit at the front, and the text from the next number on.
fn leading_unit(text: &str) -> (&str, &str) {
    let bytes = text.as_bytes();
    let starts_number = |at: usize| {
        bytes[at].is_ascii_digit()
            || (matches!(bytes[at], b'.' | b',')
                && bytes.get(at + 1).is_some_and(u8::is_ascii_digit))
    };
    // Digits and points are ASCII, so the split always falls between characters.
    let end = (0..bytes.len())
        .find(|&at| starts_number(at))
        .unwrap_or(bytes.len());
    let (unit, more) = text.split_at(end);
    (unit.trim(), more)
}

/// A unit's name as it stands in the tables: lower case, single spaces, no full stop.
fn plain_unit(unit: &str) -> String {
    let lower = unit.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    let joined = words.join(" ");
    joined.strip_suffix('.').unwrap_or(&joined).to_owned()
}

/// A decimal, a fraction, or a whole number with a fraction behind it.
fn unsigned_number(run: &str) -> Result<f64, Problem> {
    let Some((front, denominator)) = run.split_once('/') else {
        return decimal(run);
    };
    let front = front.trim();
    let (whole, numerator) = match front.rsplit_once([' ', '-']) {
        Some((whole, numerator)) => (whole.trim_end_matches([' ', '-']), numerator),
        None => ("0", front),
    };
    let denominator = whole_number(denominator.trim())?;
    if denominator == 0.0 {
        return Err(Problem::ZeroDenominator);
    }
    Ok(whole_number(whole)? + whole_number(numerator)? / denominator)
}

fn whole_number(digits: &str) -> Result<f64, Problem> {
    let is_whole = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
    if !is_whole {
        return Err(Problem::NotANumber);
    }
    digits.parse().map_err(|_| Problem::NotANumber)
}

/// A number with an optional decimal point or comma and an optional exponent.
fn decimal(run: &str) -> Result<f64, Problem> {
    let mantissa = run.split(['e', 'E']).next().unwrap_or(run);
    // The sign is already taken off; a second one, or a space, is no part of a number.
    if !mantissa
        .bytes()
        .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','))
    {
        return Err(Problem::NotANumber);
    }
    let separators = mantissa.matches(['.', ',']).count();
    let has_comma = mantissa.contains(',');
    if (separators > 1 && has_comma) || comma_may_part_thousands(mantissa) {
        return Err(Problem::AmbiguousSeparator);
    }
    let value: f64 = run
        .replace(',', ".")
        .parse()
        .map_err(|_| Problem::NotANumber)?;
    if value.is_finite() {
        Ok(value)
    } else {
        Err(Problem::NotFinite)
    }
}

/// Whether a lone comma stands where a separator of thousands would, as in `25,400`.
///
/// Read as decimals it would make a thousandth of what was meant, so it is refused;
/// `0,010` and `406,4` can only be decimals.
fn comma_may_part_thousands(mantissa: &str) -> bool {
    let Some((front, back)) = mantissa.split_once(',') else {
        return false;
    };
    (1..=3).contains(&front.len()) && !front.starts_with('0') && back.len() == 3
}

/// The number with this many decimals, never as a negative zero.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{:.*}", decimals.min(MOST_DECIMALS), value);
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}

/// The shortest text that reads back as exactly this number.
pub(crate) fn shortest(value: f64) -> String {
    let value = value + 0.0;
    let size = value.abs();
    if size == 0.0 || (1e-6..1e15).contains(&size) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

/// The shortest text in a unit of this scale that reads back as the raw value.
///
/// Converting there and back can miss the last bit, so the digits are
/// tried from few to many until the raw value comes back. Where no decimal
/// does that, the converted value is written, which is within 1e-15 of it.
pub(crate) fn shortest_in_unit(raw: f64, scale: Scale) -> String {
    let value = scale.value(raw);
    for digits in 0..17 {
        let rounded: f64 = format!("{value:.digits$e}").parse().unwrap_or(value);
        if scale.raw(rounded) == raw {
            return shortest(rounded);
        }
    }
    shortest(value)
}
