//! Slices through measured wood: what they show, and what they say when it is missing.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{UNITS, all, check, check_frame, layer, paths, texts};
use drawing::pictures::{Look, PointTrust, Slice, SlicePoint, slice};
use drawing::{Item, Path, Point, Scene, Shape, Stroke};
use quantity::LengthUnit;

const PLACES: usize = 31;

fn wood(x: f64) -> f64 {
    0.1 * (x / 60.0).sin()
}

fn sound() -> Slice {
    let along: Vec<f64> = (0..PLACES).map(|place| 15.0 * place as f64).collect();
    let list =
        |height: &dyn Fn(f64) -> f64| -> Vec<f64> { along.iter().map(|x| height(*x)).collect() };
    let point = |along_mm: f64, trust| SlicePoint {
        along_mm,
        value_mm: wood(along_mm),
        half_mm: 0.02,
        trust,
    };
    Slice {
        title: "Under string 3".to_owned(),
        along_title: "from the nut".to_owned(),
        wood_mm: list(&wood),
        low_mm: list(&|x| wood(x) - 0.03),
        high_mm: list(&|x| wood(x) + 0.03),
        planned_mm: Some(list(&|_| 0.0)),
        proposed_mm: Some(list(&|x| wood(x).min(0.02))),
        readings: vec![
            point(30.0, PointTrust::Taken),
            point(150.0, PointTrust::Doubted),
            point(300.0, PointTrust::SetAside),
        ],
        ticks: (0..23)
            .map(|fret| (20.0 * f64::from(fret), fret.to_string()))
            .collect(),
        pointed_mm: Some(150.0),
        earlier: (1..=4)
            .map(|visit| {
                (
                    format!("visit {visit}"),
                    list(&|x| wood(x) + 0.05 * f64::from(visit)),
                )
            })
            .collect(),
        along_mm: along.clone(),
    }
}

fn draw(given: &Slice) -> Scene {
    slice(Look::default(), given)
}

/// The lines drawn in the chart, with how they are drawn.
fn curves(scene: &Scene) -> Vec<(Path, Stroke)> {
    let figure = layer(scene, "figure");
    let curve = |item: &Item| match &item.shape {
        Shape::Path {
            path,
            stroke: Some(stroke),
            fill: None,
        } => Some((path.clone(), *stroke)),
        _ => None,
    };
    all(&figure.items).into_iter().filter_map(curve).collect()
}

/// The line of the wood: the widest.
fn wood_line(scene: &Scene) -> Vec<Vec<Point>> {
    let curves = curves(scene);
    let widest = curves
        .iter()
        .map(|curve| curve.1.width_mm)
        .fold(0.0, f64::max);
    let runs = curves.iter().filter(|curve| curve.1.width_mm == widest);
    runs.map(|curve| curve.0.points().collect()).collect()
}

#[test]
fn a_sound_slice_is_drawn_whole_in_every_unit() {
    for unit in UNITS {
        let look = Look {
            unit,
            ..Look::default()
        };
        let scene = slice(look, &sound());
        check(&scene);
        assert!(layer(&scene, "missing").items.is_empty());
        let words = texts(&scene).join("|");
        let expected = match unit {
            LengthUnit::Millimetre => ["from the nut, mm", "over the planned surface, 1/100 mm"],
            _ => ["from the nut, in", "over the planned surface, 1/1000 in"],
        };
        assert!(expected.iter().all(|part| words.contains(part)), "{words}");
    }
}

#[test]
fn lines_differ_by_dash_or_width() {
    let curves = curves(&draw(&sound()));
    // Line of the place pointed at, four earlier visits, plan, next step, wood, and the band's
    // two edges, which are alike.
    let mut manners: Vec<String> = curves
        .iter()
        .map(|(_, stroke)| format!("{:?} {}", stroke.dash, stroke.width_mm))
        .collect();
    assert_eq!(manners.len(), 10, "{manners:?}");
    manners.sort();
    manners.dedup();
    assert_eq!(manners.len(), 9, "{manners:?}");
}

#[test]
fn readings_lie_on_the_same_scales_as_the_wood() {
    let given = sound();
    let scene = draw(&given);
    let line = wood_line(&scene).remove(0);
    let readings = layer(&scene, "readings");
    let marks: Vec<&Item> = readings
        .items
        .iter()
        .filter(|item| item.key.is_some())
        .collect();
    assert_eq!(marks.len(), given.readings.len());
    for (mark, reading) in marks.iter().zip(&given.readings) {
        let place = (reading.along_mm / 15.0) as usize;
        let (low, high) = paths(&[(*mark).clone()])[0].bounds().unwrap();
        let middle = low.toward(high, 0.5);
        let off = (middle.x - line[place].x).hypot(middle.y - line[place].y);
        assert!(off < 1e-9, "{middle:?}, not {:?}", line[place]);
    }
}

#[test]
fn heights_are_drawn_in_proportion() {
    // A line that rises evenly stays straight, and higher wood lies higher on the sheet.
    let mut given = sound();
    given.wood_mm = given.along_mm.iter().map(|x| 0.0005 * x).collect();
    let line = wood_line(&draw(&given)).remove(0);
    let (first, last) = (line[0], line[PLACES - 1]);
    assert!(last.y < first.y && last.x > first.x);
    for (place, point) in line.iter().enumerate() {
        let expected = first.toward(last, place as f64 / (PLACES - 1) as f64);
        assert!((point.x - expected.x).hypot(point.y - expected.y) < 1e-9);
    }
}

#[test]
fn a_figure_that_is_no_number_costs_itself() {
    for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut given = sound();
        given.wood_mm[10] = odd;
        given.low_mm[12] = odd;
        given.earlier[0].1[5] = odd;
        let scene = draw(&given);
        check(&scene);
        let runs = wood_line(&scene);
        assert_eq!(
            runs.iter().map(Vec::len).collect::<Vec<_>>(),
            [10, PLACES - 11]
        );
        given.readings[1].value_mm = odd;
        given.readings[2].half_mm = odd;
        given.ticks[3].0 = odd;
        given.pointed_mm = Some(odd);
        let scene = draw(&given);
        check_frame(&scene);
        assert_eq!(wood_line(&scene).len(), 2);
        let keyed = layer(&scene, "readings");
        assert_eq!(
            keyed.items.iter().filter(|item| item.key.is_some()).count(),
            3
        );
    }
}

#[test]
fn a_wide_band_does_not_flatten_the_wood() {
    let tall = |given: &Slice| {
        let line = wood_line(&draw(given)).remove(0);
        let ys = || line.iter().map(|point| point.y);
        ys().fold(f64::NEG_INFINITY, f64::max) - ys().fold(f64::INFINITY, f64::min)
    };
    let mut given = sound();
    given.earlier.clear();
    let plain = tall(&given);
    given.high_mm[PLACES - 1] = 40.0;
    given.low_mm[PLACES - 1] = -40.0;
    check(&draw(&given));
    assert!(tall(&given) > plain / 3.5, "{} of {plain}", tall(&given));
}

#[test]
fn what_is_missing_is_said() {
    let nothing = draw(&Slice::default());
    check(&nothing);
    let words = texts(&nothing).join("|");
    for part in [
        "nothing is measured here yet",
        "no curve",
        "no band",
        "no readings",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(nothing.description.contains("Missing: no readings"));
    let one = Slice {
        along_mm: vec![100.0],
        wood_mm: vec![0.1],
        low_mm: vec![0.0],
        high_mm: vec![0.2],
        ..Slice::default()
    };
    check(&draw(&one));
    assert!(texts(&draw(&one)).join("|").contains("two known places"));
    let short = Slice {
        wood_mm: vec![0.1; 3],
        low_mm: vec![],
        ..sound()
    };
    let scene = draw(&short);
    check(&scene);
    assert_eq!(wood_line(&scene)[0].len(), 3);
    assert!(texts(&scene).join("|").contains("no band"));
}

#[test]
fn extremes_can_be_drawn() {
    let flat = Slice {
        wood_mm: vec![0.0; PLACES],
        low_mm: vec![0.0; PLACES],
        high_mm: vec![0.0; PLACES],
        proposed_mm: None,
        earlier: Vec::new(),
        readings: Vec::new(),
        ..sound()
    };
    check(&draw(&flat));
    let steep = Slice {
        // The ends of the range that the picture promises.
        wood_mm: (0..PLACES)
            .map(|place| if place % 2 == 0 { 100.0 } else { -100.0 })
            .collect(),
        title: "A title far too long for one line of the chart, ".repeat(20),
        along_title: "an axis that says more than it should ".repeat(20),
        earlier: vec![("a visit with a long name ".repeat(20), vec![0.0; PLACES])],
        ticks: vec![
            (0.0, "a fret with a long name ".repeat(20)),
            (200.0, "12".to_owned()),
        ],
        ..sound()
    };
    check(&draw(&steep));
    let far = Slice {
        wood_mm: vec![f64::MAX; PLACES],
        ..sound()
    };
    assert!(!draw(&far).title.is_empty());
    let same_place = Slice {
        along_mm: vec![7.0; PLACES],
        ..sound()
    };
    check(&draw(&Slice {
        readings: Vec::new(),
        ..same_place
    }));
}
