//! What a ball leaves between two passes.
//!
//! References: on a flat by Pythagoras, `h = r - sqrt(r² - s²/4)`, as machining handbooks have it;
//! on a convex cylinder derived: two balls that touch it s apart along the arc meet at
//! `(R + r) cos(s/2R) - sqrt(r² - (R + r)² sin²(s/2R))` from its axis.

/// The height that a ball of radius `r` leaves between passes `step` apart on a flat, mm. Steps
/// of the ball's diameter and more leave all of it.
pub fn flat_scallop_mm(r: f64, step: f64) -> f64 {
    let half = 0.5 * step;
    if half >= r {
        return r;
    }
    // r - sqrt(r² - half²), written to keep its digits where it is small.
    half * half / (r + (r * r - half * half).sqrt())
}

/// The step that leaves a scallop of height `h` on a flat, mm: `2 sqrt(r² - (r - h)²)`.
pub fn flat_step_mm(r: f64, h: f64) -> f64 {
    let h = h.clamp(0.0, r);
    2.0 * (h * (2.0 * r - h)).sqrt()
}

/// The height that a ball of radius `r` leaves between passes `step` apart along the arc of a
/// convex cylinder of radius `big`, mm, measured square to it.
pub fn convex_scallop_mm(big: f64, r: f64, step: f64) -> f64 {
    if big.is_infinite() {
        return flat_scallop_mm(r, step);
    }
    // With u = (R + r) sin(φ/2) the height is the flat one of 2u, less the chord's sagitta.
    let half = 0.5 * step / big;
    let aside = (big + r) * half.sin();
    let sagitta = 2.0 * (big + r) * (0.5 * half).sin().powi(2);
    flat_scallop_mm(r, 2.0 * aside) - sagitta
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published examples, each to its last digit: machinecalcs.com (6 mm), calcady.com (inches).
    #[test]
    fn published_examples_come_out() {
        assert!((flat_scallop_mm(3.0, 0.5) - 0.010_43).abs() < 5e-6);
        assert!((flat_step_mm(3.0, 0.005) - 0.346).abs() < 5e-4);
        assert!((flat_scallop_mm(0.125, 0.020) - 0.000_402).abs() < 2e-6);
        assert!((flat_scallop_mm(0.25, 0.05) - 0.001_253).abs() < 5e-7);
    }

    #[test]
    fn a_cylinder_tends_to_the_flat() {
        let flat = flat_scallop_mm(3.0, 0.5);
        let mut last = f64::INFINITY;
        for exponent in 2..9 {
            let off = (convex_scallop_mm(10f64.powi(exponent), 3.0, 0.5) - flat).abs();
            assert!(off < 0.11 * last || off < 1e-10);
            last = off;
        }
        assert_eq!(convex_scallop_mm(f64::INFINITY, 3.0, 0.5), flat);
        // The formula as it stands in a textbook's letters.
        let (big, r, phi): (f64, f64, f64) = (250.0, 3.0, 0.5 / 250.0);
        let (c, s) = ((0.5 * phi).cos(), (0.5 * phi).sin());
        let plain = (big + r) * c - (r * r - (big + r).powi(2) * s * s).sqrt() - big;
        assert!((convex_scallop_mm(big, r, 0.5) - plain).abs() < 1e-11);
    }

    #[test]
    fn step_and_height_are_inverse() {
        for r in [0.25, 3.0, 12.7] {
            for h in [1e-4, 0.005, 0.05, 0.2] {
                assert!((flat_scallop_mm(r, flat_step_mm(r, h)) / h - 1.0).abs() < 1e-12);
            }
        }
    }
}
