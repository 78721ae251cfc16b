//! Round ticks, straight scales, and the marks an axis leaves.

use drawing::{Axis, AxisSide, LinearScale, Scene, Shape, nice_ticks, tick_text};

fn check(low: f64, high: f64, wanted: usize, expected: &[f64]) {
    let found = nice_ticks(low, high, wanted);
    assert_eq!(found.len(), expected.len(), "{found:?}");
    let extent = high - low;
    let is_near = |(a, b): (&f64, &f64)| (a - b).abs() < 1e-9 * extent;
    assert!(found.iter().zip(expected).all(is_near), "{found:?}");
}

#[test]
fn ticks_are_one_two_or_five_apart() {
    check(0.0, 1.0, 5, &[0.0, 0.2, 0.4, 0.6, 0.8, 1.0]);
    check(-0.31, 0.29, 6, &[-0.3, -0.2, -0.1, 0.0, 0.1, 0.2]);
    check(0.0, 24.0, 6, &[0.0, 5.0, 10.0, 15.0, 20.0]);
    check(238.0, 405.0, 4, &[250.0, 300.0, 350.0, 400.0]);
    check(0.012, 0.019, 3, &[0.015]);
}

#[test]
fn ticks_stay_inside_any_range_and_few() {
    for exponent in -12..=12 {
        for wanted in [0, 1, 3, 6, 10, 1000] {
            let unit = 10_f64.powi(exponent);
            let (low, high) = (-0.37 * unit, 1.43 * unit);
            let ticks = nice_ticks(low, high, wanted);
            let slack = 1e-8 * unit;
            assert!(
                ticks
                    .iter()
                    .all(|tick| *tick >= low - slack && *tick <= high + slack)
            );
            assert!(
                ticks.len() <= wanted.max(1) + 1,
                "{} for {wanted}",
                ticks.len()
            );
        }
    }
    for (low, high) in [
        (1.0, 1.0),
        (2.0, 1.0),
        (f64::NAN, 1.0),
        (0.0, f64::INFINITY),
    ] {
        assert!(nice_ticks(low, high, 5).is_empty());
    }
    assert!(nice_ticks(-1e308, 1e308, 5).is_empty());
    assert!(nice_ticks(0.0, 5e-324, 5).len() < 200);
}

#[test]
fn figures_have_the_digits_their_step_needs() {
    assert_eq!(tick_text(0.6000000000000001, 0.2), "0.6");
    assert_eq!(tick_text(-0.05, 0.05), "−0.05");
    assert_eq!(tick_text(-0.0, 0.05), "0.00");
    assert_eq!(tick_text(250.0, 50.0), "250");
    assert_eq!(tick_text(-10.0, 10.0), "−10");
    assert_eq!(tick_text(3.0, f64::NAN), "3");
}

#[test]
fn a_scale_runs_out_and_back() {
    let scale = LinearScale::new((240.0, 400.0), (90.0, 10.0));
    assert_eq!(scale.at(240.0), 90.0);
    assert_eq!(scale.at(400.0), 10.0);
    assert_eq!(scale.at(320.0), 50.0);
    for figure in [200.0, 255.5, 401.0] {
        assert!((scale.figure_at(scale.at(figure)) - figure).abs() < 1e-9);
    }
    assert_eq!(LinearScale::new((3.0, 3.0), (0.0, 10.0)).at(3.0), 5.0);
}

#[test]
fn an_axis_marks_each_tick_and_names_its_unit() {
    for side in [
        AxisSide::Below,
        AxisSide::Above,
        AxisSide::Left,
        AxisSide::Right,
    ] {
        let scale = LinearScale::new((0.0, 1.0), (20.0, 80.0));
        let axis = Axis {
            tick_count: 5,
            grid_mm: 30.0,
            ..Axis::new(side, scale, 50.0, "gap (mm)")
        };
        let mut scene = Scene::new(100.0, 100.0, "t", "d");
        axis.draw(&mut scene);
        assert_eq!(scene.count_undrawable(), 0);
        assert_eq!(scene.layer("grid").items.len(), 6);
        let words: Vec<String> = scene
            .layer("axes")
            .items
            .iter()
            .filter_map(|item| match &item.shape {
                Shape::Text { text, .. } => Some(text.clone()),
                _ => None,
            })
            .collect();
        assert_eq!(
            words,
            ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0", "gap (mm)"]
        );
        assert_eq!(scene.layer("axes").items.len(), 6 + 6 + 1 + 1);
    }
}
