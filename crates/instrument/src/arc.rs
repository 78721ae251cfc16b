//! The circular arc across the board: how far it drops, how long it is, what it encloses.
//!
//! All figures are written in the curvature κ = 1/R, so that a flat board is κ = 0 and
//! nothing jumps on the way there.

/// A radius of camber: a length, or flat.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Radius(f64);

impl Radius {
    /// A board without camber.
    pub const FLAT: Radius = Radius(f64::INFINITY);
    /// The least radius that is read, mm: tighter than any board is narrow.
    pub const LEAST_MM: f64 = 10.0;
    /// The greatest radius that is read, mm; flatter than that is called `flat`.
    pub const MOST_MM: f64 = 1e6;

    /// A radius of so many millimetres; infinity is flat. The caller sees to it that the
    /// number is positive.
    pub const fn from_mm(radius_mm: f64) -> Self {
        Self(radius_mm)
    }

    /// The radius in mm, infinite for a flat board.
    pub const fn mm(self) -> f64 {
        self.0
    }

    /// The radius in mm, or nothing for a flat board.
    pub fn finite_mm(self) -> Option<f64> {
        self.0.is_finite().then_some(self.0)
    }

    /// The curvature 1/R in 1/mm, zero for a flat board.
    pub fn curvature(self) -> f64 {
        1.0 / self.0
    }

    /// True for a board without camber.
    pub fn is_flat(self) -> bool {
        self.0.is_infinite()
    }
}

/// How far the arc lies under its crown at a distance `y` from the centreline:
/// `R - sqrt(R² - y²)`, written as `κ y² / (1 + sqrt(1 - κ² y²))` to lose no digits.
///
/// Units: mm. Valid for `|y| <= R`; not a number beyond.
pub fn drop(radius: Radius, y: f64) -> f64 {
    drop_of_curvature(radius.curvature(), y)
}

/// The same [`drop`] for a curvature `κ = 1/R`, 1/mm, where it is at hand.
pub fn drop_of_curvature(curvature: f64, y: f64) -> f64 {
    let reach = curvature * y;
    reach * y / (1.0 + (1.0 - reach * reach).sqrt())
}

/// The slope of [`drop`] across the board, `y / sqrt(R² - y²)`.
pub fn drop_slope(radius: Radius, y: f64) -> f64 {
    let reach = radius.curvature() * y;
    reach / (1.0 - reach * reach).sqrt()
}

/// The change of [`drop`] with the curvature, `∂drop/∂κ`, mm².
pub fn drop_by_curvature(radius: Radius, y: f64) -> f64 {
    // With t = κy: drop = y t/(1+s), s = sqrt(1-t²); differentiating and tidying gives y²/(s(1+s)).
    let reach = radius.curvature() * y;
    let root = (1.0 - reach * reach).sqrt();
    y * y / (root * (1.0 + root))
}

/// The second change of [`drop`] with the curvature, `∂²drop/∂κ²`, mm³.
pub fn drop_by_curvature_twice(radius: Radius, y: f64) -> f64 {
    // y²/(s(1+s)) with s = sqrt(1-κ²y²), s' = -κy²/s, differentiated once more.
    let curvature = radius.curvature();
    let reach = curvature * y;
    let root = (1.0 - reach * reach).sqrt();
    let both = root * (1.0 + root);
    curvature * y.powi(4) * (1.0 + 2.0 * root) / (root * both * both)
}

/// The radius whose arc drops by `drop_mm` at `y`: `(y² + d²) / (2 d)`; flat for no drop.
pub fn radius_of_drop(drop_mm: f64, y: f64) -> Radius {
    if drop_mm <= 0.0 {
        return Radius::FLAT;
    }
    Radius::from_mm((y * y + drop_mm * drop_mm) / (2.0 * drop_mm))
}

/// The area between the arc and the tangent at its crown, from the centreline to `y`, mm²:
/// the integral of [`drop`]. Odd in `y`.
///
/// The closed form `R y - (y sqrt(R² - y²) + R² asin(y/R))/2` loses all digits on a nearly
/// flat board, so that its series `y³κ/6 + y⁵κ³/40 + y⁷κ⁵/112 + …` is used there; the
/// terms left out at `κ y = 0.06` are under 1e-13 of the result.
pub fn area_above(radius: Radius, y: f64) -> f64 {
    let curvature = radius.curvature();
    let reach = curvature * y;
    if reach.abs() < 0.06 {
        let t = reach * reach;
        let series = 1.0 / 6.0
            + t * (1.0 / 40.0
                + t * (1.0 / 112.0 + t * (5.0 / 1152.0 + t * (7.0 / 2816.0 + t * 21.0 / 13312.0))));
        return curvature * y * y * y * series;
    }
    let r = radius.mm();
    r * y - 0.5 * (y * (r * r - y * y).sqrt() + r * r * reach.clamp(-1.0, 1.0).asin())
}

/// The length of the arc between `-half_width` and `half_width`, mm: `2 R asin(a/R)`.
pub fn arc_length(radius: Radius, half_width: f64) -> f64 {
    let reach = radius.curvature() * half_width;
    if reach.abs() < 1e-4 {
        // asin(t)/t = 1 + t²/6 + 3t⁴/40: exact to the last digit at this reach.
        let t = reach * reach;
        return 2.0 * half_width * (1.0 + t / 6.0 + 0.075 * t * t);
    }
    2.0 * half_width * (reach.asin() / reach)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::integrate::integrate;

    #[test]
    fn drop_is_the_handbook_sagitta() {
        // Published example of a sagitta: R 10 in, half chord 3.5 in gives 0.6325030 in
        // (amateur telescope-making page; exact by geometry).
        assert!((drop(Radius::from_mm(10.0), 3.5) - 0.632_503_0).abs() < 5e-8);
        // Boards 57 mm wide, closed form evaluated apart from this project.
        for (r, s) in [
            (184.15, 2.2188),
            (254.0, 1.6040),
            (406.4, 1.0006),
            (508.0, 0.8001),
        ] {
            assert!((drop(Radius::from_mm(r), 28.5) - s).abs() < 5e-5);
        }
    }

    #[test]
    fn drop_and_its_radius_are_inverse() {
        for r in [60.0, 250.0, 4000.0, 1e6] {
            let d = drop(Radius::from_mm(r), 25.0);
            assert!((radius_of_drop(d, 25.0).mm() / r - 1.0).abs() < 1e-9);
        }
        assert!(radius_of_drop(0.0, 25.0).is_flat());
    }

    #[test]
    fn area_is_the_integral_of_drop_at_every_curvature() {
        for r in [30.0, 100.0, 420.0, 499.0, 501.0, 5e3, 1e6] {
            // With y = R sin θ the integrand R (1 - cos θ) R cos θ is smooth up to the very edge.
            let sampled = integrate(0.0, (29.9f64 / r).asin(), &[0.4, 0.8, 1.2], |angle| {
                2.0 * r * (0.5 * angle).sin().powi(2) * r * angle.cos()
            });
            let area = area_above(Radius::from_mm(r), 29.9);
            assert!((area / sampled - 1.0).abs() < 1e-10, "R {r}");
        }
    }

    #[test]
    fn slopes_agree_with_differences() {
        let (radius, y, step) = (Radius::from_mm(250.0), 21.0, 1e-5);
        let across = (drop(radius, y + step) - drop(radius, y - step)) / (2.0 * step);
        assert!((drop_slope(radius, y) - across).abs() < 1e-8);
        let at = |k: f64| drop(Radius::from_mm(1.0 / k), y);
        let by_curvature = (at(0.004 + 1e-8) - at(0.004 - 1e-8)) / 2e-8;
        assert!((drop_by_curvature(radius, y) / by_curvature - 1.0).abs() < 1e-6);
        let at = |k: f64| drop_by_curvature(Radius::from_mm(1.0 / k), y);
        let twice = (at(0.004 + 1e-8) - at(0.004 - 1e-8)) / 2e-8;
        assert!((drop_by_curvature_twice(radius, y) / twice - 1.0).abs() < 1e-6);
    }

    #[test]
    fn flat_is_the_limit_without_a_jump() {
        assert_eq!(drop(Radius::FLAT, 25.0), 0.0);
        assert_eq!(area_above(Radius::FLAT, 25.0), 0.0);
        assert_eq!(arc_length(Radius::FLAT, 25.0), 50.0);
        let mut last = f64::INFINITY;
        for exponent in 3..16 {
            let d = drop(Radius::from_mm(10f64.powi(exponent)), 25.0);
            assert!(d < last && d > 0.0);
            last = d;
        }
        assert!(last < 1e-12);
    }
}
