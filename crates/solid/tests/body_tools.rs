//! Hollow tools as solids, and what is refused.

use instrument::{Radius, read_commission};
use solid::body::{PressCaul, ToolShape, mesh, press_caul, tool_body};

fn block(radius_mm: [f64; 2]) -> ToolShape {
    ToolShape {
        title: "A block".into(),
        length_mm: 200.0,
        width_mm: 70.0,
        height_mm: 30.0,
        radius: radius_mm.map(Radius::from_mm),
    }
}

#[test]
fn a_cylindrical_block_is_its_box_less_a_circles_segment() {
    let body = tool_body(&block([305.0; 2])).expect("a sound block");
    // A handbook's segment of a circle: R² (α - sin α)/2 over the angle α.
    let angle = 2.0 * (35.0f64 / 305.0).asin();
    let segment = 0.5 * 305.0 * 305.0 * (angle - angle.sin());
    let expected = 200.0 * (70.0 * 30.0 - segment);
    assert!((body.volume_mm3() / expected - 1.0).abs() < 1e-13);
}

#[test]
fn a_conical_block_has_its_radii_at_its_ends_and_a_level_hollow() {
    let body = tool_body(&block([240.0, 400.0])).expect("a sound block");
    let height = |x: f64, y: f64| body.height_mm(x, y).expect("on the block");
    assert!((height(0.0, 35.0) - 30.0).abs() < 1e-12);
    assert_eq!(height(0.0, 0.0), height(200.0, 0.0));
    for (x, radius) in [(0.0, 240.0f64), (100.0, 320.0), (200.0, 400.0)] {
        let rise = height(x, 20.0) - height(x, 0.0);
        let sagitta = radius - (radius * radius - 400.0).sqrt();
        assert!((rise - sagitta).abs() < 1e-11, "{x}");
    }
}

#[test]
fn a_press_caul_is_tighter_than_the_fret_by_its_ratio() {
    let text = include_str!("../../../demo/heron.toml");
    let heron = read_commission(text, &|_| Err("no files".into())).expect("a sound commission");
    let wish = PressCaul {
        fret: 12,
        ratio: 0.9,
        length_mm: 12.0,
        height_mm: 20.0,
    };
    let shape = press_caul(&heron, wish).expect("a sound caul");
    // R runs from 240 at the nut to 400 at fret 22; fret 12 lies at half the scale length.
    let radius = 240.0 + 160.0 * 317.5 / 456.809_15;
    assert!((shape.radius[0].mm() - 0.9 * radius).abs() < 1e-6);
    assert!(tool_body(&shape).is_ok());
    let fault = press_caul(&heron, PressCaul { fret: 23, ..wish }).expect_err("there is none");
    assert_eq!(
        fault.to_string(),
        "there is no fret 23: give one from 1 to 22"
    );
    assert!(press_caul(&heron, PressCaul { fret: 0, ..wish }).is_err());
    let fault = press_caul(&heron, PressCaul { ratio: 0.2, ..wish }).expect_err("too tight");
    assert_eq!(
        fault.to_string(),
        "the caul's ratio is 0.2 of the fret's arc; give one from 0.5 to 1.5 of the fret's arc"
    );
}

#[test]
fn bad_wishes_are_refused_with_what_would_do() {
    let check = |shape: ToolShape, expected: &str| {
        let fault = tool_body(&shape).expect_err("it cannot be made");
        assert_eq!(fault.to_string(), expected);
    };
    check(
        block([30.0, 400.0]),
        "at 0.0 mm the radius is 30.00 mm; at this width it takes at least 35.035 mm: a flatter \
         radius, or a narrower body",
    );
    check(
        ToolShape {
            height_mm: 5.0,
            ..block([240.0, 400.0])
        },
        "at 0.0 mm only 2.43 mm would be left, and at least 3 mm must stay: a thicker piece, or a \
         flatter radius",
    );
    check(
        ToolShape {
            length_mm: f64::NAN,
            ..block([240.0; 2])
        },
        "the length is NaN mm; give one from 1 to 2000 mm",
    );
    check(
        block([240.0, f64::INFINITY]),
        "the radius is inf mm; give one from 10 to 2000000 mm",
    );
}

#[test]
fn a_tolerance_out_of_range_is_refused() {
    let body = tool_body(&block([240.0, 400.0])).expect("a sound block");
    for chord_mm in [0.0, 0.0004, 1.1, f64::NAN, f64::INFINITY, -1.0] {
        assert!(mesh(&body, chord_mm).is_err(), "{chord_mm}");
    }
    let fault = mesh(&body, 0.0).expect_err("nothing is so fine");
    assert_eq!(
        fault.to_string(),
        "the chord tolerance is 0 mm; give one from 0.0005 to 1 mm"
    );
}
