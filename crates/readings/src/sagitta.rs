//! A three-legged dial on a camber: the radius that its reading proves, and how surely.

use crate::propagation::combined;

/// A radius with its standard uncertainty, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadRadius {
    /// The radius.
    pub radius_mm: f64,
    /// Its standard uncertainty (one sigma).
    pub sigma_mm: f64,
}

/// What a dial's reading and its chord are uncertain by (one sigma each), mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DialErrors {
    /// Of the reading.
    pub sagitta_sigma_mm: f64,
    /// Of the chord between the legs.
    pub chord_sigma_mm: f64,
}

/// The radius from a chord `c` and a sagitta `h`: `R = c²/(8h) + h/2`, with its uncertainty by
/// the law of propagation (JCGM 100:2008, eq. 10): `dR/dh = 1 - R/h`, `dR/dc = c/(4h)`.
///
/// Nothing when chord or sagitta is not positive and finite, or when the sagitta is more than
/// half the chord: that is past a half circle.
pub fn radius_from_sagitta(
    chord_mm: f64,
    sagitta_mm: f64,
    errors: DialErrors,
) -> Option<ReadRadius> {
    let sound = chord_mm.is_finite() && chord_mm > 0.0 && sagitta_mm > 0.0;
    if !sound || sagitta_mm > 0.5 * chord_mm {
        return None;
    }
    let radius_mm = chord_mm * chord_mm / (8.0 * sagitta_mm) + 0.5 * sagitta_mm;
    let by_sagitta = 1.0 - radius_mm / sagitta_mm;
    let by_chord = chord_mm / (4.0 * sagitta_mm);
    Some(ReadRadius {
        radius_mm,
        sigma_mm: combined(&[
            (by_sagitta, errors.sagitta_sigma_mm),
            (by_chord, errors.chord_sigma_mm),
        ]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHARP: DialErrors = DialErrors {
        sagitta_sigma_mm: 0.0,
        chord_sigma_mm: 0.0,
    };

    #[test]
    fn the_handbook_example_is_met() {
        let read = radius_from_sagitta(40.0, 0.8, SHARP).expect("is sound");
        assert!((read.radius_mm - 250.4).abs() < 1e-9);
    }

    #[test]
    fn five_microns_are_a_millimetre_of_radius() {
        // Chord 50 mm, sagitta 1.2356 mm: R 253.531 mm, dR/ds -204.19 (closed forms evaluated
        // apart from this project).
        let errors = DialErrors {
            sagitta_sigma_mm: 0.005,
            chord_sigma_mm: 0.0,
        };
        let read = radius_from_sagitta(50.0, 1.2356, errors).expect("is sound");
        assert!((read.radius_mm - 253.531).abs() < 5e-4);
        assert!((read.sigma_mm - 0.005 * 204.19).abs() < 5e-5);
    }

    #[test]
    fn a_published_spherometer_accuracy_is_met() {
        // Amateur telescope-making page: R 10 in, legs on 3.5 in, 0.02 % of R needs the sagitta to
        // 0.00015 in; the exact figure is 0.000135 in.
        let errors = DialErrors {
            sagitta_sigma_mm: 0.000_135,
            chord_sigma_mm: 0.0,
        };
        let read = radius_from_sagitta(7.0, 0.632_503_0, errors).expect("is sound");
        assert!((read.radius_mm - 10.0).abs() < 1e-6);
        assert!((read.sigma_mm / 10.0 - 0.0002).abs() < 0.000_03 * 0.2);
    }

    #[test]
    fn nonsense_is_no_radius() {
        for (chord, sagitta) in [
            (40.0, 0.0),
            (40.0, -1.0),
            (f64::NAN, 1.0),
            (40.0, 21.0),
            (0.0, 0.0),
        ] {
            assert!(radius_from_sagitta(chord, sagitta, SHARP).is_none());
        }
    }
}
