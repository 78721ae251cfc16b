//! Patterns read back: positions, arcs and figures against closed forms, on the demos and on boards
//! that nobody will make.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{UNITS, heron, layer, paths, texts};
use bench::beam::beam_path;
use drawing::patterns::{
    beam_card, depth_card, depth_groups, fret_pattern, gauge_patterns, nut_pattern, saddle_pattern,
    usual_stations,
};
use drawing::pictures::Look;
use drawing::{
    Anchor, Item, Path, Point, Scene, Segment, Shape, SvgOptions, Transform, text_width_mm,
    write_svg,
};
use instrument::arc::drop;
use instrument::{Instrument, Radius, read_commission};
use play::{On, playing, sheet};
use quantity::LengthUnit;

const HERON: &str = include_str!("../../../../demo/heron.toml");
const BITTERN: &str = include_str!("../../../../demo/bittern.toml");
const SANDPIPER: &str = include_str!("../../../../demo/sandpiper.toml");
const AVOCET: &str = include_str!("../../../../demo/avocet.toml");

/// As wide as an upright A4 sheet takes, mm.
const ROW_MM: f64 = 184.0;

fn read(text: &str) -> Instrument {
    let found = read_commission(text, &|_| Err("no files here".to_owned()));
    found.unwrap_or_else(|faults| panic!("{faults:?}\n{text}"))
}

fn look(unit: LengthUnit) -> Look {
    Look {
        unit,
        ..Look::default()
    }
}

fn swapped(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "the demo has no {from}");
    text.replace(from, to)
}

/// A one-string board, flat and as narrow as a finger.
fn narrow_and_flat() -> String {
    let cone = "law = \"cone\"\nnut = \"240 mm\"\nlast_fret = \"400 mm\"";
    let text = swapped(HERON, cone, "law = \"single\"\nradius = \"flat\"");
    let text = swapped(&text, "nut_width = \"42.5 mm\"", "nut_width = \"10 mm\"");
    let text = swapped(&text, "end_width = \"56.5 mm\"", "end_width = \"12 mm\"");
    let start = text.find("nut_spread").unwrap();
    let end = text.find("[board]").unwrap();
    let strings = "nut_spread = \"0 mm\"\nsaddle_spread = \"0 mm\"\nset = [ { note = \"E4\", gauge = \"0.010 in\", make = \"plain steel\" } ]\n\n";
    format!("{}{strings}{}", &text[..start], &text[end..])
}

/// A hundred and twenty frets, so many to the octave that they still stand apart.
fn many_frets() -> String {
    let text = swapped(HERON, "frets = 22", "frets = 120\ntuning = \"53 equal\"");
    swapped(&text, "overhang = \"8 mm\"", "overhang = \"2 mm\"")
}

fn dotted() -> String {
    HERON.to_owned()
}

fn boards() -> Vec<Instrument> {
    // A radius hardly wider than half the board, in a thick board.
    let tight = swapped(HERON, "nut = \"240 mm\"", "nut = \"23 mm\"");
    let tight = swapped(
        &tight,
        "crown_thickness = \"6 mm\"",
        "crown_thickness = \"30 mm\"",
    );
    let tight = swapped(
        &tight,
        "blank_thickness = \"7.4 mm\"",
        "blank_thickness = \"32 mm\"",
    );
    let texts = [
        HERON.to_owned(),
        BITTERN.to_owned(),
        SANDPIPER.to_owned(),
        AVOCET.to_owned(),
        narrow_and_flat(),
        many_frets(),
        tight,
        dotted(),
    ];
    texts.iter().map(|text| read(text)).collect()
}

/// Every pattern of an instrument.
fn patterns(instrument: &Instrument, look: Look) -> Vec<Scene> {
    let sheet = sheet(instrument, None);
    let playing = playing(instrument, &sheet.strings, On::Planned);
    let stations = usual_stations(instrument);
    vec![
        fret_pattern(instrument, &sheet, look),
        gauge_patterns(instrument, &stations, ROW_MM, look),
        nut_pattern(&playing, look),
        saddle_pattern(&playing, look),
        beam_card(instrument, &beam_path(instrument), look),
        depth_card(instrument, &sheet, look),
    ]
}

fn items(scene: &Scene) -> impl Iterator<Item = &Item> {
    scene.layers.iter().flat_map(|layer| &layer.items)
}

/// The box around a text as it is printed, turned text included.
fn text_box(item: &Item) -> Option<(Point, Point)> {
    let Shape::Text {
        at,
        text,
        size_mm,
        anchor,
        weight,
        angle_degrees,
        ..
    } = &item.shape
    else {
        return None;
    };
    let width = text_width_mm(text, *size_mm, *weight);
    let left = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -0.5 * width,
        Anchor::End => -width,
    };
    // Capitals stand 0.73 of the em high.
    let letters = Path::rect(left, -0.73 * size_mm, width, 0.73 * size_mm);
    let turned = Transform::rotate_degrees(*angle_degrees).then(&Transform::translate(at.x, at.y));
    letters.transformed(&turned).bounds()
}

#[test]
fn every_pattern_of_every_board_is_drawn_whole_and_inside_its_sheet_in_every_unit() {
    for instrument in boards() {
        for unit in UNITS {
            for scene in patterns(&instrument, look(unit)) {
                assert_eq!(scene.count_undrawable(), 0, "{}", scene.title);
                assert!(scene.title.starts_with(&instrument.title));
                assert!(scene.description.contains("true size"), "{}", scene.title);
                let inside = |at: Point| {
                    (0.0..=scene.width_mm).contains(&at.x)
                        && (0.0..=scene.height_mm).contains(&at.y)
                };
                for item in items(&scene) {
                    let bounds = match &item.shape {
                        Shape::Path { path, .. } => path.bounds(),
                        _ => text_box(item),
                    };
                    let (low, high) = bounds.unwrap();
                    assert!(inside(low) && inside(high), "{}: {item:?}", scene.title);
                }
                let svg = write_svg(&scene, &SvgOptions::default());
                assert!(roxmltree::Document::parse(&svg).is_ok());
            }
        }
    }
}

#[test]
fn no_two_words_lie_on_each_other() {
    for instrument in boards() {
        for scene in patterns(&instrument, look(LengthUnit::Millimetre)) {
            let boxes: Vec<(Point, Point)> = items(&scene).filter_map(text_box).collect();
            for (index, a) in boxes.iter().enumerate() {
                for b in &boxes[index + 1..] {
                    let apart =
                        a.1.x <= b.0.x || b.1.x <= a.0.x || a.1.y <= b.0.y || b.1.y <= a.0.y;
                    assert!(apart, "{}: {a:?} {b:?}", scene.title);
                }
            }
        }
    }
}

#[test]
fn patterns_hold_no_clips_and_no_fills_and_name_what_a_cutter_takes() {
    for instrument in boards() {
        for scene in patterns(&instrument, Look::default()) {
            for item in items(&scene) {
                let is_plain = matches!(
                    item.shape,
                    Shape::Text { .. } | Shape::Path { fill: None, .. }
                );
                assert!(is_plain, "{}: {item:?}", scene.title);
            }
            let cut = ["outline", "cut"].map(|name| layer(&scene, name).items.len());
            assert!(cut.iter().sum::<usize>() > 0, "{}", scene.title);
        }
    }
}

/// Places of the slots' middles from the nut's line, read off the drawing.
fn drawn_frets(scene: &Scene) -> Vec<f64> {
    let nut = paths(&layer(scene, "nut").items)[0].bounds().unwrap().0.x;
    let slots = paths(&layer(scene, "slot centres").items);
    slots
        .iter()
        .map(|path| path.bounds().unwrap().0.x - nut)
        .collect()
}

#[test]
fn herons_slots_lie_where_the_closed_form_says() {
    // d_k = L (1 − 2^(−k/12)); method: d1, d5, d12, d22 of 635 mm.
    let heron = heron();
    let scene = fret_pattern(&heron, &sheet(&heron, None), Look::default());
    let frets = drawn_frets(&scene);
    assert_eq!(frets.len(), 22);
    for (index, place) in frets.iter().enumerate() {
        let closed = 635.0 * (1.0 - (-(index as f64 + 1.0) / 12.0).exp2());
        assert!((place - closed).abs() < 1e-9, "fret {}", index + 1);
    }
    for (fret, wanted) in [
        (1, 35.6398114),
        (5, 159.287503),
        (12, 317.5),
        (22, 456.80915),
    ] {
        assert!((frets[fret - 1] - wanted).abs() < 1e-5, "fret {fret}");
    }
    let words = texts(&scene);
    for label in [
        "159.29 mm",
        "317.50 mm",
        "456.81 mm",
        "+35.64 mm",
        "+10.60 mm",
    ] {
        assert!(words.iter().any(|text| text == label), "{label}");
    }
}

#[test]
fn slots_are_as_wide_as_the_spec_and_reach_from_edge_to_edge_or_to_the_binding() {
    for (text, binding) in [(HERON, 0.0), (SANDPIPER, 1.5)] {
        let board = read(text);
        let scene = fret_pattern(&board, &sheet(&board, None), Look::default());
        let slots = paths(&layer(&scene, "slots").items);
        let figures = sheet(&board, None);
        for (fret, slot) in slots
            .iter()
            .enumerate()
            .map(|(index, slot)| (index + 1, slot))
        {
            assert!(slot.segments.contains(&Segment::Close));
            let (low, high) = slot.bounds().unwrap();
            assert!((high.x - low.x - board.fret_spec.slot_width_mm).abs() < 1e-9);
            let length = figures.frets[fret].slot_length_mm;
            assert!((length - (figures.frets[fret].width_mm - 2.0 * binding)).abs() < 1e-9);
            // The slot's far wall stands where the board is a hair wider.
            assert!((high.y - low.y - length).abs() < 0.02, "fret {fret}");
        }
        assert_eq!(layer(&scene, "binding").items.is_empty(), binding == 0.0);
    }
}

#[test]
fn a_fanned_slot_is_as_wide_square_to_itself_and_its_lanes_figures_are_along_the_lane() {
    let bittern = read(BITTERN);
    let scene = fret_pattern(&bittern, &sheet(&bittern, None), Look::default());
    for slot in paths(&layer(&scene, "slots").items) {
        let corners: Vec<Point> = slot.points().collect();
        let (a, b, c) = (corners[0], corners[3], corners[1]);
        let length = (b.x - a.x).hypot(b.y - a.y);
        let across = ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)).abs() / length;
        assert!((across - bittern.fret_spec.slot_width_mm).abs() < 1e-9);
    }
    // Fret 12 halves each lane: 838/2 and 889/2.
    let words = texts(&scene);
    for label in ["419.00 mm", "444.50 mm"] {
        assert!(words.iter().any(|text| text == label), "{label}");
    }
}

#[test]
fn dots_are_circles_with_a_cross_where_the_commission_puts_them() {
    let board = read(&dotted());
    assert!(board.dots.len() > 5);
    let scene = fret_pattern(&board, &sheet(&board, None), Look::default());
    let nut = paths(&layer(&scene, "nut").items)[0].bounds().unwrap();
    let origin = Point::new(nut.0.x, 0.5 * (nut.0.y + nut.1.y));
    let circles = paths(&layer(&scene, "dots").items);
    let crosses = paths(&layer(&scene, "dot centres").items);
    assert_eq!(
        (circles.len(), crosses.len()),
        (board.dots.len(), 2 * board.dots.len())
    );
    for (index, (circle, dot)) in circles.iter().zip(&board.dots).enumerate() {
        let centre = Point::new(origin.x + dot.x_mm, origin.y - dot.y_mm);
        for at in on_curves(circle).iter().flatten() {
            let off = (at.x - centre.x).hypot(at.y - centre.y) - 3.0;
            assert!(off.abs() < 1e-6, "dot {index}: {off}");
        }
        for cross in &crosses[2 * index..2 * index + 2] {
            let (low, high) = cross.bounds().unwrap();
            let middle = low.toward(high, 0.5);
            assert!((middle.x - centre.x).hypot(middle.y - centre.y) < 1e-9);
        }
    }
}

/// Points along the cubic pieces of a path that lie on a circle of a radius, its centre below the
/// crown; the pieces that do not belong to it are left out by their size.
fn on_curves(path: &Path) -> Vec<[Point; 7]> {
    let mut pen = Point::default();
    let mut found = Vec::new();
    for segment in &path.segments {
        match *segment {
            Segment::Cubic(a, b, end) => {
                let at = |share: f64| {
                    let (p, q, r) = (
                        pen.toward(a, share),
                        a.toward(b, share),
                        b.toward(end, share),
                    );
                    p.toward(q, share).toward(q.toward(r, share), share)
                };
                found.push(std::array::from_fn(|step| at(step as f64 / 6.0)));
                pen = end;
            }
            Segment::Move(end) | Segment::Line(end) => pen = end,
            Segment::Close => {}
        }
    }
    found
}

/// The working edge of a plate: the longest curve, by its first point's chord.
fn working_edge(plate: &Path) -> Vec<Point> {
    let curves = on_curves(plate);
    // The outline begins with the working edge; its pieces are far longer than noses and corners.
    let longest = |piece: &[Point; 7]| (piece[6].x - piece[0].x).abs();
    let most = curves.iter().map(longest).fold(0.0, f64::max);
    let long = curves
        .into_iter()
        .filter(|piece| longest(piece) > 0.9 * most);
    long.flatten().collect()
}

#[test]
fn working_edges_lie_on_their_circles_and_concave_and_convex_are_one_arc() {
    for text in [HERON, BITTERN, AVOCET, SANDPIPER] {
        let board = read(text);
        for fret in usual_stations(&board) {
            let scene = gauge_patterns(&board, &[fret], ROW_MM, Look::default());
            let cut = paths(&layer(&scene, "cut").items);
            // Plate, hole, plate, hole.
            assert_eq!(cut.len(), 4, "{}", board.title);
            let radius = board.camber.radius(board.fret_x_mm(fret)).mm();
            let half = board.outline.half_width(board.fret_x_mm(fret));
            let mut shapes = Vec::new();
            for plate in [&cut[0], &cut[2]] {
                let edge = working_edge(plate);
                let crown = edge.iter().map(|at| at.y).fold(f64::INFINITY, f64::min);
                let (low, high) = (edge[0], edge[edge.len() - 1]);
                let centre = Point::new(0.5 * (low.x + high.x), crown + radius);
                for at in &edge {
                    let off = (at.x - centre.x).hypot(at.y - centre.y) - radius;
                    assert!(off.abs() < 1e-6, "{} fret {fret}: {off}", board.title);
                }
                // It passes the board's edges by 6 mm on both sides.
                assert!((high.x - low.x - 2.0 * (half + 6.0)).abs() < 1e-9);
                shapes.push(
                    edge.iter()
                        .map(|at| (at.x - low.x, at.y - crown))
                        .collect::<Vec<_>>(),
                );
            }
            for (concave, convex) in shapes[0].iter().zip(&shapes[1]) {
                assert!((concave.0 - convex.0).hypot(concave.1 - convex.1) < 1e-9);
            }
        }
    }
}

#[test]
fn an_outline_of_a_gauge_is_closed_and_turns_nowhere_by_a_corner() {
    let scene = gauge_patterns(&heron(), &[0], ROW_MM, Look::default());
    let cut = paths(&layer(&scene, "cut").items);
    for plate in [&cut[0], &cut[2]] {
        assert_eq!(plate.segments.last(), Some(&Segment::Close));
        let points: Vec<Point> = plate.points().collect();
        let heading = |a: Point, b: Point| (b.y - a.y).atan2(b.x - a.x);
        // Along control polygons the heading changes by less than a quarter turn in 15° pieces.
        let steps: Vec<f64> = points
            .windows(2)
            .filter(|pair| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y) > 1e-9)
            .map(|pair| heading(pair[0], pair[1]))
            .collect();
        for pair in steps.windows(2) {
            let turn = (pair[1] - pair[0]).sin().atan2((pair[1] - pair[0]).cos());
            assert!(turn.abs().to_degrees() < 15.0, "{}°", turn.to_degrees());
        }
    }
}

#[test]
fn gauges_carry_both_units_and_a_cylinder_needs_one() {
    let words = texts(&gauge_patterns(&heron(), &[5], ROW_MM, Look::default())).join(" ");
    // 240 + (400 − 240) · 159.2875/456.8092 mm, and 25.4 mm to the inch.
    assert!(
        words.contains("R 295.8 mm / 11.65 in, fret 5, concave"),
        "{words}"
    );
    assert!(words.contains("fret 5, convex"));
    assert_eq!(usual_stations(&heron()), [0, 5, 12, 17, 22]);
    assert_eq!(usual_stations(&read(SANDPIPER)), [0]);
    assert_eq!(usual_stations(&read(&narrow_and_flat())), [0]);
    // Avocet names fret 10 itself.
    assert!(usual_stations(&read(AVOCET)).contains(&10));
}

#[test]
fn a_flat_station_has_a_straight_working_edge() {
    let board = read(&narrow_and_flat());
    let scene = gauge_patterns(&board, &[0], ROW_MM, Look::default());
    let plate = &paths(&layer(&scene, "cut").items)[0];
    let [Segment::Move(from), Segment::Line(to), ..] = plate.segments[..] else {
        panic!("{:?}", plate.segments)
    };
    assert!((from.y - to.y).abs() < 1e-12 && (to.x - from.x - (10.0 + 12.0)).abs() < 1e-9);
    assert!(texts(&scene).iter().any(|text| text.contains("flat")));
}

#[test]
fn the_nuts_wood_is_its_camber_and_each_floor_stands_over_it_as_the_set_up_says() {
    let heron = heron();
    let sheet = sheet(&heron, None);
    let playing = playing(&heron, &sheet.strings, On::Planned);
    let scene = nut_pattern(&playing, Look::default());
    let wood = &paths(&layer(&scene, "wood").items)[0];
    let edge: Vec<Point> = on_curves(wood).into_iter().flatten().collect();
    let crown = edge.iter().map(|at| at.y).fold(f64::INFINITY, f64::min);
    let middle = 0.5 * (edge[0].x + edge[edge.len() - 1].x);
    assert!((edge[edge.len() - 1].x - edge[0].x - 42.5).abs() < 1e-9);
    for at in &edge {
        assert!(((at.x - middle).hypot(at.y - crown - 240.0) - 240.0).abs() < 1e-6);
    }
    let centres = paths(&layer(&scene, "string centres").items);
    for (index, path) in centres.iter().enumerate() {
        let (floor, foot) = path.bounds().unwrap();
        let y = middle - floor.x;
        assert!((y - heron.lanes[index].nut.1).abs() < 1e-9);
        let over = crown + drop(Radius::from_mm(240.0), y) - floor.y;
        let set = playing.set_up.strings[index].slot_over_wood_mm;
        assert!((over - set).abs() < 1e-9, "string {}", index + 1);
        // The blank stands on the board's underside, 6 mm below the crown.
        assert!((foot.y - crown - 6.0).abs() < 1e-9);
    }
}

#[test]
fn strings_stand_about_half_proud_of_the_nut() {
    // Common practice, no source: half the string's diameter.
    for board in [heron(), read(BITTERN), read(SANDPIPER)] {
        let sheet = sheet(&board, None);
        let playing = playing(&board, &sheet.strings, On::Planned);
        let scene = nut_pattern(&playing, Look::default());
        let slots = paths(&layer(&scene, "slots").items);
        for (slot, string) in slots.iter().zip(&board.strings) {
            let (low, high) = slot.bounds().unwrap();
            let share = (high.y - low.y) / string.gauge.mm();
            assert!((0.25..0.75).contains(&share), "{}: {share}", board.title);
            assert!(high.x - low.x <= string.gauge.mm() + 1e-6);
        }
    }
}

#[test]
fn a_square_saddles_top_is_the_set_ups_circle_and_set_backs_lie_past_its_line() {
    for board in [heron(), read(SANDPIPER)] {
        let sheet = sheet(&board, None);
        let playing = playing(&board, &sheet.strings, On::Planned);
        let scene = saddle_pattern(&playing, Look::default());
        let circle = playing.set_up.saddle_circle.clone().unwrap();
        let blank = &paths(&layer(&scene, "cut").items)[0];
        let edge: Vec<Point> = on_curves(blank).into_iter().flatten().collect();
        // The circle through three of its points has the set-up's radius.
        let (a, b, c) = (edge[0], edge[edge.len() / 2], edge[edge.len() - 1]);
        let side = |p: Point, q: Point| (p.x - q.x).hypot(p.y - q.y);
        let area = 0.5 * ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)).abs();
        let radius = side(a, b) * side(b, c) * side(c, a) / (4.0 * area);
        assert!((radius / circle.radius_mm - 1.0).abs() < 1e-6, "{radius}");
        let line = paths(&layer(&scene, "saddle line").items)[0]
            .bounds()
            .unwrap();
        let marks = paths(&layer(&scene, "set-backs").items);
        let backs = &playing.tuning().saddle_only.set_back;
        assert_eq!(marks.len(), backs.iter().flatten().count());
        for (index, (mark, back)) in marks.iter().zip(backs.iter().flatten()).enumerate() {
            let (low, high) = mark.bounds().unwrap();
            let lane = &board.lanes[index];
            let square = back.saddle_mm / lane.rise().hypot(1.0);
            let drawn = 0.5 * (low.y + high.y) - line.0.y;
            assert!((drawn - square).abs() < 1e-9, "string {}", index + 1);
        }
    }
}

#[test]
fn a_fans_saddle_is_as_long_as_its_line_and_nuts_places_are_along_it() {
    let bittern = read(BITTERN);
    let sheet = sheet(&bittern, None);
    let playing = playing(&bittern, &sheet.strings, On::Planned);
    let (first, last) = (bittern.lanes[0], bittern.lanes[4]);
    let far = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let line = paths(&layer(&saddle_pattern(&playing, Look::default()), "saddle line").items);
    let (low, high) = line[0].bounds().unwrap();
    // 5 mm past the outer strings on both sides.
    assert!((high.x - low.x - 10.0 - far(first.saddle, last.saddle)).abs() < 1e-9);
    let scene = nut_pattern(&playing, Look::default());
    // From above a slot's walls stand a string's width apart, square to the string.
    let walls = paths(&layer(&scene, "slots").items);
    for (string, pair) in bittern.strings.iter().zip(walls[5..].chunks(2)) {
        let points: Vec<Point> = pair.iter().flat_map(Path::points).collect();
        let (dx, dy) = (points[1].x - points[0].x, points[1].y - points[0].y);
        let width = (points[2].x - points[0].x) * dy / dx.hypot(dy);
        assert!((width.abs() - string.gauge.mm()).abs() < 1e-9, "{width}");
    }
    let nut = paths(&layer(&scene, "string centres").items);
    let x = |index: usize| nut[index].bounds().unwrap().0.x;
    assert!((x(4) - x(0) - far(first.nut, last.nut)).abs() < 1e-9);
}

#[test]
fn the_beams_marks_stand_in_the_ratio_of_the_radii() {
    let heron = heron();
    let scene = beam_card(&heron, &beam_path(&heron), Look::default());
    let marks = paths(&layer(&scene, "beam marks").items);
    let x: Vec<f64> = marks
        .iter()
        .map(|mark| mark.bounds().unwrap().0.x)
        .collect();
    // Four marks beside the centre on each of two strips.
    assert_eq!(x.len(), 8);
    assert!((x[3] - x[0] - 42.5).abs() < 1e-9);
    assert!(((x[7] - x[4]) / (x[3] - x[0]) - 400.0 / 240.0).abs() < 1e-9);
    assert!(((x[5] - x[4]) / (x[7] - x[4]) - 0.25).abs() < 1e-9);
    let words = texts(&scene);
    for label in ["+21.25 mm", "−21.25 mm", "+35.42 mm"] {
        assert!(words.iter().any(|text| text == label), "{label}");
    }
}

#[test]
fn tongues_are_as_long_as_the_slots_and_group_what_a_saw_cannot_tell_apart() {
    for text in [HERON, SANDPIPER, AVOCET, BITTERN] {
        let board = read(text);
        let sheet = sheet(&board, None);
        let groups = depth_groups(&sheet);
        let mut seen: Vec<usize> = Vec::new();
        for group in &groups {
            for fret in &group.frets {
                let short = group.depth_mm - sheet.frets[*fret].slot_depth_mm;
                assert!(
                    (-1e-12..=0.05 + 1e-6).contains(&short),
                    "fret {fret}: {short}"
                );
            }
            seen.extend(&group.frets);
        }
        seen.sort_unstable();
        assert!(seen.iter().copied().eq(1..=board.last_fret()));
        let tongues = paths(&layer(&depth_card(&board, &sheet, Look::default()), "cut").items);
        assert_eq!(tongues.len(), groups.len());
        for (tongue, group) in tongues.iter().zip(&groups) {
            let ys: Vec<f64> = tongue.points().map(|at| at.y).collect();
            let tip = ys.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let shoulder = ys.iter().copied().filter(|y| *y < tip - 1e-9);
            let shoulder = shoulder.fold(f64::NEG_INFINITY, f64::max);
            assert!((tip - shoulder - group.depth_mm).abs() < 1e-9);
        }
    }
    // A floor that follows the camber has one depth.
    assert_eq!(depth_groups(&sheet(&read(SANDPIPER), None)).len(), 1);
}

#[test]
fn every_figure_beside_a_mark_has_its_unit() {
    for (unit, sign) in [
        (LengthUnit::Millimetre, "mm"),
        (LengthUnit::FractionInch, "in"),
    ] {
        for scene in patterns(&heron(), look(unit)) {
            for text in texts(&scene) {
                if text.chars().any(|letter| letter == '.') && text.chars().any(char::is_numeric) {
                    let is_ratio = text.contains("Far sweep over near sweep");
                    assert!(
                        text.contains(sign) || is_ratio || !has_decimal(&text),
                        "{text}"
                    );
                }
            }
        }
    }
}

/// Whether a point stands between two digits.
fn has_decimal(text: &str) -> bool {
    let letters: Vec<char> = text.chars().collect();
    letters
        .windows(3)
        .any(|three| three[1] == '.' && three[0].is_ascii_digit() && three[2].is_ascii_digit())
}

#[test]
fn the_same_commission_gives_the_same_scenes() {
    let heron = heron();
    assert_eq!(
        patterns(&heron, Look::default()),
        patterns(&heron, Look::default())
    );
}
