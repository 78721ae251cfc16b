//! The law of propagation of uncertainty: how surely a figure is known that is worked out from
//! others (JCGM 100:2008, 5.1.2 and 5.2.2).

/// A figure's standard uncertainty from inputs that do not go together: the root of the sum of
/// squares of sensitivity times uncertainty (JCGM 100:2008, eq. 10).
///
/// For the maker: how far a radius may be off when the dial and its chord may each be off by so
/// much. Units: a sensitivity is the figure's change for one unit of the input; the result is in
/// the figure's unit. Valid where the figure follows its inputs nearly straight over their
/// uncertainties.
///
/// # Examples
/// ```
/// use readings::propagation::combined;
/// assert_eq!(combined(&[(2.0, 1.5), (-1.0, 4.0)]), 5.0);
/// assert_eq!(combined(&[]), 0.0);
/// ```
pub fn combined(inputs: &[(f64, f64)]) -> f64 {
    inputs
        .iter()
        .map(|(sensitivity, uncertainty)| sensitivity * uncertainty)
        .fold(0.0, f64::hypot)
}

/// A figure's standard uncertainty from inputs that go together
/// (JCGM 100:2008, eq. 16): `correlation[i][j]` is between -1 and 1, the same both ways, and 1
/// from an input to itself.
///
/// Nothing when the lists are not of one length, or when the correlations contradict one another
/// so that the sum of squares comes out negative by more than rounding.
///
/// # Examples
/// ```
/// use readings::propagation::correlated;
/// let together = [vec![1.0, 1.0], vec![1.0, 1.0]];
/// assert_eq!(correlated(&[1.0, -1.0], &[0.1, 0.1], &together), Some(0.0));
/// assert_eq!(correlated(&[1.0], &[0.1, 0.1], &together), None);
/// ```
pub fn correlated(
    sensitivities: &[f64],
    uncertainties: &[f64],
    correlation: &[Vec<f64>],
) -> Option<f64> {
    let shares = shares(sensitivities, uncertainties)?;
    let variance = covariance_of(&shares, &shares, correlation)?;
    let size: f64 = shares.iter().map(|share| share * share).sum();
    (variance > -1e-12 * size || variance == 0.0).then(|| variance.max(0.0).sqrt())
}

/// How two figures worked out from the same inputs go together: their covariance
/// (JCGM 100:2008, F.1.2.3, eq. F.2), in the product of their units. Nothing when the lists are
/// not of one length.
pub fn covariance(
    [first, second]: [&[f64]; 2],
    uncertainties: &[f64],
    correlation: &[Vec<f64>],
) -> Option<f64> {
    covariance_of(
        &shares(first, uncertainties)?,
        &shares(second, uncertainties)?,
        correlation,
    )
}

/// Sensitivity times uncertainty, input by input.
fn shares(sensitivities: &[f64], uncertainties: &[f64]) -> Option<Vec<f64>> {
    let shares = sensitivities.iter().zip(uncertainties);
    (sensitivities.len() == uncertainties.len())
        .then(|| shares.map(|(by, uncertainty)| by * uncertainty).collect())
}

fn covariance_of(first: &[f64], second: &[f64], correlation: &[Vec<f64>]) -> Option<f64> {
    let square =
        correlation.len() == first.len() && correlation.iter().all(|row| row.len() == second.len());
    square.then(|| {
        let rows = first.iter().zip(correlation);
        rows.map(|(a, row)| {
            let across: f64 = row.iter().zip(second).map(|(r, b)| r * b).sum();
            a * across
        })
        .sum()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, H.1: an end gauge of 50 mm against a standard. Figures as restated in the
    /// documentation of the GUM Tree Calculator (github.com/MSLNZ/GTC, docs/API/GUM_H1.rst).
    #[test]
    fn the_end_gauge_of_the_guide_comes_out() {
        // Lengths in nm. l = l_s + d - l_s (δα θ + α_s δθ).
        let standard_nm = 50_000_623.0;
        let (alpha, theta) = (11.5e-6, -0.1);
        let even = |half: f64| half / 3f64.sqrt();
        let of_comparison = combined(&[(1.0, 5.8), (1.0, 3.9), (1.0, 6.7)]);
        assert!(
            (of_comparison - 9.7).abs() < 0.05,
            "the guide prints 9.7 nm"
        );
        let by_alpha = -standard_nm * theta;
        let by_temperature = -standard_nm * alpha;
        let inputs = [
            (1.0, 25.0),
            (1.0, of_comparison),
            (by_alpha, even(1e-6)),
            (by_temperature, even(0.05)),
        ];
        let parts = inputs.map(|(by, uncertainty)| (by * uncertainty).abs());
        // Printed: 2.9 nm from the difference of expansions, 16.6 nm from that of temperatures.
        assert!((parts[2] - 2.886_79).abs() < 1e-4);
        assert!((parts[3] - 16.599).abs() < 1e-3);
        let whole = combined(&inputs);
        assert_eq!(whole.round(), 32.0, "the guide prints 32 nm");
        assert!((whole - 31.66).abs() < 0.01, "{whole}");
        let length_nm = standard_nm + 215.0;
        assert_eq!(length_nm, 50_000_838.0);
        // The guide's second-order term: l_s u(δα) u(θ) and l_s u(α_s) u(δθ), 34 nm in all.
        let u_theta = 0.2f64.hypot(0.5 / 2f64.sqrt());
        let second = [
            (1.0, standard_nm * even(1e-6) * u_theta),
            (1.0, standard_nm * even(2e-6) * even(0.05)),
        ];
        let both = combined(&[(1.0, whole), (1.0, combined(&second))]);
        assert_eq!(both.round(), 34.0, "the guide prints 34 nm: {both}");
    }

    /// JCGM 100:2008, H.2: resistance and reactance from voltage, current and phase that were
    /// read together. Figures as restated in the documentation of the GUM Tree Calculator
    /// (docs/API/GUM_H2.rst).
    #[test]
    fn resistance_and_reactance_of_the_guide_come_out() {
        let (volt, ampere, phase) = (4.999, 19.661e-3, 1.044_46f64);
        let uncertainties = [3.2e-3, 9.5e-6, 7.5e-4];
        let correlation = [
            vec![1.0, -0.36, 0.86],
            vec![-0.36, 1.0, -0.65],
            vec![0.86, -0.65, 1.0],
        ];
        let impedance = volt / ampere;
        let (resistance, reactance) = (impedance * phase.cos(), impedance * phase.sin());
        let of = |value: f64, by_phase: f64| [value / volt, -value / ampere, by_phase];
        let by = [
            of(resistance, -reactance),
            of(reactance, resistance),
            of(impedance, 0.0),
        ];
        let u = by.map(|by| correlated(&by, &uncertainties, &correlation).expect("is sound"));
        let near = |value: f64, printed: f64, digits: i32| {
            let step = 0.5 * 10f64.powi(-digits);
            assert!((value - printed).abs() <= step, "{value} is not {printed}");
        };
        near(resistance, 127.732, 3);
        near(reactance, 219.85, 2);
        near(impedance, 254.26, 2);
        // Two further digits are from an evaluation of the same inputs apart from this project.
        for (u, printed) in u.into_iter().zip([0.0700, 0.2957, 0.2366]) {
            near(u, printed, 4);
        }
        for ((i, j), printed) in [((0, 1), -0.5915), ((0, 2), -0.4906), ((1, 2), 0.9928)] {
            let pair = covariance([&by[i], &by[j]], &uncertainties, &correlation);
            near(pair.expect("is sound") / (u[i] * u[j]), printed, 4);
        }
    }

    #[test]
    fn correlations_that_cannot_be_are_refused() {
        // Three figures cannot each go against both others.
        let against = |i: usize| (0..3).map(|j| if i == j { 1.0 } else { -1.0 }).collect();
        let correlation: Vec<Vec<f64>> = (0..3).map(against).collect();
        assert_eq!(correlated(&[1.0; 3], &[1.0; 3], &correlation), None);
        assert_eq!(correlated(&[1.0; 3], &[1.0; 2], &correlation), None);
    }
}
