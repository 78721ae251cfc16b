//! Strings at pitch: frequency, weight, tension, stretch, stiffness, strength, and the load that
//! they put on the neck.

use std::f64::consts::PI;

use instrument::scale::ScaleLength;
use instrument::{Instrument, StringSpec};
use quantity::{Length, WeightBasis, string_material, unit_weight};

use crate::stretch::{Carrying, Stretch, carrying, stretch};

/// One string at pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct StringFigures {
    /// Its pitch, as a name.
    pub note: String,
    /// Its frequency, Hz.
    pub frequency_hz: f64,
    /// Its open length, mm: the scale length, or its own lane on a fan.
    pub length_mm: f64,
    /// Its weight per length and where that comes from, when known.
    pub weight: Option<StringWeightFigure>,
    /// Its tension, N, when the weight is known: `T = μ (2 L f)²`.
    pub tension_n: Option<f64>,
    /// How stiffly it stands against stretch, when that is known.
    pub stretch: Option<Stretch>,
    /// Inharmonicity B of the open string between ends that let it turn, when its stretch is
    /// known: partial n sounds at `n f √(1 + B n²)`.
    pub inharmonicity: Option<f64>,
    /// Pull over area of the part that carries, GPa, when both are known: the wire of a plain
    /// string, the core of a wound one.
    pub stress_gpa: Option<f64>,
    /// Tensile strength of that part, GPa, when it is known.
    pub strength_gpa: Option<f64>,
    /// Where the strength comes from.
    pub strength_source: Option<&'static str>,
    /// The stress as a share of the strength, 1 being the breaking string.
    pub share_of_strength: Option<f64>,
}

/// A weight per length with its basis.
#[derive(Clone, Debug, PartialEq)]
pub struct StringWeightFigure {
    /// kg/m.
    pub kg_per_m: f64,
    /// How it was found.
    pub basis: WeightBasis,
    /// Where it comes from.
    pub source: &'static str,
}

/// The strings at pitch, highest first.
pub fn string_figures(instrument: &Instrument) -> Vec<StringFigures> {
    instrument
        .strings
        .iter()
        .enumerate()
        .filter_map(|(index, string)| {
            let length_mm = open_length_mm(instrument, index)?;
            Some(figures(instrument, index, string, length_mm))
        })
        .collect()
}

fn figures(
    instrument: &Instrument,
    index: usize,
    string: &StringSpec,
    length_mm: f64,
) -> StringFigures {
    let frequency_hz = string.note.frequency_hz(instrument.a4_hz);
    let weight = weight(string);
    let kg_per_m = weight.as_ref().map(|weight| weight.kg_per_m);
    let tension_n = kg_per_m.map(|kg_per_m| tension_n(kg_per_m, length_mm, frequency_hz));
    let stretch = stretch(instrument, index, tension_n);
    let strain = strain(string, kg_per_m, tension_n);
    StringFigures {
        note: string.note.to_string(),
        frequency_hz,
        length_mm,
        weight,
        tension_n,
        inharmonicity: stretch
            .as_ref()
            .map(|stretch| stretch.inharmonicity_pinned(length_mm)),
        stretch,
        stress_gpa: strain.stress_gpa,
        strength_gpa: strain.strength.map(|strength| strength.0),
        strength_source: strain.strength.map(|strength| strength.1),
        share_of_strength: strain
            .stress_gpa
            .zip(strain.strength)
            .map(|(stress_gpa, (strength_gpa, _))| stress_gpa / strength_gpa),
    }
}

/// Open length of a string counted from 0, mm: the scale length, or its own lane on a fan.
/// Nothing for a string that the instrument does not have.
pub fn open_length_mm(instrument: &Instrument, string: usize) -> Option<f64> {
    let lane = instrument.lanes.get(string)?;
    Some(match instrument.scale {
        ScaleLength::Single { length_mm } => length_mm,
        ScaleLength::Fanned { .. } => lane.length(),
    })
}

fn weight(string: &StringSpec) -> Option<StringWeightFigure> {
    if let Some(given) = string.unit_weight {
        return Some(StringWeightFigure {
            kg_per_m: given.kg_per_m(),
            basis: WeightBasis::Given,
            source: "given in the commission",
        });
    }
    let (weight, basis, source) = unit_weight(string.make, string.gauge)?;
    Some(StringWeightFigure {
        kg_per_m: weight.kg_per_m(),
        basis,
        source,
    })
}

/// How the part that carries is strained; a strength comes with its source.
struct Strain {
    stress_gpa: Option<f64>,
    strength: Option<(f64, &'static str)>,
}

fn strain(string: &StringSpec, kg_per_m: Option<f64>, tension_n: Option<f64>) -> Strain {
    let part = carrying(string, kg_per_m);
    Strain {
        stress_gpa: part
            .zip(tension_n)
            .map(|(part, tension_n)| tension_n / part.area_mm2() / 1000.0),
        strength: part.and_then(|part| strength(string, part)),
    }
}

fn strength(string: &StringSpec, part: Carrying) -> Option<(f64, &'static str)> {
    let material = string_material(string.make)?;
    let gpa = material.strength_gpa(Length::from_mm(part.diameter_mm))?;
    Some((gpa, material.strength_mpa?.source))
}

/// What the strings together pull on the neck, N; nothing while one of them is not known, and
/// without strings. [`known_tensions`] says how many are.
pub fn neck_load_n(strings: &[StringFigures]) -> Option<f64> {
    let sum = strings.iter().map(|string| string.tension_n).sum();
    if strings.is_empty() { None } else { sum }
}

/// How many of the strings have a known tension.
pub fn known_tensions(strings: &[StringFigures]) -> usize {
    let known = |string: &&StringFigures| string.tension_n.is_some();
    strings.iter().filter(known).count()
}

/// Tension of an ideal string, N: `T = μ (2 L f)²`, for μ in kg/m, L in mm, f in Hz.
pub fn tension_n(kg_per_m: f64, length_mm: f64, frequency_hz: f64) -> f64 {
    let wave_speed = 2.0 * length_mm / 1000.0 * frequency_hz;
    kg_per_m * wave_speed * wave_speed
}

/// Pitch of an ideal string, Hz: `f = √(T/μ)/(2 L)`, for T in N, μ in kg/m, L in mm. The inverse
/// of [`tension_n`].
pub fn pitch_hz(tension_n: f64, kg_per_m: f64, length_mm: f64) -> f64 {
    (tension_n / kg_per_m).sqrt() / (2.0 * length_mm / 1000.0)
}

/// Inharmonicity of a plain round string between ends that let it turn: `B = π³ E d⁴/(64 T L²)`
/// (N. H. Fletcher and T. D. Rossing, "The Physics of Musical Instruments", 2nd edition, 2.18).
/// For E in GPa, d and L in mm, T in N.
pub fn inharmonicity_of_wire(
    modulus_gpa: f64,
    diameter_mm: f64,
    tension_n: f64,
    length_mm: f64,
) -> f64 {
    // GPa is 1000 N/mm², so that all lengths may stay millimetres.
    PI.powi(3) * 1000.0 * modulus_gpa * diameter_mm.powi(4)
        / (64.0 * tension_n * length_mm * length_mm)
}

/// Pitch of a stiff string's partial, Hz: `f_n = n f_1 √(1 + B n²)`, f_1 being the pitch that the
/// string would have without stiffness (Fletcher and Rossing, as above).
pub fn partial_hz(ideal_hz: f64, partial: u32, inharmonicity: f64) -> f64 {
    let n = f64::from(partial);
    n * ideal_hz * (1.0 + inharmonicity * n * n).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_tensions_are_met() {
        // Published unit weights (lb/in), scale 25.5 in, pitch, printed tension in lb, from two
        // copies of a string maker's chart; printed to 0.1 lb.
        let lb_per_in = 17.857_967_3;
        for (weight, frequency, printed_lb) in [
            (0.000_017_94, 329.63, 13.1),
            (0.000_019_99, 329.63, 14.6),
            (0.000_020_24, 329.63, 14.8),
            (0.000_046_79, 329.63, 34.2),
            (0.000_046_79, 246.9, 19.2),
        ] {
            let newtons = tension_n(weight * lb_per_in, 25.5 * 25.4, frequency);
            assert!(
                (newtons / 4.448_221_6 - printed_lb).abs() < 0.05,
                "{weight}"
            );
        }
    }
}
