//! Outlines, maps of the sheet, and scenes within scenes.

use drawing::{Anchor, Ink, Item, Paper, Path, Point, Scene, Segment, Shape, Transform};

/// Rounding of a few products of sheet coordinates, in mm.
const ROUNDING_MM: f64 = 1e-12;

fn assert_near(found: Point, expected: Point) {
    let off = (found.x - expected.x).hypot(found.y - expected.y);
    assert!(off < ROUNDING_MM, "{found:?}, not {expected:?}");
}

/// How far the curves of a path leave a circle outward, least and most, in mm.
fn leaves_circle(path: &Path, centre: Point, radius: f64) -> (f64, f64) {
    let mut pen = Point::default();
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for segment in &path.segments {
        match *segment {
            Segment::Move(end) | Segment::Line(end) => pen = end,
            Segment::Close => {}
            Segment::Cubic(first, second, end) => {
                for step in 0..=100 {
                    let t = f64::from(step) / 100.0;
                    // De Casteljau's construction, a second way to the curve's points.
                    let (a, b) = (pen.toward(first, t), first.toward(second, t));
                    let c = second.toward(end, t);
                    let point = a.toward(b, t).toward(b.toward(c, t), t);
                    let off = (point.x - centre.x).hypot(point.y - centre.y) - radius;
                    (least, most) = (least.min(off), most.max(off));
                }
                pen = end;
            }
        }
    }
    (least, most)
}

#[test]
fn a_circle_keeps_within_its_promise() {
    let (centre, radius) = (Point::new(3.0, -2.0), 20.0);
    let circle = Path::circle(centre, radius);
    let (least, most) = leaves_circle(&circle, centre, radius);
    assert!(
        least > -1e-12 && most < 0.00028 * radius,
        "{least} to {most} mm"
    );
    assert_eq!(circle.points().next(), circle.points().last());
}

#[test]
fn an_arc_keeps_within_its_promise_and_meets_its_ends() {
    let centre = Point::new(30.0, 400.0);
    for (start, end) in [(-95.0, -85.0), (0.0, 200.0), (30.0, -130.0), (10.0, 900.0)] {
        for radius in [6.0, 406.4] {
            let arc = Path::arc(centre, radius, start, end);
            let (least, most) = leaves_circle(&arc, centre, radius);
            assert!(
                least.abs().max(most.abs()) < 6e-9 * radius,
                "{least} to {most} mm"
            );
            let place = |degrees: f64| {
                let turn = Transform::rotate_degrees(degrees);
                let to_centre = Transform::translate(centre.x, centre.y);
                turn.then(&to_centre).apply(Point::new(radius, 0.0))
            };
            assert_near(arc.points().next().unwrap(), place(start));
            assert_near(arc.points().last().unwrap(), place(end.min(start + 360.0)));
        }
    }
    let odd = Path::arc(centre, 10.0, f64::NAN, f64::INFINITY);
    assert!(odd.segments.len() < 30);
}

#[test]
fn maps_are_done_in_the_order_they_are_named() {
    let map = Transform::scale_xy(2.0, -1.0).then(&Transform::translate(10.0, 5.0));
    assert_near(map.apply(Point::new(1.0, 1.0)), Point::new(12.0, 4.0));
    let turned = Transform::translate(1.0, 0.0).then(&Transform::rotate_degrees(90.0));
    // With y down, a turn clockwise takes the right to the bottom.
    assert_near(turned.apply(Point::new(0.0, 0.0)), Point::new(0.0, 1.0));
    assert!((turned.turn_degrees() - 90.0).abs() < ROUNDING_MM);
    assert!((map.mean_scale() - 2.0_f64.sqrt()).abs() < ROUNDING_MM);
    let there_and_back = Transform::rotate_degrees(33.0).then(&Transform::rotate_degrees(-33.0));
    assert_near(
        there_and_back.apply(Point::new(7.0, -4.0)),
        Point::new(7.0, -4.0),
    );
}

#[test]
fn toward_meets_both_ends_exactly() {
    let (start, end) = (Point::new(0.1, 0.7), Point::new(0.3, 1e9));
    assert_eq!(start.toward(end, 0.0), start);
    assert_eq!(start.toward(end, 1.0), end);
}

#[test]
fn layers_keep_their_order_and_are_found_again() {
    let mut scene = Scene::new(10.0, 10.0, "t", "d");
    scene.layer("wood");
    scene
        .layer("frets")
        .add(Item::filled(Path::rect(0.0, 0.0, 1.0, 1.0), Ink::Fret));
    scene
        .layer("wood")
        .add(Item::filled(Path::rect(0.0, 0.0, 9.0, 9.0), Ink::Wood));
    let names: Vec<&str> = scene
        .layers
        .iter()
        .map(|layer| layer.name.as_str())
        .collect();
    assert_eq!(names, ["wood", "frets"]);
    assert_eq!(scene.layers[0].items.len(), 1);
}

#[test]
fn a_placed_scene_is_scaled_and_moved_with_its_lines_and_words() {
    let mut scene = Scene::new(10.0, 10.0, "t", "d");
    let line = Path::line(Point::new(1.0, 2.0), Point::new(3.0, 4.0));
    let clip = Path::rect(0.0, 0.0, 2.0, 2.0);
    let inner = Item::stroked(line, Ink::Line, 0.2).keyed("k").labelled("l");
    scene.layer("a").add(Item::clipped(vec![inner], clip));
    let text = Item::text(Point::new(1.0, 1.0), "x", 3.0, Ink::Text);
    scene
        .layer("b")
        .add(text.anchored(Anchor::End).turned(15.0));
    let placed = scene.placed(Point::new(100.0, 50.0), 2.0);
    assert_eq!(placed.len(), 2);

    let Shape::Group { items, .. } = &placed[0].shape else {
        panic!("a layer is a group")
    };
    let Shape::Group { items, clip } = &items[0].shape else {
        panic!("the clip is kept")
    };
    let corner = clip.as_ref().unwrap().bounds().unwrap();
    assert_eq!(corner, (Point::new(100.0, 50.0), Point::new(104.0, 54.0)));
    assert_eq!(items[0].key.as_deref(), Some("k"));
    let Shape::Path { path, stroke, .. } = &items[0].shape else {
        panic!("a path stays one")
    };
    assert_eq!(path.points().next(), Some(Point::new(102.0, 54.0)));
    assert!((stroke.unwrap().width_mm - 0.4).abs() < ROUNDING_MM);

    let Shape::Group { items, .. } = &placed[1].shape else {
        panic!("a layer is a group")
    };
    let Shape::Text {
        at,
        size_mm,
        angle_degrees,
        anchor,
        ..
    } = &items[0].shape
    else {
        panic!("a text stays one")
    };
    assert_eq!(*at, Point::new(102.0, 52.0));
    assert!((size_mm - 6.0).abs() < ROUNDING_MM && (angle_degrees - 15.0).abs() < ROUNDING_MM);
    assert_eq!(*anchor, Anchor::End);
}

#[test]
fn sheets_have_their_standard_sizes() {
    // ISO 216 and ANSI/ASME Y14.1.
    assert_eq!(
        (Paper::A4.width_mm(), Paper::A4.height_mm()),
        (210.0, 297.0)
    );
    assert!((Paper::Letter.width_mm() - 215.9).abs() < ROUNDING_MM);
    assert!((Paper::Letter.height_mm() - 279.4).abs() < ROUNDING_MM);
}
