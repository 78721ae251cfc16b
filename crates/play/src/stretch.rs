//! How stiffly a string stands against being stretched: what bends, tuning and stiffness ask of it.
//!
//! Letters as in M. B. Anderson and R. G. Beausoleil, "Classical guitar intonation and
//! compensation: The well-tempered guitar", J. Acoust. Soc. Am. 156, 683 (2024).

use std::f64::consts::PI;

use instrument::{Drawn, DrawnReading, Instrument, StringSpec};
use quantity::{Figure, Make, StringMaterial, string_material};

use crate::strings::open_length_mm;

/// What a measured stretch names as its source.
const MEASURED_SOURCE: &str = "measured: pitch read while the string was drawn";
/// A nylon string heavier than this for its outer diameter is wound, kg/m³: over plain nylon
/// and fluorocarbon (1070 and 1780, from memory), under any string wound with metal.
const MOST_SOLID_KG_PER_M3: f64 = 2000.0;

/// A string's stiffness against stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Stiffness against stretch over pull, EA/T, a plain number: κ of equations 22 and 23.
    pub kappa: f64,
    /// The standard uncertainty of κ: of the measurement, of the rule for cores, or of the
    /// make's usual value; nothing when it was computed from a known wire, or from two readings
    /// without spread.
    pub sigma: Option<f64>,
    /// Radius of the part that bends, mm: the outer radius of a plain or nylon string, the
    /// core's of a wound steel string. Of another make it is the core's when that is given,
    /// otherwise the outer one, which is the most that it can be.
    pub bending_radius_mm: f64,
    /// How κ was found.
    pub basis: StretchBasis,
    /// Where it comes from.
    pub source: &'static str,
}

/// How a string's stretch was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StretchBasis {
    /// From the string's own readings, drawn through the nut.
    Measured,
    /// Computed from the area of plain steel wire.
    PlainWire,
    /// Computed from the area of a wound string's core.
    Core(CoreBasis),
    /// The usual value of strings of this make.
    Make,
}

/// Where a core's diameter comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreBasis {
    /// Given in the commission.
    Given,
    /// By a rule from the gauge, uncertain by an eighth: about a quarter in κ.
    ByRule,
}

impl Stretch {
    /// Stiffness against stretch EA, N, of a string that pulls so many newtons.
    pub fn stiffness_n(&self, tension_n: f64) -> f64 {
        self.kappa * tension_n
    }

    /// Inharmonicity of a string of this sounding length with one end clamped on its fret:
    /// `B0 = √κ r/(2 L)`, equation 39. By so large a share the clamped end sharpens it.
    pub fn inharmonicity_clamped(&self, length_mm: f64) -> f64 {
        self.kappa.sqrt() * self.bending_radius_mm / (2.0 * length_mm)
    }

    /// Inharmonicity of a string of this sounding length between ends that let it turn:
    /// `B = π² EI/(T L²) = π² κ r²/(4 L²)`, with which partial n sounds at
    /// [`partial_hz`](crate::strings::partial_hz).
    pub fn inharmonicity_pinned(&self, length_mm: f64) -> f64 {
        // E I = E A r²/4 for a round section, and E A = κ T.
        let turn = PI * self.bending_radius_mm / (2.0 * length_mm);
        self.kappa * turn * turn
    }
}

/// How stiffly a string of the instrument, counted from 0, stands against stretch.
///
/// Its own readings come first; then the wire's or the core's area at this tension; then the
/// usual value of its make. Nothing is returned for another make that was not measured, for
/// steel without a tension, and for readings that do not rise as the string is drawn.
pub fn stretch(instrument: &Instrument, string: usize, tension_n: Option<f64>) -> Option<Stretch> {
    let spec = instrument.strings.get(string)?;
    let material = string_material(spec.make)?;
    if let Some(drawn) = &spec.drawn {
        return measured(instrument, string, spec, drawn);
    }
    match spec.make {
        Make::PlainSteel | Make::NickelWound | Make::PhosphorBronzeWound | Make::BrassWound => {
            steel(spec, material, tension_n?)
        }
        Make::Nylon => material.stretch.map(|usual| Stretch {
            kappa: usual.value,
            sigma: spread(usual),
            bending_radius_mm: spec.gauge.mm() / 2.0,
            basis: StretchBasis::Make,
            source: usual.source,
        }),
        Make::Other => None,
    }
}

fn measured(
    instrument: &Instrument,
    string: usize,
    spec: &StringSpec,
    drawn: &Drawn,
) -> Option<Stretch> {
    let cents = instrument.tuning.cents(drawn.mark_at_fret);
    let mark_from_saddle_mm = open_length_mm(instrument, string)? * (-cents / 1200.0).exp2();
    let open_hz = spec.note.frequency_hz(instrument.a4_hz);
    let rise = rise_of(drawn, mark_from_saddle_mm, open_hz)?;
    let radius_mm = match (spec.make, carrying(spec, None)) {
        (Make::Nylon, _) => spec.gauge.mm() / 2.0,
        (Make::Other, _) => spec.core.unwrap_or(spec.gauge).mm() / 2.0,
        (_, part) => part?.diameter_mm / 2.0,
    };
    Some(Stretch {
        kappa: 2.0 * rise.r + 1.0,
        sigma: rise.sigma.map(|sigma| 2.0 * sigma),
        bending_radius_mm: radius_mm,
        basis: StretchBasis::Measured,
        source: MEASURED_SOURCE,
    })
}

/// Steel of a known modulus: `κ = E A/T` of the wire or the core.
fn steel(spec: &StringSpec, material: &StringMaterial, tension_n: f64) -> Option<Stretch> {
    let modulus = material.modulus_gpa?;
    let part = carrying(spec, None)?;
    let kappa = modulus.value * 1000.0 * part.area_mm2() / tension_n;
    let (basis, source, sigma) = match part.core {
        None => (StretchBasis::PlainWire, modulus.source, None),
        Some(CoreBasis::Given) => (StretchBasis::Core(CoreBasis::Given), modulus.source, None),
        Some(CoreBasis::ByRule) => {
            let core = material.core_mm?;
            // The area goes with the square of the diameter.
            let sigma = spread(core).map(|spread| 2.0 * spread / core.value * kappa);
            (StretchBasis::Core(CoreBasis::ByRule), core.source, sigma)
        }
    };
    (kappa.is_finite() && kappa > 0.0).then_some(Stretch {
        kappa,
        sigma,
        bending_radius_mm: part.diameter_mm / 2.0,
        basis,
        source,
    })
}

/// Standard uncertainty of a figure that may lie anywhere in its range: the width over √12
/// (JCGM 100:2008, 4.3.7).
fn spread(figure: Figure) -> Option<f64> {
    let (low, high) = figure.low.zip(figure.high)?;
    Some((high - low) / 12_f64.sqrt())
}

/// How a string's pitch rises when it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rise {
    /// `R = (L/f) df/dL`, equation 34: percent of pitch for each percent of stretch.
    pub r: f64,
    /// Its standard uncertainty; nothing from two readings without spread.
    pub sigma: Option<f64>,
}

/// The rise of a drawn string: the slope of the best straight line of pitch against the mark's
/// way, times the mark's distance from the saddle, over the pitch of the open string.
///
/// When every reading has its spread, readings count by it, and more than two of them scale the
/// uncertainty by how far they scatter; otherwise all count alike. κ is `2 R + 1` (equation 35).
/// Nothing when fewer than two different lengths were read, or when the pitch does not rise.
///
/// Units: mm and Hz.
pub fn rise_of(drawn: &Drawn, mark_from_saddle_mm: f64, open_hz: f64) -> Option<Rise> {
    let (slope, sigma) = slope(&drawn.readings)?;
    let scale = mark_from_saddle_mm / open_hz;
    let r = slope * scale;
    (r.is_finite() && r > 0.0).then_some(Rise {
        r,
        sigma: sigma.map(|sigma| sigma * scale),
    })
}

/// The weighted best line's slope, Hz/mm, with its standard uncertainty.
fn slope(readings: &[DrawnReading]) -> Option<(f64, Option<f64>)> {
    let known = readings.iter().all(|reading| reading.spread_hz.is_some());
    let weight = |reading: &DrawnReading| match reading.spread_hz {
        Some(spread_hz) if known => 1.0 / (spread_hz * spread_hz),
        _ => 1.0,
    };
    let sum = |of: &dyn Fn(&DrawnReading) -> f64| -> f64 {
        readings
            .iter()
            .map(|reading| weight(reading) * of(reading))
            .sum()
    };
    let total = sum(&|_| 1.0);
    let mean_mm = sum(&|reading| reading.length_mm) / total;
    let mean_hz = sum(&|reading| reading.hertz) / total;
    let squares = sum(&|reading| (reading.length_mm - mean_mm).powi(2));
    let slope = sum(&|reading| (reading.length_mm - mean_mm) * (reading.hertz - mean_hz)) / squares;
    let left =
        sum(&|reading| (reading.hertz - mean_hz - slope * (reading.length_mm - mean_mm)).powi(2));
    let variance = match readings.len() {
        0..=1 => return None,
        2 if known => Some(1.0 / squares),
        2 => None,
        count => Some(left / (count as f64 - 2.0) / squares),
    };
    (squares > 0.0 && slope.is_finite()).then(|| (slope, variance.map(f64::sqrt)))
}

/// The part of a string that carries its tension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Carrying {
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// The most that its diameter may be, mm.
    pub thickest_mm: f64,
    /// Where a core's diameter comes from; nothing when the whole string carries.
    pub core: Option<CoreBasis>,
}

impl Carrying {
    /// Its area, mm².
    pub fn area_mm2(self) -> f64 {
        PI * self.diameter_mm * self.diameter_mm / 4.0
    }

    fn known(diameter_mm: f64, core: Option<CoreBasis>) -> Self {
        Self {
            diameter_mm,
            thickest_mm: diameter_mm,
            core,
        }
    }
}

/// What carries: the whole of a plain string, the core of a wound one. Nothing for another make,
/// and for wound nylon whose core is not given.
pub(crate) fn carrying(spec: &StringSpec, kg_per_m: Option<f64>) -> Option<Carrying> {
    let given = spec
        .core
        .map(|core| Carrying::known(core.mm(), Some(CoreBasis::Given)));
    match spec.make {
        Make::PlainSteel => Some(Carrying::known(spec.gauge.mm(), None)),
        Make::NickelWound | Make::PhosphorBronzeWound | Make::BrassWound => given.or_else(|| {
            let rule = string_material(spec.make)?.core_by_rule(spec.gauge)?;
            Some(Carrying {
                diameter_mm: rule.likely.mm(),
                thickest_mm: rule.thickest.mm(),
                core: Some(CoreBasis::ByRule),
            })
        }),
        Make::Nylon => given.or_else(|| {
            let whole = Carrying::known(spec.gauge.mm(), None);
            // g/m over mm² is g/cm³.
            let density_kg_per_m3 = kg_per_m? * 1e6 / whole.area_mm2();
            (density_kg_per_m3 <= MOST_SOLID_KG_PER_M3).then_some(whole)
        }),
        Make::Other => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(readings: &[(f64, f64, Option<f64>)]) -> Drawn {
        let reading = |&(length_mm, hertz, spread_hz)| DrawnReading {
            length_mm,
            hertz,
            spread_hz,
        };
        Drawn {
            mark_at_fret: 1,
            readings: readings.iter().map(reading).collect(),
        }
    }

    #[test]
    fn a_tone_for_three_millimetres_is_a_rise_of_25() {
        // Anderson & Beausoleil 2024: a full tone for about 3 mm of 650 mm, so R is about 25.
        let tone = 110.0 * 2_f64.powf(2.0 / 12.0);
        let rise = rise_of(
            &drawn(&[(0.0, 110.0, None), (3.0, tone, None)]),
            650.0,
            110.0,
        );
        let rise = rise.expect("it rises");
        assert!((rise.r - 25.0).abs() < 2.0, "{rise:?}");
        assert_eq!(rise.sigma, None);
    }

    #[test]
    fn two_readings_with_spreads_have_that_uncertainty() {
        // Derived: the slope of two readings, each uncertain by s, is uncertain by √2 s/Δ.
        let both = drawn(&[(0.0, 100.0, Some(0.3)), (2.0, 104.0, Some(0.3))]);
        let sigma = rise_of(&both, 600.0, 100.0).and_then(|rise| rise.sigma);
        let expected = 2_f64.sqrt() * 0.3 / 2.0 * 6.0;
        assert!((sigma.expect("known") - expected).abs() < 1e-12);
    }

    #[test]
    fn one_missing_spread_makes_all_count_alike() {
        let mixed = drawn(&[
            (0.0, 100.0, Some(0.001)),
            (1.0, 103.0, None),
            (2.0, 104.0, None),
        ]);
        let plain = drawn(&[(0.0, 100.0, None), (1.0, 103.0, None), (2.0, 104.0, None)]);
        assert_eq!(rise_of(&mixed, 600.0, 100.0), rise_of(&plain, 600.0, 100.0));
    }

    #[test]
    fn readings_that_tell_nothing_give_nothing() {
        for readings in [
            &[][..],
            &[(0.0, 100.0, None)],
            &[(1.0, 100.0, None), (1.0, 101.0, None)],
            &[(0.0, 100.0, None), (1.0, 99.0, None)],
            &[(0.0, 100.0, None), (1.0, f64::NAN, None)],
            &[(0.0, 100.0, Some(0.0)), (1.0, 101.0, Some(0.0))],
        ] {
            assert_eq!(
                rise_of(&drawn(readings), 600.0, 100.0),
                None,
                "{readings:?}"
            );
        }
    }
}
