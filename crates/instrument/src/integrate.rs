//! Areas and volumes: Gauss-Legendre quadrature over smooth pieces, and the search for a greatest value.

/// Nodes and weights of the 12-point Gauss-Legendre rule on [-1, 1], positive half
/// (Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, table 25.4).
const GAUSS_12: [(f64, f64); 6] = [
    (0.125_233_408_511_468_9, 0.249_147_045_813_402_77),
    (0.367_831_498_998_180_2, 0.233_492_536_538_354_8),
    (0.587_317_954_286_617_5, 0.203_167_426_723_065_92),
    (0.769_902_674_194_304_7, 0.160_078_328_543_346_23),
    (0.904_117_256_370_474_9, 0.106_939_325_995_318_43),
    (0.981_560_634_246_719_2, 0.047_175_336_386_511_83),
];

/// The integral of `f` from `from` to `to`, the range cut at `breaks` so that every piece is
/// smooth. Exact for polynomials of degree 23 on each piece.
pub fn integrate(from: f64, to: f64, breaks: &[f64], f: impl Fn(f64) -> f64) -> f64 {
    pieces(from, to, breaks)
        .into_iter()
        .map(|(start, end)| smooth_piece(start, end, &f))
        .sum()
}

/// The nodes of two Gauss-Legendre rules side by side on a smooth piece, with their weights.
pub fn nodes(start: f64, end: f64) -> Vec<(f64, f64)> {
    let middle = 0.5 * (start + end);
    let mut found = Vec::with_capacity(24);
    for (from, to) in [(start, middle), (middle, end)] {
        let (centre, half) = (0.5 * (from + to), 0.5 * (to - from));
        for (node, weight) in GAUSS_12 {
            found.push((centre - half * node, half * weight));
            found.push((centre + half * node, half * weight));
        }
    }
    found
}

fn smooth_piece(start: f64, end: f64, f: &impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (start + end), 0.5 * (end - start));
    let pair =
        |&(node, weight): &(f64, f64)| weight * (f(middle - half * node) + f(middle + half * node));
    half * GAUSS_12.iter().map(pair).sum::<f64>()
}

/// The range from `from` to `to` cut at those `breaks` that lie inside it, in order.
pub fn pieces(from: f64, to: f64, breaks: &[f64]) -> Vec<(f64, f64)> {
    let mut cuts: Vec<f64> = breaks
        .iter()
        .copied()
        .filter(|at| *at > from && *at < to)
        .collect();
    cuts.push(from);
    cuts.push(to);
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    cuts.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// Where, and how great, the greatest value of `f` is on a piece on which it is smooth.
/// Samples the piece, then closes in on the best sample by golden section; the value is exact
/// to rounding when `f` has one top between two samples.
pub fn greatest(from: f64, to: f64, samples: usize, f: impl Fn(f64) -> f64) -> (f64, f64) {
    let step = (to - from) / samples.max(1) as f64;
    let at = |index: usize| (from + step * index as f64).min(to);
    let mut best = (from, f(from));
    for index in 1..=samples.max(1) {
        let value = f(at(index));
        if value > best.1 {
            best = (at(index), value);
        }
    }
    let (mut low, mut high) = ((best.0 - step).max(from), (best.0 + step).min(to));
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    for _ in 0..60 {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if f(left) > f(right) {
            high = right;
        } else {
            low = left;
        }
    }
    let middle = 0.5 * (low + high);
    let value = f(middle);
    if value > best.1 {
        (middle, value)
    } else {
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polynomials_of_degree_23_are_exact() {
        let value = integrate(0.0, 2.0, &[], |x| 24.0 * x.powi(23));
        assert!((value / 2f64.powi(24) - 1.0).abs() < 1e-13);
    }

    #[test]
    fn a_kink_at_a_break_costs_nothing() {
        let value = integrate(-1.0, 3.0, &[0.5, 9.0, -4.0], |x| (x - 0.5).abs());
        assert!((value - (1.125 + 3.125)).abs() < 1e-13);
    }

    #[test]
    fn the_top_of_a_hill_is_found() {
        let (at, height) = greatest(0.0, 10.0, 20, |x| 3.0 - (x - 4.321f64).powi(2));
        assert!((at - 4.321).abs() < 1e-6 && (height - 3.0).abs() < 1e-12);
        assert_eq!(greatest(0.0, 1.0, 4, |x| x).0, 1.0);
    }
}
