//! The jig's drawing and its rails at true size: to scale, whole, and on the sheet.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{UNITS, boards, check, check_frame, heron, layer, paths, texts};
use bench::jigs::{JIG_CAUTIONS, Jigs, Rail, jigs};
use bench::machine::Carriage;
use drawing::pictures::{Look, jig_drawing, rail_pattern};
use drawing::{
    Item, Page, Palette, PdfOptions, Point, SvgOptions, SvgPalette, write_pdf, write_svg,
};
use instrument::Instrument;

/// What a writer may round a coordinate by, mm.
const ROUNDED_MM: f64 = 1e-9;

fn found(board: &Instrument) -> Jigs {
    jigs(board, Carriage::default())
}

fn rails(board: &Instrument) -> Vec<Rail> {
    let sleds = found(board)
        .settings
        .into_iter()
        .filter_map(|one| one.sled.ok());
    sleds.flat_map(|sled| sled.rails).collect()
}

/// The item of a key in a layer, as a path.
fn keyed(items: &[Item], key: &str) -> drawing::Path {
    let items: Vec<Item> = items
        .iter()
        .filter(|item| item.key.as_deref() == Some(key))
        .cloned()
        .collect();
    paths(&items).remove(0)
}

#[test]
fn every_board_s_jigs_are_drawn_whole_in_every_unit() {
    for board in boards() {
        for unit in UNITS {
            let look = Look {
                unit,
                ..Look::default()
            };
            for setting in &found(&board).settings {
                check(&jig_drawing(&board, setting, Carriage::default(), look));
            }
            for rail in rails(&board) {
                check(&rail_pattern("rail before the nut", &rail, look));
            }
        }
    }
}

#[test]
fn a_rail_s_pattern_has_its_true_size() {
    for board in boards() {
        for rail in rails(&board) {
            let scene = rail_pattern("rail", &rail, Look::default());
            let outline = keyed(&layer(&scene, "cut").items, "rail");
            let (low, high) = outline.bounds().unwrap();
            assert!((high.y - low.y - rail.crown_height_mm).abs() < ROUNDED_MM);
            let ends = [rail.profile_mm[0].0, rail.profile_mm[96].0];
            assert!((high.x - low.x - (ends[1] - ends[0])).abs() < ROUNDED_MM);
            // Every point of the curve stands as high over the foot as the profile does there.
            let points: Vec<Point> = outline.points().collect();
            for (at, (_, height)) in points.iter().zip(rail.profile_mm.iter().rev()) {
                assert!((high.y - at.y - height).abs() < ROUNDED_MM);
            }
            assert_eq!(points.len(), rail.profile_mm.len() + 2);
            // The outline is closed: a cutter comes back to where it began.
            assert!(matches!(
                outline.segments.last(),
                Some(drawing::Segment::Close)
            ));
        }
    }
}

#[test]
fn a_rail_is_marked_at_its_crown_and_stops() {
    let rail = &rails(&heron())[0];
    let scene = rail_pattern("rail", rail, Look::default());
    let outline = keyed(&layer(&scene, "cut").items, "rail");
    let foot = outline.bounds().unwrap().1.y;
    let marks = layer(&scene, "marks").items;
    let top = |key: &str| keyed(&marks, key).points().next().unwrap();
    let (crown, treble, bass) = (top("crown"), top("stop-treble"), top("stop-bass"));
    assert!((foot - crown.y - 46.0).abs() < ROUNDED_MM);
    // Seen from the nut the treble side is at the left.
    assert!((crown.x - treble.x - rail.stops_mm[0].0).abs() < ROUNDED_MM && treble.x < bass.x);
    assert!((foot - treble.y - rail.stops_mm[0].1).abs() < ROUNDED_MM);
    assert_eq!(top("foot").x, crown.x);
    let words = texts(&scene).join("|");
    for part in [
        "radius 246.00 mm",
        "crown 46.00 mm",
        "40.00 mm before the nut",
        "28.29 mm",
    ] {
        assert!(words.contains(part), "{part} in {words}");
    }
}

#[test]
fn a_printed_rail_is_as_large_as_its_millimetres() {
    // SVG 2, 8.2: a width in mm with a view box of the same figures draws at true size.
    let rail = &rails(&heron())[1];
    let scene = rail_pattern("rail", rail, Look::default());
    let options = SvgOptions {
        palette: SvgPalette::Fixed(Palette::Print),
        ..SvgOptions::default()
    };
    let svg = write_svg(&scene, &options);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let root = document.root_element();
    let figure = |name: &str| {
        root.attribute(name)
            .unwrap()
            .trim_end_matches("mm")
            .to_owned()
    };
    let (width, height) = (figure("width"), figure("height"));
    assert_eq!(
        root.attribute("viewBox"),
        Some(format!("0 0 {width} {height}").as_str())
    );
    let page = Page {
        width_mm: scene.width_mm,
        height_mm: scene.height_mm,
        scene,
    };
    assert!(write_pdf(&[page], &PdfOptions::default()).is_ok());
}

#[test]
fn the_drawing_is_to_one_scale_along_and_up() {
    let board = heron();
    let jigs = found(&board);
    let scene = jig_drawing(
        &board,
        &jigs.settings[0],
        Carriage::default(),
        Look::default(),
    );
    let bounds = |name: &str| paths(&layer(&scene, name).items)[0].bounds().unwrap();
    let (board_low, board_high) = bounds("wood");
    let scale = (board_high.x - board_low.x) / board.end_x_mm();
    assert!(((board_high.y - board_low.y) / scale - 6.0).abs() < 1e-6);
    let (rail_low, rail_high) = bounds("rails");
    assert!(((rail_high.y - rail_low.y) / scale - 46.0).abs() < 1e-6);
    assert!(((board_low.x - rail_high.x) / scale - 40.0).abs() < 1e-6);
    // The cutter's end meets the board's face, the plate's underside the rail's crown.
    let (cutter_low, cutter_high) = bounds("cutter");
    assert!((cutter_high.y - board_low.y).abs() < 1e-9);
    let (_, plate_high) = bounds("plate");
    assert!((plate_high.y - rail_low.y).abs() < 1e-9 && (cutter_low.y - plate_high.y).abs() < 1e-9);
    let pivots = paths(&layer(&scene, "axis").items);
    assert!(pivots.len() >= 5, "axis, two pivots, two arms");
}

#[test]
fn cautions_and_refusals_stand_on_the_drawing() {
    for board in boards() {
        for setting in &found(&board).settings {
            let scene = jig_drawing(&board, setting, Carriage::default(), Look::default());
            let words = texts(&scene).join(" ");
            for caution in JIG_CAUTIONS {
                assert!(words.contains(caution), "{caution} in {words}");
            }
            for fault in [
                setting.sled.as_ref().err().map(ToString::to_string),
                setting.arm.as_ref().err().map(ToString::to_string),
            ] {
                assert!(fault.is_none_or(|fault| words.contains(&fault)), "{words}");
            }
        }
    }
    let flat = &boards()[3];
    let scene = jig_drawing(
        flat,
        &found(flat).settings[0],
        Carriage::default(),
        Look::default(),
    );
    assert!(
        texts(&scene)
            .join(" ")
            .contains("no swing arm: a flat board")
    );
    assert!(layer(&scene, "axis").items.is_empty());
}

#[test]
fn odd_carriages_cost_themselves() {
    let board = heron();
    let usual = Carriage::default();
    for odd in [0.5, 149.0, f64::NAN, 1e7] {
        for carriage in [
            Carriage {
                below_mm: odd,
                ..usual
            },
            Carriage {
                base_mm: odd,
                ..usual
            },
            Carriage {
                cutter_mm: odd,
                ..usual
            },
        ] {
            for setting in &jigs(&board, carriage).settings {
                let scene = jig_drawing(&board, setting, carriage, Look::default());
                if odd.is_nan() || odd > 1e6 {
                    assert!(!scene.title.is_empty());
                } else {
                    check_frame(&scene);
                }
            }
        }
    }
}
