//! What strings weigh: published unit weights by make and gauge, and what lies between.

use std::f64::consts::PI;
use std::fmt;
use std::sync::LazyLock;

use crate::csv::{Table, TableFault};
use crate::density::LinearDensity;
use crate::error::{Problem, Quantity, QuantityError};
use crate::figure::Mark;
use crate::length::Length;
use crate::spelling;

/// Density of plain steel for gauges not in the table, in kg/m3; the usual value for
/// carbon steel, common practice, no source. The published plain strings imply 7806.
const PLAIN_STEEL_KG_PER_M3: f64 = 7850.0;

/// The source shown beside a computed unit weight.
const COMPUTED_SOURCE: &str = "computed from the area of the wire and 7850 kg/m3";

/// Two gauges closer than this are the same gauge, in mm: half of the last digit of a
/// gauge converted to three decimals of a millimetre.
const SAME_GAUGE_MM: f64 = 0.0005;

/// The thickest plain wire a weight is computed for, in mm; thicker is no string.
const THICKEST_PLAIN_MM: f64 = 5.0;

/// What a string is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Make {
    /// Plain steel wire.
    PlainSteel,
    /// Steel core, wound with nickel or nickel-plated steel.
    NickelWound,
    /// Steel core, wound with phosphor bronze.
    PhosphorBronzeWound,
    /// Steel core, wound with brass of 80 % copper and 20 % zinc, "80/20 bronze".
    BrassWound,
    /// Plain nylon.
    Nylon,
    /// Anything else, of which no table is kept.
    Other,
}

/// The texts each make is read from; the first is the one written.
const MAKE_NAMES: &[(Make, &[&str])] = &[
    (Make::PlainSteel, &["plain steel", "plain", "steel"]),
    (
        Make::NickelWound,
        &[
            "nickel wound",
            "nickel-plated steel wound",
            "nickel",
            "nickel plated steel wound",
        ],
    ),
    (
        Make::PhosphorBronzeWound,
        &["phosphor bronze wound", "phosphor bronze"],
    ),
    (
        Make::BrassWound,
        &[
            "80/20 bronze wound",
            "brass wound",
            "80/20 brass wound",
            "80/20 bronze",
        ],
    ),
    (
        Make::Nylon,
        &[
            "nylon",
            "plain nylon",
            "nylon plain",
            "nylon plain (classical)",
        ],
    ),
    (Make::Other, &["other"]),
];

impl Make {
    /// Reads a make, in any case of letters.
    ///
    /// # Errors
    /// Refuses an unknown make and names the one spelled most like it; a make of which no
    /// table is kept is typed as `other`.
    pub fn parse(text: &str) -> Result<Make, QuantityError> {
        let lower = text.to_lowercase();
        let plain = lower.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some((make, _)) = MAKE_NAMES
            .iter()
            .find(|(_, names)| names.contains(&plain.as_str()))
        {
            return Ok(*make);
        }
        let known = MAKE_NAMES
            .iter()
            .flat_map(|(_, names)| names.iter().copied());
        let problem = if plain.is_empty() {
            Problem::Empty
        } else {
            Problem::UnknownName {
                nearest: spelling::nearest(&plain, known),
            }
        };
        Err(QuantityError::new(text, Quantity::StringMake, problem))
    }

    /// The make in words, as [`Make::parse`] reads it.
    pub fn name(self) -> &'static str {
        match self {
            Make::PlainSteel => "plain steel",
            Make::NickelWound => "nickel wound",
            Make::PhosphorBronzeWound => "phosphor bronze wound",
            Make::BrassWound => "80/20 bronze wound",
            Make::Nylon => "nylon",
            Make::Other => "other",
        }
    }
}

impl fmt::Display for Make {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A published unit weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringWeight {
    /// What the string is made of.
    pub make: Make,
    /// Its diameter in mm.
    pub gauge_mm: f64,
    /// Its mass in kg for each metre.
    pub weight_kg_per_m: f64,
    /// Where the weight comes from.
    pub source: &'static str,
    /// How it was got.
    pub mark: Mark,
}

/// How a unit weight was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WeightBasis {
    /// Published for this make and gauge.
    Published,
    /// Computed from the area of plain steel wire and 7850 kg/m3.
    Computed,
    /// Between two published gauges of the make, along a power law.
    Interpolated,
    /// Given by the maker; never returned by [`unit_weight`].
    Given,
}

/// Every published unit weight, by make and rising gauge.
pub fn string_weights() -> &'static [StringWeight] {
    static WEIGHTS: LazyLock<Vec<StringWeight>> =
        LazyLock::new(|| read_weights().expect("the built-in table of strings is read by a test"));
    &WEIGHTS
}

/// The unit weight of a string, how it was found, and its source.
///
/// Plain steel between or beyond the published gauges is computed, about 0.6 % above the
/// published trend. Other makes are interpolated between two published neighbours.
///
/// Accuracy: as published, to its last digit; an interpolated weight is within 2 %, tested
/// by foretelling each published weight from its two neighbours.
///
/// Valid range: plain steel to 5 mm; other makes only within their published gauges.
/// Outside, and for [`Make::Other`], nothing is returned: a guess would pass for a fact.
///
/// ```
/// use quantity::{Length, Make, WeightBasis, unit_weight};
/// let (weight, basis, _) = unit_weight(Make::PlainSteel, Length::from_inches(0.010)).unwrap();
/// assert_eq!(basis, WeightBasis::Published);
/// assert!((weight.kg_per_m() - 0.0003956).abs() < 1e-7);
/// assert!(unit_weight(Make::NickelWound, Length::from_inches(0.150)).is_none());
/// ```
pub fn unit_weight(
    make: Make,
    gauge: Length,
) -> Option<(LinearDensity, WeightBasis, &'static str)> {
    let gauge_mm = gauge.mm();
    let of_make = || {
        string_weights()
            .iter()
            .filter(move |string| string.make == make)
    };
    let is_same = |string: &&StringWeight| (string.gauge_mm - gauge_mm).abs() <= SAME_GAUGE_MM;
    if let Some(found) = of_make().find(is_same) {
        let weight = LinearDensity::from_kg_per_m(found.weight_kg_per_m);
        return Some((weight, WeightBasis::Published, found.source));
    }
    if make == Make::PlainSteel {
        return plain_steel_weight(gauge_mm)
            .map(|weight| (weight, WeightBasis::Computed, COMPUTED_SOURCE));
    }
    let thinner = of_make()
        .take_while(|string| string.gauge_mm < gauge_mm)
        .last()?;
    let thicker = of_make().find(|string| string.gauge_mm > gauge_mm)?;
    Some((
        between(thinner, thicker, gauge_mm),
        WeightBasis::Interpolated,
        thinner.source,
    ))
}

/// The weight of plain steel wire: density times the area of a circle.
fn plain_steel_weight(gauge_mm: f64) -> Option<LinearDensity> {
    let is_wire = gauge_mm > 0.0 && gauge_mm <= THICKEST_PLAIN_MM;
    let gauge_m = gauge_mm / 1000.0;
    let weight_kg_per_m = PLAIN_STEEL_KG_PER_M3 * PI * gauge_m * gauge_m / 4.0;
    is_wire.then(|| LinearDensity::from_kg_per_m(weight_kg_per_m))
}

/// The weight at a gauge between two published ones, straight in logarithms of both:
/// weight goes nearly with the square of the gauge, which is a straight line there.
fn between(thinner: &StringWeight, thicker: &StringWeight, gauge_mm: f64) -> LinearDensity {
    let part = (gauge_mm / thinner.gauge_mm).ln() / (thicker.gauge_mm / thinner.gauge_mm).ln();
    let ratio = thicker.weight_kg_per_m / thinner.weight_kg_per_m;
    LinearDensity::from_kg_per_m(thinner.weight_kg_per_m * ratio.powf(part))
}

/// The table keeps inches and pounds per inch, as published, so no digit is lost.
fn read_weights() -> Result<Vec<StringWeight>, TableFault> {
    let table = Table::read(include_str!("../data/string_unit_weights.csv"))?;
    let mut weights = Vec::new();
    for row in table.rows() {
        let make = Make::parse(row.text("make")?).map_err(|error| row.fault(error.to_string()))?;
        let lb_per_in = row.number("weight_lb_per_in")?;
        weights.push(StringWeight {
            make,
            gauge_mm: Length::from_inches(row.number("gauge_in")?).mm(),
            weight_kg_per_m: LinearDensity::from_lb_per_in(lb_per_in).kg_per_m(),
            source: row.text("source")?,
            mark: row.mark("mark")?,
        });
    }
    Ok(weights)
}
