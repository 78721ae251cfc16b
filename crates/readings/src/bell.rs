//! The bell curve: its share below a value, its logarithm far out, its quantiles, and the moments
//! of a bell of which only a part is left.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Half-width of a 95 % interval in standard uncertainties: the 97.5 % point of the bell
/// (Abramowitz and Stegun, table 26.1, gives 1.96).
pub const HALF_95: f64 = 1.959_963_984_540_054;

/// Height of the standard bell at `t`.
pub fn density(t: f64) -> f64 {
    (-0.5 * t * t).exp() / (2.0 * PI).sqrt()
}

/// The share of the standard bell below `t`, 0 to 1.
pub fn share_below(t: f64) -> f64 {
    0.5 * libm::erfc(-t * FRAC_1_SQRT_2)
}

/// The value below which a share of the standard bell lies; `share` between 0 and 1, both
/// excluded. Newton's steps on [`share_below`]; exact to about 1e-12.
pub fn quantile(share: f64) -> f64 {
    if share > 0.5 {
        return -quantile(1.0 - share);
    }
    // On the lower tail ln Φ is concave, so that Newton's steps on it come down safely from -t²/2.
    let mut t = -(-2.0 * share.max(f64::MIN_POSITIVE).ln()).sqrt();
    for _ in 0..60 {
        let below = share_below(t).max(f64::MIN_POSITIVE);
        let step = (below / share).ln() * below / density(t).max(f64::MIN_POSITIVE);
        t -= step;
        if step.abs() < 1e-14 * (1.0 + t.abs()) {
            break;
        }
    }
    t
}

/// A window on a bell: the figure read lies between `low` and `high`; either may be infinite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Its lower edge.
    pub low: f64,
    /// Its upper edge.
    pub high: f64,
}

/// The share of a bell that lies in a window, as `-ln P` with its first two derivatives by the
/// bell's centre: what a reading like "no light" says of the figure it is about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surprise {
    /// `-ln P`; 0 when the window surely holds the figure.
    pub value: f64,
    /// Its first derivative by the centre.
    pub slope: f64,
    /// Its second derivative, never negative.
    pub curvature: f64,
}

impl Window {
    /// The surprise of finding a figure in the window, when it is spread around `centre` by `sigma`.
    pub fn surprise(self, centre: f64, sigma: f64) -> Surprise {
        let (a, b) = ((self.low - centre) / sigma, (self.high - centre) / sigma);
        // Counted on the side where the tails are small, so that nothing cancels.
        if a > 0.0 || (a + b > 0.0) {
            let mirrored = one_sided(-b, -a, sigma);
            return Surprise {
                slope: -mirrored.slope,
                ..mirrored
            };
        }
        one_sided(a, b, sigma)
    }

    /// Mean and variance of a bell of `centre` and `variance` once it is known that the figure,
    /// read with `sigma`, fell into the window.
    pub fn kept(self, centre: f64, variance: f64, sigma: f64) -> (f64, f64) {
        let spread = (variance + sigma * sigma).sqrt();
        let surprise = self.surprise(centre, spread);
        let mean = centre - variance * surprise.slope;
        let kept = variance - variance * variance * surprise.curvature;
        (mean, kept.max(1e-12 * variance))
    }
}

/// The surprise for a window from `a` to `b` in units of sigma, its middle at or below the bell's.
fn one_sided(a: f64, b: f64, sigma: f64) -> Surprise {
    // With b <= 0 both tails are small numbers; Φ(b) - Φ(a) = Φ(b) (1 - Φ(a)/Φ(b)).
    let log_b = log_share_below(b);
    let ratio = if a == f64::NEG_INFINITY {
        0.0
    } else {
        (log_share_below(a) - log_b).exp()
    };
    let inside = (1.0 - ratio).max(1e-300);
    let value = -(log_b + inside.ln());
    // φ(b)/P and φ(a)/P, each from logarithms.
    let over = |t: f64| {
        if t.is_finite() {
            (-0.5 * t * t - 0.5 * (2.0 * PI).ln() + value).exp()
        } else {
            0.0
        }
    };
    let (at_a, at_b) = (over(a), over(b));
    let times = |t: f64, h: f64| if t.is_finite() { t * h } else { 0.0 };
    // d(-ln P)/dμ = (φ(b) - φ(a))/(P σ); the second derivative follows from φ' = -t φ.
    let slope = at_b - at_a;
    let curvature = times(b, at_b) - times(a, at_a) + slope * slope;
    Surprise {
        value,
        slope: slope / sigma,
        curvature: curvature.max(0.0) / (sigma * sigma),
    }
}

/// `ln Φ(t)`, also far out, where Φ itself is too small a number.
pub fn log_share_below(t: f64) -> f64 {
    if t > -30.0 {
        return share_below(t).ln();
    }
    // Asymptotic series, Abramowitz and Stegun 26.2.12; past 30 sigma four terms are exact to 1e-10.
    let s = 1.0 / (t * t);
    let series = 1.0 - s * (1.0 - s * (3.0 - 15.0 * s));
    -0.5 * t * t - 0.5 * (2.0 * PI).ln() - (-t).ln() + series.ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_and_quantiles_are_the_handbooks() {
        // Abramowitz and Stegun, table 26.1: P(1) 0.841344746068543, P(2) 0.977249868051821.
        assert!((share_below(1.0) - 0.841_344_746_068_543).abs() < 1e-15);
        assert!((share_below(2.0) - 0.977_249_868_051_821).abs() < 1e-15);
        assert!((quantile(0.975) - HALF_95).abs() < 1e-12);
        for share in [1e-12, 1e-5, 0.01, 0.3, 0.5, 0.8, 0.9999] {
            assert!(
                (share_below(quantile(share)) / share - 1.0).abs() < 1e-9,
                "{share}"
            );
        }
    }

    #[test]
    fn the_logarithm_goes_on_without_a_jump() {
        let step = log_share_below(-30.0 + 1e-9) - log_share_below(-30.0 - 1e-9);
        assert!(step.abs() < 1e-6);
        assert!((log_share_below(-1.0) - share_below(-1.0).ln()).abs() < 1e-15);
    }

    #[test]
    fn the_surprise_has_the_slopes_it_says() {
        let windows = [
            (-0.02, 0.02),
            (0.1, f64::INFINITY),
            (f64::NEG_INFINITY, -0.3),
            (0.5, 0.6),
        ];
        for (low, high) in windows {
            let window = Window { low, high };
            for centre in [-1.3, -0.1, 0.0, 0.04, 0.7, 3.0] {
                let sigma = 0.07;
                let at = |c: f64| window.surprise(c, sigma);
                let h = 1e-5;
                let (less, here, more) = (at(centre - h), at(centre), at(centre + h));
                let slope = (more.value - less.value) / (2.0 * h);
                let curvature = (more.slope - less.slope) / (2.0 * h);
                let size = 1.0 + here.slope.abs();
                assert!(
                    (here.slope - slope).abs() < 1e-5 * size,
                    "{low} {high} {centre}"
                );
                assert!((here.curvature - curvature).abs() < 1e-4 * (1.0 + here.curvature));
            }
        }
    }

    #[test]
    fn a_cut_bell_has_its_textbook_moments() {
        // Half a standard bell: mean sqrt(2/π), variance 1 - 2/π (closed form).
        let half = Window {
            low: 0.0,
            high: f64::INFINITY,
        };
        let (mean, variance) = half.kept(0.0, 1.0, 1e-9);
        assert!((mean - (2.0 / PI).sqrt()).abs() < 1e-9);
        assert!((variance - (1.0 - 2.0 / PI)).abs() < 1e-9);
        // A wide bell seen through a narrow window is even there: variance w²/12.
        let narrow = Window {
            low: -0.1,
            high: 0.1,
        };
        let (mean, variance) = narrow.kept(0.0, 1e4, 1e-9);
        assert!(mean.abs() < 1e-12 && (variance / (0.04 / 12.0) - 1.0).abs() < 1e-3);
    }
}
