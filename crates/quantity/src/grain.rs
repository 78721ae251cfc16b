//! Abrasive grains: how coarse each grade of paper is.

use std::sync::LazyLock;

use crate::csv::{Table, TableFault};
use crate::figure::Figure;
use crate::spelling;

/// A grade of coated abrasive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade {
    /// Its name: `P80` by ISO 6344 and FEPA, `CAMI 80` by ANSI.
    pub name: &'static str,
    /// The mean diameter of its grains in micrometres.
    pub diameter_um: Figure,
    /// The standard that defines it.
    pub standard: &'static str,
    /// How that standard measures the diameter.
    pub size_basis: &'static str,
}

/// Every grade of the table: the P grades from coarse to fine, then the CAMI grades.
pub fn grades() -> &'static [Grade] {
    static GRADES: LazyLock<Vec<Grade>> =
        LazyLock::new(|| read_grades().expect("the built-in table of grains is read by a test"));
    &GRADES
}

/// The grade of this name; a bare number is a P grade.
///
/// ```
/// use quantity::grade;
/// assert_eq!(grade("80").unwrap().name, "P80");
/// assert_eq!(grade("cami 80").unwrap().name, "CAMI 80");
/// ```
pub fn grade(name: &str) -> Option<&'static Grade> {
    let wanted = plain_name(name);
    let with_letter = format!("P{wanted}");
    let is_it = |known: &&Grade| {
        let known_name = plain_name(known.name);
        known_name == wanted || known_name == with_letter
    };
    grades().iter().find(is_it)
}

/// The grade nearest in number, or else in spelling, for a "did you mean".
///
/// ```
/// assert_eq!(quantity::nearest_grade_name("P85"), Some("P80"));
/// ```
pub fn nearest_grade_name(name: &str) -> Option<&'static str> {
    let wanted = plain_name(name);
    let (series, number) = series_and_number(&wanted);
    let Some(number) = number else {
        return spelling::nearest(&wanted, grades().iter().map(|known| known.name));
    };
    let wanted_series = if series.is_empty() { "P" } else { series };
    let mut best: Option<(u32, &'static str)> = None;
    for known in grades() {
        let known_name = plain_name(known.name);
        let (known_series, known_number) = series_and_number(&known_name);
        let difference = known_number.unwrap_or(0).abs_diff(number);
        let is_nearer = best.is_none_or(|(least, _)| difference < least);
        if known_series == wanted_series && is_nearer {
            best = Some((difference, known.name));
        }
    }
    best.map(|(_, name)| name)
}

/// A plain name as its letters and its number, if it has one that a grade can have.
fn series_and_number(plain: &str) -> (&str, Option<u32>) {
    let digits_at = plain
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(plain.len());
    let (series, digits) = plain.split_at(digits_at);
    (series, digits.parse().ok())
}

fn plain_name(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_uppercase)
        .collect()
}

fn read_grades() -> Result<Vec<Grade>, TableFault> {
    let table = Table::read(include_str!("../data/grains.csv"))?;
    let mut grades = Vec::new();
    for row in table.rows() {
        grades.push(Grade {
            name: row.text("name")?,
            diameter_um: Figure {
                value: row.number("diameter_um")?,
                low: row.optional_number("low_um")?,
                high: row.optional_number("high_um")?,
                source: row.text("source")?,
                mark: row.mark("mark")?,
            },
            standard: row.text("standard")?,
            size_basis: row.text("size_basis")?,
        });
    }
    Ok(grades)
}
