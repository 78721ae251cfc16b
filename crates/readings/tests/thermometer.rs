//! JCGM 100:2008, H.3: the straight line of a thermometer's corrections, through the program's
//! own normal equations. Readings and results as restated in the documentation of the GUM Tree
//! Calculator (github.com/MSLNZ/GTC, docs/API/GUM_H3.rst).

use nalgebra::DVector;
use readings::fit::cholesky;
use readings::normal::Normal;

/// Temperature and correction, °C.
const READ: [(f64, f64); 11] = [
    (21.521, -0.171),
    (22.012, -0.169),
    (22.512, -0.166),
    (23.003, -0.159),
    (23.507, -0.164),
    (23.999, -0.165),
    (24.513, -0.156),
    (25.002, -0.157),
    (25.503, -0.159),
    (26.010, -0.161),
    (26.511, -0.160),
];

/// The guide counts temperatures from here, °C.
const FROM: f64 = 20.0;

#[test]
fn the_line_of_the_guide_comes_out_to_its_printed_digits() {
    let mut normal = Normal::prior(&DVector::zeros(2), 0.0);
    for (at, correction) in READ {
        normal.add(&vec![(0, 1.0), (1, at - FROM)], -correction, 1.0);
    }
    let triangle = cholesky(&normal.matrix).expect("two places tell a line");
    let line = -triangle.solve(&normal.slope);
    let squares: f64 = READ
        .iter()
        .map(|(at, correction)| (line[0] + line[1] * (at - FROM) - correction).powi(2))
        .sum();
    let covariance = triangle.inverse() * (squares / (READ.len() - 2) as f64);
    let near = |value: f64, printed: f64, step: f64| {
        assert!((value - printed).abs() <= 0.5 * step, "{value}: {printed}");
    };
    near(line[0], -0.1712, 1e-4);
    near(line[1], 0.00218, 1e-5);
    near(covariance[(0, 0)].sqrt(), 0.0029, 1e-4);
    near(covariance[(1, 1)].sqrt(), 0.00067, 1e-5);
    let correlation = covariance[(1, 0)] / (covariance[(0, 0)] * covariance[(1, 1)]).sqrt();
    near(correlation, -0.930, 1e-3);
    // The correction at 30 °C, and its uncertainty with the covariance counted.
    let at = DVector::from_vec(vec![1.0, 30.0 - FROM]);
    near(line.dot(&at), -0.1494, 1e-4);
    near(
        (at.transpose() * &covariance * &at)[(0, 0)].sqrt(),
        0.0041,
        1e-4,
    );
    // Digits that the guide does not print, from an evaluation apart from this project.
    near(squares, 1.100_965_83e-4, 1e-12);
    near(covariance[(0, 0)].sqrt(), 0.002_877_6, 1e-7);
}
