//! The cutter's writer, judged by reading its pairs of group codes and values back.
//!
//! Group codes as in the published description of the format (Autodesk, DXF Reference for
//! AutoCAD 2000).

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use std::collections::{BTreeMap, BTreeSet};

use drawing::{
    Anchor, Dash, DrawingError, Ink, Item, Path, Point, Scene, Stroke, Weight, text_width_mm,
    write_dxf,
};

/// Half of the last decimal that is written, and what doubles add, mm.
const ROUNDING_MM: f64 = 0.5e-6 + 1e-9;

const HEIGHT_MM: f64 = 90.0;

type Pair = (u16, String);

/// A record: its kind and the pairs after it.
#[derive(Debug, Clone)]
struct Record {
    kind: String,
    pairs: Vec<Pair>,
}

impl Record {
    fn all(&self, code: u16) -> Vec<&str> {
        let pairs = self.pairs.iter().filter(|pair| pair.0 == code);
        pairs.map(|pair| pair.1.as_str()).collect()
    }

    fn one(&self, code: u16) -> &str {
        let found = self.all(code);
        assert_eq!(found.len(), 1, "{code} in {self:?}");
        found[0]
    }

    fn reals(&self, code: u16) -> Vec<f64> {
        let values = self.all(code);
        values.iter().map(|value| value.parse().unwrap()).collect()
    }

    /// The points under a code, y up.
    fn points(&self, code: u16) -> Vec<Point> {
        let (x, y) = (self.reals(code), self.reals(code + 10));
        assert_eq!(x.len(), y.len());
        x.into_iter()
            .zip(y)
            .map(|(x, y)| Point::new(x, y))
            .collect()
    }
}

fn pairs(text: &str) -> Vec<Pair> {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0);
    let pair = |pair: &[&str]| (pair[0].trim().parse().unwrap(), pair[1].to_owned());
    lines.chunks(2).map(pair).collect()
}

/// The file's sections by name, in order, each as its records. The first record of a section
/// holds its name and, in the header, its variables.
fn sections(text: &str) -> Vec<(String, Vec<Record>)> {
    let mut sections: Vec<(String, Vec<Record>)> = Vec::new();
    let mut is_open = false;
    let mut has_ended = false;
    for (code, value) in pairs(text) {
        assert!(!has_ended, "{code} {value} after the end");
        match (code, value.as_str()) {
            (0, "SECTION") => {
                assert!(!is_open);
                is_open = true;
                sections.push((String::new(), Vec::new()));
            }
            (0, "ENDSEC") => is_open = false,
            (0, "EOF") => has_ended = true,
            (0, _) => {
                assert!(is_open);
                sections.last_mut().unwrap().1.push(Record {
                    kind: value,
                    pairs: Vec::new(),
                });
            }
            _ => {
                let (name, records) = sections.last_mut().unwrap();
                match (name.is_empty(), records.last_mut()) {
                    (true, _) => *name = value,
                    (false, Some(record)) => record.pairs.push((code, value)),
                    (false, None) => records.push(Record {
                        kind: name.clone(),
                        pairs: vec![(code, value)],
                    }),
                }
            }
        }
    }
    assert!(has_ended && !is_open);
    sections
}

fn section(text: &str, name: &str) -> Vec<Record> {
    let found = sections(text).into_iter().find(|section| section.0 == name);
    found.unwrap().1
}

fn entities(scene: &Scene) -> Vec<Record> {
    section(&write_dxf(scene).unwrap(), "ENTITIES")
}

/// The values of a variable of the header.
fn variable(text: &str, name: &str) -> Vec<String> {
    let header = section(text, "HEADER");
    let values = header[0]
        .pairs
        .iter()
        .skip_while(|pair| pair.1 != name)
        .skip(1);
    let values = values.take_while(|pair| pair.0 != 9);
    values.map(|pair| pair.1.clone()).collect()
}

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// The same place in the file, whose y points up.
fn up(point: Point) -> Point {
    at(point.x, HEIGHT_MM - point.y)
}

fn assert_near(found: &[Point], expected: &[Point]) {
    assert_eq!(found.len(), expected.len(), "{found:?} {expected:?}");
    for (found, expected) in found.iter().zip(expected) {
        let off = (found.x - expected.x)
            .abs()
            .max((found.y - expected.y).abs());
        assert!(off <= ROUNDING_MM, "{found:?} for {expected:?}");
    }
}

fn scene(items: Vec<Item>) -> Scene {
    let mut scene = Scene::new(520.0, HEIGHT_MM, "Heron, fret pattern", "d");
    scene.layer("cut").extend(items);
    scene
}

fn stroked(path: Path) -> Item {
    Item::stroked(path, Ink::Line, 0.25)
}

/// A path of straight lines and curves, closed.
fn rounded() -> Path {
    Path::new()
        .move_to(at(10.0, 10.0))
        .line_to(at(40.0, 10.0))
        .cubic_to(at(50.0, 10.0), at(55.0, 15.0), at(55.0, 25.0))
        .line_to(at(1.0 / 3.0, 40.123_456_7))
        .close()
}

/// One scene with everything in it.
fn everything() -> Scene {
    let mut scene = scene(vec![
        stroked(Path::line(at(1.0, 2.0), at(3.0, 4.0))),
        stroked(Path::rect(5.0, 5.0, 20.0, 30.0)).dashed(Dash::Dashed),
        stroked(Path::circle(at(60.0, 40.0), 7.0)).dashed(Dash::Dotted),
        stroked(rounded()).dashed(Dash::Chain),
    ]);
    let words = scene.layer("words: “R 16″”");
    let text = Item::text(at(100.0, 50.0), "R 16″ ±0.02 mm", 4.0, Ink::Text);
    words.add(text.clone());
    words.add(text.clone().anchored(Anchor::Middle).turned(30.0));
    words.add(text.anchored(Anchor::End).weighted(Weight::Bold));
    let dots = vec![
        Item::filled(Path::circle(at(200.0, 45.0), 3.0), Ink::Fret),
        Item::group(vec![stroked(Path::line(at(9.0, 9.0), at(8.0, 8.0)))]),
    ];
    scene
        .layer("0")
        .add(Item::clipped(dots, Path::rect(0.0, 0.0, 5.0, 5.0)));
    scene.layer("");
    scene
}

#[test]
fn the_file_has_every_section_in_order_and_says_millimetres() {
    let text = write_dxf(&everything()).unwrap();
    let names: Vec<String> = sections(&text)
        .into_iter()
        .map(|section| section.0)
        .collect();
    let order = [
        "HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS",
    ];
    assert_eq!(names, order);
    assert_eq!(variable(&text, "$ACADVER"), ["AC1015"]);
    assert_eq!(variable(&text, "$INSUNITS"), ["4"]);
    assert_eq!(variable(&text, "$MEASUREMENT"), ["1"]);
    assert!(text.is_ascii());
}

#[test]
fn the_tables_are_those_that_r2000_demands() {
    let records = section(&write_dxf(&everything()).unwrap(), "TABLES");
    let tables: Vec<&Record> = records
        .iter()
        .filter(|record| record.kind == "TABLE")
        .collect();
    let names: Vec<&str> = tables.iter().map(|table| table.one(2)).collect();
    let demanded = [
        "VPORT",
        "LTYPE",
        "LAYER",
        "STYLE",
        "VIEW",
        "UCS",
        "APPID",
        "DIMSTYLE",
        "BLOCK_RECORD",
    ];
    assert_eq!(names, demanded);
    for table in &tables {
        let entries = records.iter().filter(|record| record.kind == table.one(2));
        assert_eq!(
            entries.count().to_string(),
            table.all(70)[0],
            "{}",
            table.one(2)
        );
    }
    let named = |kind: &str| -> Vec<String> {
        let entries = records.iter().filter(|record| record.kind == kind);
        entries.map(|record| record.one(2).to_owned()).collect()
    };
    assert_eq!(
        named("LAYER"),
        ["0", "cut", "words---R-16--", "0-2", "layer"]
    );
    let types = [
        "ByBlock",
        "ByLayer",
        "Continuous",
        "DASHED",
        "DOTTED",
        "CHAIN",
    ];
    assert_eq!(named("LTYPE"), types);
    assert_eq!(named("APPID"), ["ACAD"]);
    assert_eq!(named("BLOCK_RECORD"), ["*Model_Space", "*Paper_Space"]);
}

/// The handle of every record or table, in the order of the file.
fn handles(text: &str) -> Vec<u32> {
    let mut handles = Vec::new();
    for (_, records) in sections(text).into_iter().skip(2) {
        for record in &records {
            let code = if record.kind == "DIMSTYLE" { 105 } else { 5 };
            if record.kind != "ENDTAB" {
                handles.push(u32::from_str_radix(record.one(code), 16).unwrap());
            }
        }
    }
    handles
}

#[test]
fn handles_rise_and_every_owner_exists() {
    let text = write_dxf(&everything()).unwrap();
    let handles = handles(&text);
    assert!(handles.len() > 40);
    assert!(handles[0] > 0 && handles.windows(2).all(|pair| pair[0] < pair[1]));
    let known: BTreeSet<u32> = handles.iter().copied().collect();
    let seed = u32::from_str_radix(&variable(&text, "$HANDSEED")[0], 16).unwrap();
    assert!(handles.iter().all(|handle| *handle < seed));
    // 330 names the owner; tables and the root dictionary have none. 350 names an entry.
    for (code, value) in pairs(&text) {
        if code == 330 || code == 350 {
            let handle = u32::from_str_radix(&value, 16).unwrap();
            assert!(handle == 0 || known.contains(&handle), "{code} {value}");
        }
    }
    let spaces = section(&text, "TABLES");
    let model = spaces
        .iter()
        .find(|record| record.all(2) == ["*Model_Space"]);
    for entity in section(&text, "ENTITIES") {
        assert_eq!(entity.one(330), model.unwrap().one(5));
    }
}

#[test]
fn numbers_have_no_exponent_and_at_most_six_decimals() {
    let odd = scene(vec![
        stroked(Path::line(
            at(1e-9, -1e-7),
            at(999_999.123_456_78, -999_999.999_999_9),
        )),
        Item::stroked(Path::line(at(0.0, 0.0), at(1.0, 1.0)), Ink::Line, 1e-9).dashed(Dash::Chain),
    ]);
    for text in [write_dxf(&odd).unwrap(), write_dxf(&everything()).unwrap()] {
        for (code, value) in pairs(&text) {
            if !matches!(code, 10..=59 | 210..=239) {
                continue;
            }
            let (whole, decimals) = value.trim_start_matches('-').split_once('.').unwrap();
            let are_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
            assert!(are_digits(whole) && are_digits(decimals), "{code} {value}");
            assert!(
                (1..=6).contains(&decimals.len()) && !whole.is_empty(),
                "{code} {value}"
            );
            assert_ne!(value, "-0.0");
        }
    }
    let records = entities(&odd);
    assert_eq!(records[0].one(11), "999999.123457");
    // A scale of nothing would be refused by readers.
    assert_eq!(records[1].one(48), "0.000001");
}

#[test]
fn straight_outlines_become_lines_and_polylines_with_y_up() {
    let open = [at(1.0, 1.0), at(30.5, 2.25), at(40.0, 80.0)];
    let records = entities(&scene(vec![
        stroked(Path::line(at(0.0, 0.0), at(520.0, HEIGHT_MM))),
        stroked(Path::polyline(&open)),
        stroked(Path::polygon(&open)),
        // Drawn back to its start by hand, and then closed.
        stroked(Path::polyline(&[open[0], open[1], open[2], open[0]]).close()),
    ]));
    let kinds: Vec<&str> = records.iter().map(|record| record.kind.as_str()).collect();
    assert_eq!(kinds, ["LINE", "LWPOLYLINE", "LWPOLYLINE", "LWPOLYLINE"]);
    assert_near(&records[0].points(10), &[at(0.0, HEIGHT_MM)]);
    assert_near(&records[0].points(11), &[at(520.0, 0.0)]);
    for (record, closed) in records[1..].iter().zip(["0", "1", "1"]) {
        assert_near(&record.points(10), &open.map(up));
        assert_eq!((record.one(70), record.one(90)), (closed, "3"));
    }
}

/// A point of a B-spline by de Boor's rule, as its defining equation gives it (Piegl and Tiller,
/// The NURBS Book, 2.5, from memory).
fn spline_point(controls: &[Point], knots: &[f64], at_knot: f64) -> Point {
    let degree = 3;
    let last = controls.len() - 1;
    let span = (degree..=last)
        .rev()
        .find(|span| knots[*span] <= at_knot && knots[*span] < knots[span + 1])
        .unwrap();
    let mut row: Vec<Point> = controls[span - degree..=span].to_vec();
    for round in 1..=degree {
        for index in (round..=degree).rev() {
            let knot = span - degree + index;
            let (low, high) = (knots[knot], knots[knot + degree + 1 - round]);
            row[index] = row[index - 1].toward(row[index], (at_knot - low) / (high - low));
        }
    }
    row[degree]
}

#[test]
fn curves_become_splines_that_follow_them_exactly() {
    let path = Path::arc(at(60.0, 40.0), 21.0, -20.0, 95.0);
    let records = entities(&scene(vec![stroked(path.clone())]));
    assert_eq!(records.len(), 1);
    let (controls, knots) = (records[0].points(10), records[0].reals(40));
    assert_eq!(
        (records[0].kind.as_str(), records[0].one(71)),
        ("SPLINE", "3")
    );
    assert_eq!(records[0].one(72), knots.len().to_string());
    assert_eq!(records[0].one(73), controls.len().to_string());
    assert_eq!(knots.len(), controls.len() + 4);
    assert_near(&controls, &path.points().map(up).collect::<Vec<_>>());
    let curves = controls.len() / 3;
    for step in 0..200 {
        let at_knot = curves as f64 * f64::from(step) / 200.0;
        let on = spline_point(&controls, &knots, at_knot);
        // The path itself is within 6e-9 of its radius of the circle.
        let off = (on.x - 60.0).hypot(on.y - (HEIGHT_MM - 40.0)) - 21.0;
        assert!(off.abs() < 2.0 * ROUNDING_MM + 21.0 * 6e-9, "{off}");
    }
}

#[test]
fn mixed_outlines_are_drawn_end_to_end() {
    let records = entities(&scene(vec![stroked(rounded())]));
    let kinds: Vec<&str> = records.iter().map(|record| record.kind.as_str()).collect();
    assert_eq!(kinds, ["LINE", "SPLINE", "LWPOLYLINE"]);
    let curve = [
        at(40.0, 10.0),
        at(50.0, 10.0),
        at(55.0, 15.0),
        at(55.0, 25.0),
    ];
    assert_near(&records[1].points(10), &curve.map(up));
    let rest = [at(55.0, 25.0), at(1.0 / 3.0, 40.123_456_7), at(10.0, 10.0)];
    assert_near(&records[2].points(10), &rest.map(up));
    assert_eq!(records[2].one(70), "0");
}

#[test]
fn broken_lines_have_types_of_the_lengths_of_the_scene() {
    let text = write_dxf(&everything()).unwrap();
    let tables = section(&text, "TABLES");
    for (entity, dash) in [(1, Dash::Dashed), (2, Dash::Dotted), (3, Dash::Chain)] {
        let entity = &section(&text, "ENTITIES")[entity];
        let scale: f64 = entity.one(48).parse().unwrap();
        let is_type = |record: &&Record| record.kind == "LTYPE" && record.one(2) == entity.one(6);
        let drawn = tables.iter().find(is_type).unwrap().reals(49);
        let expected = dash.lengths_mm(0.25);
        assert_eq!(drawn.len(), expected.len());
        for (index, (drawn, expected)) in drawn.iter().zip(expected).enumerate() {
            let sign = if index % 2 == 0 { 1.0 } else { -1.0 };
            assert!((drawn * scale - sign * expected).abs() < ROUNDING_MM);
        }
    }
    let unbroken = &section(&text, "ENTITIES")[0];
    assert!(unbroken.all(6).is_empty() && unbroken.all(48).is_empty());
}

#[test]
fn texts_stand_where_their_anchors_say_and_turn_the_right_way() {
    let records = entities(&everything());
    let texts: Vec<&Record> = records
        .iter()
        .filter(|record| record.kind == "TEXT")
        .collect();
    let width = text_width_mm("R 16″ ±0.02 mm", 4.0, Weight::Regular);
    let held = up(at(100.0, 50.0));
    assert_near(&texts[0].points(10), &[held]);
    assert_eq!(texts[0].one(1), "R 16\\U+2033 \\U+00B10.02 mm");
    assert!(texts[0].all(72).is_empty());
    // Turned 30° clockwise on the sheet: the text begins up and to the left of its middle.
    let back = at(
        held.x - 0.5 * width * 30.0_f64.to_radians().cos(),
        held.y + 0.5 * width * 30.0_f64.to_radians().sin(),
    );
    assert_near(&texts[1].points(10), &[back]);
    assert_near(&texts[1].points(11), &[held]);
    assert_eq!((texts[1].one(72), texts[1].one(50)), ("1", "330.0"));
    assert_near(&texts[2].points(11), &[held]);
    assert_eq!((texts[2].one(72), texts[2].one(7)), ("2", "Bold"));
    // Capitals of the font stand 0.729 of the em high (its own tables: 1493 of 2048).
    assert_eq!(texts[0].one(40), "2.916");
}

#[test]
fn signs_that_readers_take_for_commands_are_only_signs() {
    let text = |text: &str| Item::text(at(0.0, 0.0), text, 3.0, Ink::Text);
    let records = entities(&scene(vec![text("5 %%d ^J \\P 𝄞\n"), text("50 % wet")]));
    assert_eq!(records[0].one(1), "5 %%%%%%d ^ J \\U+005CP \\U+FFFD");
    assert_eq!(records[1].one(1), "50 % wet");
}

#[test]
fn everything_of_a_scene_is_found_on_its_layer() {
    let records = entities(&everything());
    let mut kinds: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for record in &records {
        *kinds
            .entry((record.one(8), record.kind.as_str()))
            .or_default() += 1;
    }
    let expected = [
        (("0-2", "LINE"), 1),
        (("0-2", "SPLINE"), 1),
        (("cut", "LINE"), 2),
        (("cut", "LWPOLYLINE"), 2),
        (("cut", "SPLINE"), 2),
        (("words---R-16--", "TEXT"), 3),
    ];
    assert_eq!(kinds, BTreeMap::from(expected));
    let written: Vec<Point> = records
        .iter()
        .flat_map(|record| [record.points(10), record.points(11)].concat())
        .collect();
    let has = |point: Point| {
        let off = |other: &Point| (other.x - point.x).abs().max((other.y - point.y).abs());
        written.iter().any(|other| off(other) <= ROUNDING_MM)
    };
    let paths = [
        Path::line(at(1.0, 2.0), at(3.0, 4.0)),
        Path::rect(5.0, 5.0, 20.0, 30.0),
        Path::circle(at(60.0, 40.0), 7.0),
        rounded(),
        Path::circle(at(200.0, 45.0), 3.0),
        Path::line(at(9.0, 9.0), at(8.0, 8.0)),
    ];
    for point in paths.iter().flat_map(Path::points) {
        assert!(has(up(point)), "{point:?}");
    }
}

#[test]
fn the_header_holds_the_extent_of_what_is_drawn() {
    let drawn = scene(vec![
        stroked(Path::line(at(10.0, 20.0), at(50.0, 60.0))),
        stroked(Path::line(at(30.0, 5.0), at(100.5, 30.0))),
    ]);
    let text = write_dxf(&drawn).unwrap();
    assert_eq!(variable(&text, "$EXTMIN"), ["10.0", "30.0", "0.0"]);
    assert_eq!(variable(&text, "$EXTMAX"), ["100.5", "85.0", "0.0"]);
    let text = write_dxf(&scene(vec![])).unwrap();
    assert_eq!(variable(&text, "$EXTMIN"), ["0.0", "0.0", "0.0"]);
    assert_eq!(variable(&text, "$EXTMAX"), ["520.0", "90.0", "0.0"]);
}

#[test]
fn fillings_become_outlines_and_unseen_things_nothing() {
    let square = || Path::rect(5.0, 5.0, 20.0, 30.0);
    let bad = |value: f64| stroked(Path::line(at(value, 0.0), at(1.0, 1.0)));
    let records = entities(&scene(vec![
        Item::filled(square(), Ink::Wood),
        Item::path(square(), Some(Stroke::new(Ink::Line, 0.2)), Some(Ink::Wood)),
        Item::path(square(), None, None),
        Item::filled(square(), Ink::Paper),
        Item::stroked(square(), Ink::Paper, 0.2),
        stroked(Path::line(at(5.0, 5.0), at(5.0, 5.0))),
        stroked(Path::new().move_to(at(1.0, 1.0)).close()),
        bad(f64::NAN),
        bad(f64::INFINITY),
        bad(1e9),
        Item::text(at(0.0, 0.0), "x", -1.0, Ink::Text),
        Item::clipped(vec![bad(0.0)], Path::circle(at(f64::NAN, 0.0), 1.0)),
    ]));
    assert_eq!(records.len(), 2);
    assert!(records.iter().all(|record| record.kind == "LWPOLYLINE"));
}

#[test]
fn layers_whose_names_read_alike_stay_apart() {
    let mut scene = Scene::new(100.0, HEIGHT_MM, "t", "d");
    let line = || stroked(Path::line(at(0.0, 0.0), at(1.0, 1.0)));
    for name in ["slots", "Slots", "slots-2", "a/b", "a*b", "Defpoints"] {
        scene.layer(name).add(line());
    }
    scene.layer(&"long".repeat(100)).add(line());
    let records = entities(&scene);
    let names: Vec<&str> = records.iter().map(|record| record.one(8)).collect();
    let expected = [
        "slots",
        "Slots-2",
        "slots-2-2",
        "a-b",
        "a-b-2",
        "Defpoints-2",
    ];
    assert_eq!(names[..6], expected);
    assert!(names[6].len() <= 255);
}

#[test]
fn outlines_that_nearly_close_are_closed_and_a_line_is_drawn_once() {
    let corners = [at(5.0, 5.0), at(25.0, 5.0), at(25.0, 35.0)];
    let [first, second, third] = corners;
    let nearly = at(5.0 + 1e-9, 5.0 - 1e-9);
    let records = entities(&scene(vec![
        stroked(Path::polyline(&[first, second, third, nearly]).close()),
        stroked(Path::polygon(&[first, second])),
        stroked(Path::polygon(&[first, second, first])),
    ]));
    let kinds: Vec<&str> = records.iter().map(|record| record.kind.as_str()).collect();
    assert_eq!(kinds, ["LWPOLYLINE", "LINE", "LINE"]);
    assert_near(&records[0].points(10), &corners.map(up));
    assert_eq!(records[0].one(70), "1");
}

#[test]
fn the_same_scene_gives_the_same_file() {
    let scene = everything();
    assert_eq!(write_dxf(&scene).unwrap(), write_dxf(&scene).unwrap());
}

#[test]
fn scenes_without_size_are_refused() {
    for side in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e7] {
        let error = write_dxf(&Scene::new(100.0, side, "t", "d")).unwrap_err();
        assert!(matches!(error, DrawingError::SceneSize { .. }), "{error}");
    }
    let error = write_dxf(&Scene::new(-1.0, 90.0, "t", "d")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "scene is -1 mm by 90 mm; give a width and height above 0 mm, at most 1000000 mm"
    );
}
