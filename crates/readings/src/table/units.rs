//! Lengths in cells: the unit that a head states, and numbers cut out of bytes.

use std::borrow::Cow;

use quantity::parse_length;

use crate::place::problem_words;

/// The greatest length that is read either way, mm: the limit of [`parse_length`].
const MOST_MM: f64 = 1e6;

/// What parts decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Decimal {
    /// A point alone.
    Point,
    /// A point or a comma.
    PointOrComma,
}

/// The unit of a column's bare numbers.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Unit {
    name: String,
    /// Multiplied by first.
    times: f64,
    /// Divided by then: 25.4 and 0.001 have no exact double, 254/10 and 1/1000 do.
    per: f64,
}

impl Unit {
    /// The unit of that name, as [`parse_length`] knows it; nothing when it does not.
    pub fn named(word: &str) -> Option<Unit> {
        let word = word.trim();
        let is_word = !word.is_empty() && !word.chars().any(|c| c.is_numeric() || c == '/');
        let one_mm = is_word
            .then(|| parse_length(&format!("1 {word}")).ok())??
            .mm();
        let exact = |per: &f64| (one_mm * per).round() / per == one_mm;
        let per = [1.0, 10.0, 1e3, 1e4].into_iter().find(exact)?;
        Some(Unit {
            name: word.to_owned(),
            times: (one_mm * per).round(),
            per,
        })
    }

    /// So many of the unit in mm.
    pub fn mm(&self, value: f64) -> f64 {
        value * self.times / self.per
    }
}

/// A length in mm, and whether it stood without a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CellLength {
    pub mm: f64,
    pub bare: bool,
}

/// The length in a cell: with a unit of its own, or in the column's, or in millimetres.
///
/// # Errors
/// What is wrong with the cell, in words.
pub(super) fn cell_length(
    cell: &str,
    unit: Option<&Unit>,
    decimal: Decimal,
) -> Result<CellLength, String> {
    if let Some(number) = plain_number(cell.as_bytes(), decimal) {
        let mm = unit.map_or(number, |unit| unit.mm(number));
        if mm.abs() <= MOST_MM {
            return Ok(CellLength { mm, bare: true });
        }
    }
    let bare = cell
        .trim_end()
        .ends_with(|c: char| c.is_numeric() || matches!(c, '.' | ','));
    let mut text = with_point(cell, decimal);
    if let (true, Some(unit)) = (bare, unit) {
        text = Cow::Owned(format!("{text} {}", unit.name));
    }
    match parse_length(&text) {
        Ok(length) => Ok(CellLength {
            mm: length.mm(),
            bare,
        }),
        Err(error) => Err(problem_words(&error)),
    }
}

/// The cell with a point for its only comma, where a comma can only part decimals.
fn with_point(cell: &str, decimal: Decimal) -> Cow<'_, str> {
    let commas = cell.bytes().filter(|byte| *byte == b',').take(2).count();
    match decimal {
        Decimal::PointOrComma if commas == 1 && !cell.contains('.') => {
            Cow::Owned(cell.replace(',', "."))
        }
        _ => Cow::Borrowed(cell),
    }
}

/// The number that the whole text is; nothing when it is anything else, or not finite.
pub(super) fn plain_number(bytes: &[u8], decimal: Decimal) -> Option<f64> {
    let (number, length) = leading_number(bytes, decimal)?;
    (length == bytes.len()).then_some(number)
}

/// The decimal number at the front, rounded to the nearest double, and its length in bytes.
///
/// Up to 15 digits and ten to the 22nd are exact doubles, so one division or product rounds
/// once and right (W. D. Clinger, "How to read floating point numbers accurately", Proc. ACM
/// PLDI 1990, doi 10.1145/93542.93557); the rest is the standard library's.
pub(super) fn leading_number(bytes: &[u8], decimal: Decimal) -> Option<(f64, usize)> {
    let scanned = Scanned::of(bytes, decimal)?;
    let number = match scanned.exact() {
        Some(number) => number,
        None => long_number(&bytes[..scanned.length])?,
    };
    Some((number, scanned.length))
}

/// A number cut into its parts.
struct Scanned {
    negative: bool,
    /// All digits as one whole number; right only up to [`Scanned::MOST_DIGITS`].
    digits: u64,
    digit_count: usize,
    /// The power of ten by which the digits are taken.
    power: i32,
    length: usize,
}

impl Scanned {
    /// More digits may not be one exact double.
    const MOST_DIGITS: usize = 15;

    fn of(bytes: &[u8], decimal: Decimal) -> Option<Scanned> {
        let signed = matches!(bytes.first(), Some(b'+' | b'-'));
        let mut found = Scanned {
            negative: bytes.first() == Some(&b'-'),
            digits: 0,
            digit_count: 0,
            power: 0,
            length: usize::from(signed),
        };
        found.take_digits(bytes);
        let whole_digits = found.digit_count;
        let parts = match bytes.get(found.length) {
            Some(b'.') => true,
            Some(b',') => decimal == Decimal::PointOrComma,
            _ => false,
        };
        if parts {
            found.length += 1;
            found.take_digits(bytes);
        }
        if found.digit_count == 0 {
            return None;
        }
        let fraction_digits = (found.digit_count - whole_digits).min(10_000);
        found.take_exponent(bytes);
        found.power -= fraction_digits as i32;
        Some(found)
    }

    fn take_digits(&mut self, bytes: &[u8]) {
        while let Some(digit) = bytes.get(self.length).filter(|byte| byte.is_ascii_digit()) {
            let digit = u64::from(digit - b'0');
            self.digits = self.digits.wrapping_mul(10).wrapping_add(digit);
            self.digit_count += 1;
            self.length += 1;
        }
    }

    fn take_exponent(&mut self, bytes: &[u8]) {
        if !matches!(bytes.get(self.length), Some(b'e' | b'E')) {
            return;
        }
        let sign = bytes.get(self.length + 1);
        let from = self.length + 1 + usize::from(matches!(sign, Some(b'+' | b'-')));
        let digits = bytes.get(from..).unwrap_or(&[]);
        let count = digits.iter().take_while(|b| b.is_ascii_digit()).count();
        if count == 0 {
            return;
        }
        let read = |power: i32, byte: &u8| power.saturating_mul(10) + i32::from(byte - b'0');
        // Far beyond any double, and far from where a sum overflows.
        let size = digits[..count.min(6)].iter().fold(0, read);
        self.power = if sign == Some(&b'-') { -size } else { size };
        if count > 6 {
            self.digit_count = usize::MAX;
        }
        self.length = from + count;
    }

    fn exact(&self) -> Option<f64> {
        const TENS: [f64; 23] = [
            1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
            1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
        ];
        if self.digit_count > Self::MOST_DIGITS {
            return None;
        }
        let tens = *TENS.get(self.power.unsigned_abs() as usize)?;
        let digits = self.digits as f64;
        let size = if self.power < 0 {
            digits / tens
        } else {
            digits * tens
        };
        Some(if self.negative { -size } else { size })
    }
}

/// A number too long for one rounding; nothing when it is past the greatest double.
fn long_number(bytes: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(bytes).ok()?;
    let number: f64 = text.replace(',', ".").parse().ok()?;
    number.is_finite().then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_those_of_the_standard_library() {
        let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
        let mut next = || {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            seed
        };
        for _ in 0..20_000 {
            let (digits, places) = (next() >> (next() % 60), (next() % 22) as i32);
            let text = match next() % 3 {
                0 => format!("{}.{:0>4}", digits >> 20, digits % 10_000),
                1 => format!("-{digits}e-{places}"),
                _ => format!("+{digits}E{places}"),
            };
            let ours = plain_number(text.as_bytes(), Decimal::Point);
            assert_eq!(ours, text.parse().ok(), "{text}");
        }
    }

    #[test]
    fn odd_numbers_are_read_or_left() {
        for (text, expected) in [
            (".5", Some(0.5)),
            ("5.", Some(5.0)),
            ("-0,25", Some(-0.25)),
            ("1e400", None),
            ("1e-9999999", Some(0.0)),
            ("1e", None),
            ("1e+", None),
            ("", None),
            ("-", None),
            (".", None),
            ("nan", None),
            ("inf", None),
            ("1.2.3", None),
            ("1,000.5", None),
            ("0.1000000000000000055511151231257827", Some(0.1)),
        ] {
            let ours = plain_number(text.as_bytes(), Decimal::PointOrComma);
            assert_eq!(ours, expected, "{text}");
        }
        assert_eq!(plain_number(b"0,5", Decimal::Point), None);
    }

    fn length(cell: &str, unit: &str, decimal: Decimal) -> Result<f64, String> {
        cell_length(cell, Unit::named(unit).as_ref(), decimal).map(|length| length.mm)
    }

    #[test]
    fn a_cell_has_its_own_unit_or_the_columns() {
        let comma = Decimal::PointOrComma;
        for (cell, unit, mm) in [
            ("25.5", "in", 647.7),
            ("-12", "thou", -0.3048),
            ("1,125", "", 1.125),
            ("1,125 in", "mm", 28.575),
            ("0.010\"", "mm", 0.254),
            ("½", "in", 12.7),
            ("1 1/2", "inches", 38.1),
            ("−3", "µm", -0.003),
        ] {
            assert_eq!(length(cell, unit, comma), Ok(mm), "{cell} {unit}");
        }
        let words = length("NaN", "", comma).unwrap_err();
        assert_eq!(words, "length \"NaN\" is not a finite number");
        assert!(length("1,125", "", Decimal::Point).is_err());
        assert!(length("1e7", "", comma).is_err());
    }

    #[test]
    fn words_that_are_no_units_are_known_for_that() {
        for word in ["", "up", "5", "mm 3 in", "mm in", "1/mm"] {
            assert_eq!(Unit::named(word), None, "{word}");
        }
    }
}
