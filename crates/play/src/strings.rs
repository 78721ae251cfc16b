//! Strings at pitch: frequency, weight, tension, and the load that they put on the neck.

use instrument::Instrument;
use instrument::scale::ScaleLength;
use quantity::{WeightBasis, unit_weight};

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
    let strings = instrument.strings.iter().zip(&instrument.lanes);
    strings
        .map(|(string, lane)| {
            let frequency_hz = string.note.frequency_hz(instrument.a4_hz);
            let length_mm = match instrument.scale {
                ScaleLength::Single { length_mm } => length_mm,
                ScaleLength::Fanned { .. } => lane.length(),
            };
            let weight = match string.unit_weight {
                Some(given) => Some(StringWeightFigure {
                    kg_per_m: given.kg_per_m(),
                    basis: WeightBasis::Given,
                    source: "given in the commission",
                }),
                None => unit_weight(string.make, string.gauge).map(|(weight, basis, source)| {
                    StringWeightFigure {
                        kg_per_m: weight.kg_per_m(),
                        basis,
                        source,
                    }
                }),
            };
            let tension_n = weight
                .as_ref()
                .map(|weight| tension_n(weight.kg_per_m, length_mm, frequency_hz));
            StringFigures {
                note: string.note.to_string(),
                frequency_hz,
                length_mm,
                weight,
                tension_n,
            }
        })
        .collect()
}

/// Tension of an ideal string, N: `T = μ (2 L f)²`, for μ in kg/m, L in mm, f in Hz.
pub fn tension_n(kg_per_m: f64, length_mm: f64, frequency_hz: f64) -> f64 {
    let wave_speed = 2.0 * length_mm / 1000.0 * frequency_hz;
    kg_per_m * wave_speed * wave_speed
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
