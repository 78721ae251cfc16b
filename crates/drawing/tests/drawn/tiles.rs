//! Scenes on sheets to be joined, and on one long page.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{all, layer, texts};
use drawing::{
    Anchor, BarReading, DrawingError, Ink, Item, MOST_SHEETS, Orientation, Page, Paper, Path,
    PdfOptions, Point, PrintedBars, Scene, Shape, SheetOptions, SheetSide, Tiling, long_page,
    tiles, write_pdf,
};
use lopdf::Document;

/// What adding and scaling in double precision leaves of a place on a sheet, mm.
const ROUNDING_MM: f64 = 1e-9;

/// Half the arms of the crosses that stand for points of a scene, mm.
const ARM_MM: f64 = 0.5;

/// What a printer did to the bars: too short along one side, too long along the other.
const ODD_BARS: PrintedBars = PrintedBars {
    short_side: BarReading::of_100_mm(99.6),
    long_side: BarReading::of_100_mm(101.3),
};

/// Points of a scene every 15 mm, each under a key of its own.
fn places(width_mm: f64, height_mm: f64) -> Vec<(String, Point)> {
    let steps = |side: f64| (0..=(side / 15.0) as usize).map(|step| 15.0 * step as f64);
    let mut places = Vec::new();
    for y in steps(height_mm) {
        places.extend(steps(width_mm).map(|x| (format!("place-{x}-{y}"), Point::new(x, y))));
    }
    places
}

/// A scene with a short line centred on each of its places.
fn scene(width_mm: f64, height_mm: f64) -> Scene {
    let mut scene = Scene::new(width_mm, height_mm, "Heron, fret pattern", "Places.");
    let layer = scene.layer("places");
    for (key, at) in places(width_mm, height_mm) {
        let from = Point::new(at.x - ARM_MM, at.y - ARM_MM);
        let to = Point::new(at.x + ARM_MM, at.y + ARM_MM);
        layer.add(Item::stroked(Path::line(from, to), Ink::Line, 0.2).keyed(key));
    }
    scene
}

/// Where a page has the middle of the line of a key.
fn found(page: &Page, key: &str) -> Option<Point> {
    let items = page.scene.layers.iter().flat_map(|layer| all(&layer.items));
    let item = items
        .into_iter()
        .find(|item| item.key.as_deref() == Some(key))?;
    let Shape::Path { path, .. } = &item.shape else {
        return None;
    };
    let points: Vec<Point> = path.points().collect();
    Some(points[0].toward(points[1], 0.5))
}

fn distance(one: Point, other: Point) -> f64 {
    (one.x - other.x).hypot(one.y - other.y)
}

fn is_inside(point: Point, (low, high): (Point, Point)) -> bool {
    (low.x..=high.x).contains(&point.x) && (low.y..=high.y).contains(&point.y)
}

/// Every sheet by column, row and page.
fn laid(scene: &Scene, options: &SheetOptions) -> (Tiling, Vec<(usize, usize, Page)>) {
    let tiling = Tiling::new(scene, options).unwrap();
    let pages = tiles(scene, options).unwrap();
    assert_eq!(pages.len(), tiling.sheets());
    let columns = tiling.columns();
    let place = |(index, page)| (index % columns, index / columns, page);
    let sheets = pages.into_iter().enumerate().map(place).collect();
    (tiling, sheets)
}

/// Papers, scenes and printers that sheets are tried with.
fn cases() -> Vec<(Scene, SheetOptions)> {
    let mut cases = Vec::new();
    for paper in Paper::ALL {
        for (width, height) in [(520.0, 90.0), (90.0, 520.0), (500.0, 610.0), (120.0, 60.0)] {
            for bars in [PrintedBars::TRUE, ODD_BARS] {
                let options = SheetOptions {
                    bars,
                    ..SheetOptions::new(paper)
                };
                cases.push((scene(width, height), options));
            }
        }
    }
    cases
}

#[test]
fn a_place_lands_where_the_printer_puts_it_in_true_size() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        // The printer's own scale along the page's width and height.
        let printed = match tiling.orientation() {
            Orientation::Upright => (options.bars.short_side, options.bars.long_side),
            Orientation::Lying => (options.bars.long_side, options.bars.short_side),
        };
        let scales = (printed.0.measured_mm / 100.0, printed.1.measured_mm / 100.0);
        for (column, row, page) in &sheets {
            let map = tiling.page_from_scene(*column, *row);
            let seen: Vec<(Point, Point)> = places(scene.width_mm, scene.height_mm)
                .into_iter()
                .filter_map(|(key, at)| Some((at, found(page, &key)?)))
                .collect();
            for (at, on_page) in &seen {
                assert!(distance(map.apply(*at), *on_page) < ROUNDING_MM);
                // On the print, any two places are as far apart as on the scene.
                let (first_at, first_on_page) = seen[0];
                let across = (on_page.x - first_on_page.x) * scales.0;
                let down = (on_page.y - first_on_page.y) * scales.1;
                assert!((across - (at.x - first_at.x)).abs() < ROUNDING_MM);
                assert!((down - (at.y - first_at.y)).abs() < ROUNDING_MM);
            }
        }
    }
}

#[test]
fn every_place_is_on_a_sheet_and_on_the_sheet_of_every_window_that_holds_it() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        for (key, at) in places(scene.width_mm, scene.height_mm) {
            let mut held = 0;
            for (column, row, page) in &sheets {
                if is_inside(at, tiling.window(*column, *row)) {
                    assert!(found(page, &key).is_some(), "{key} at {column}, {row}");
                    held += 1;
                }
            }
            assert!(held > 0, "{key} is on no sheet of {options:?}");
        }
    }
}

#[test]
fn a_sheet_shows_its_window_and_nothing_past_it() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        for (column, row, page) in &sheets {
            let window = tiling.window(*column, *row);
            let map = tiling.page_from_scene(*column, *row);
            let shown = layer(&page.scene, "places");
            let Shape::Group { clip, .. } = &shown.items[0].shape else {
                panic!("the window is no group");
            };
            let (low, high) = clip.as_ref().unwrap().bounds().unwrap();
            assert!(distance(low, map.apply(window.0)) < ROUNDING_MM);
            assert!(distance(high, map.apply(window.1)) < ROUNDING_MM);
            // Items that lie wholly outside are not carried along.
            for (key, at) in places(scene.width_mm, scene.height_mm) {
                let near = (
                    Point::new(window.0.x - 1.0, window.0.y - 1.0),
                    Point::new(window.1.x + 1.0, window.1.y + 1.0),
                );
                assert!(is_inside(at, near) || found(page, &key).is_none(), "{key}");
            }
        }
    }
}

#[test]
fn neighbours_share_the_overlap() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        for (column, row, _) in &sheets {
            let (low, _) = tiling.window(*column, *row);
            if *column > 0 {
                let (_, left) = tiling.window(column - 1, *row);
                assert!(left.x - low.x > options.overlap_mm - ROUNDING_MM);
            }
            if *row > 0 {
                let (_, above) = tiling.window(*column, row - 1);
                assert!(above.y - low.y > options.overlap_mm - ROUNDING_MM);
            }
        }
    }
}

/// The crosses on a page by number, as places of the scene.
fn crosses(tiling: &Tiling, (column, row, page): &(usize, usize, Page)) -> Vec<(usize, Point)> {
    let map = tiling.page_from_scene(*column, *row);
    let mut crosses = Vec::new();
    for item in all(&layer(&page.scene, "joins").items) {
        let number = item
            .key
            .as_deref()
            .and_then(|key| key.strip_prefix("cross-"));
        let (Some(number), Shape::Path { path, .. }) = (number, &item.shape) else {
            continue;
        };
        let points: Vec<Point> = path.points().collect();
        let middle = points[0].toward(points[1], 0.5);
        assert!(distance(middle, points[2].toward(points[3], 0.5)) < ROUNDING_MM);
        // Sheets are scaled and moved, not turned.
        let at = Point::new((middle.x - map.dx) / map.xx, (middle.y - map.dy) / map.yy);
        crosses.push((number.parse().unwrap(), at));
    }
    crosses
}

#[test]
fn crosses_of_one_number_name_one_place_and_neighbours_share_two() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        let marks: Vec<_> = sheets.iter().map(|sheet| crosses(&tiling, sheet)).collect();
        for one in marks.iter().flatten() {
            for other in marks.iter().flatten() {
                let is_near = distance(one.1, other.1) < ROUNDING_MM;
                assert_eq!(one.0 == other.0, is_near, "{one:?} {other:?}");
            }
        }
        for (index, (column, row, page)) in sheets.iter().enumerate() {
            let mut beside = Vec::new();
            if *column > 0 {
                beside.push(index - 1);
            }
            if *row > 0 {
                beside.push(index - tiling.columns());
            }
            for neighbour in beside {
                let is_shared =
                    |mark: &&(usize, Point)| marks[neighbour].iter().any(|other| other.0 == mark.0);
                assert_eq!(marks[index].iter().filter(is_shared).count(), 2);
            }
            // The number stands by each cross, above and below the cut.
            for (number, _) in &marks[index] {
                let words = all(&layer(&page.scene, "joins").items)
                    .into_iter()
                    .filter(|item| {
                        matches!(&item.shape, Shape::Text { text, .. } if *text == number.to_string())
                    })
                    .count();
                assert_eq!(words, 2);
            }
        }
    }
}

#[test]
fn what_stands_around_the_window_keeps_out_of_it_and_inside_the_margins() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        for (column, row, page) in &sheets {
            let map = tiling.page_from_scene(*column, *row);
            let window = tiling.window(*column, *row);
            let (low, high) = (map.apply(window.0), map.apply(window.1));
            for item in all(&layer(&page.scene, "sheet").items) {
                let (least, most) = box_of(&item.shape);
                let is_clear = most.x < low.x || least.x > high.x || least.y > high.y;
                assert!(is_clear, "{item:?} in {low:?} {high:?}");
                // A printer that enlarges takes its part of the margin.
                let rim = 0.985 * options.margin_mm - 1.0;
                let is_on_sheet = least.x >= rim
                    && least.y >= rim
                    && most.x <= page.width_mm - rim
                    && most.y <= page.height_mm - rim;
                assert!(
                    is_on_sheet,
                    "{item:?} on {} by {}",
                    page.width_mm, page.height_mm
                );
            }
        }
    }
}

/// A box around a path, or around an upright or standing text.
fn box_of(shape: &Shape) -> (Point, Point) {
    match shape {
        Shape::Path { path, .. } => path.bounds().unwrap(),
        Shape::Text {
            at,
            text,
            size_mm,
            anchor,
            weight,
            angle_degrees,
            ..
        } => {
            assert_eq!(*anchor, Anchor::Start);
            let long = drawing::text_width_mm(text, *size_mm, *weight);
            let high = 0.73 * size_mm;
            if *angle_degrees == 0.0 {
                (Point::new(at.x, at.y - high), Point::new(at.x + long, at.y))
            } else {
                (Point::new(at.x - high, at.y - long), *at)
            }
        }
        Shape::Group { .. } => panic!("no groups around the window"),
    }
}

/// Lengths across and down of the bars on a page.
fn bars(page: &Page) -> Vec<(f64, f64)> {
    let items = layer(&page.scene, "sheet").items;
    let is_bar = |item: &&Item| item.key.as_deref() == Some("bar");
    let length = |item: &Item| {
        let Shape::Path { path, .. } = &item.shape else {
            panic!("a bar is a path");
        };
        let points: Vec<Point> = path.points().take(2).collect();
        (
            (points[1].x - points[0].x).abs(),
            (points[1].y - points[0].y).abs(),
        )
    };
    items.iter().filter(is_bar).map(length).collect()
}

#[test]
fn a_second_print_of_the_bars_measures_right() {
    for (scene, options) in cases() {
        let (tiling, sheets) = laid(&scene, &options);
        let shares = (
            options.bars.short_side.measured_mm / 100.0,
            options.bars.long_side.measured_mm / 100.0,
        );
        let (across, down) = match tiling.orientation() {
            Orientation::Upright => shares,
            Orientation::Lying => (shares.1, shares.0),
        };
        for (_, _, page) in &sheets {
            let found = bars(page);
            assert_eq!(found.len(), 2);
            // The printer makes 100 mm of the page into 99.6 mm or 101.3 mm.
            assert!(
                (found[0].0 * across - 100.0).abs() < ROUNDING_MM,
                "{found:?}"
            );
            assert!((found[1].1 * down - 100.0).abs() < ROUNDING_MM, "{found:?}");
            assert!(found[0].1 < ROUNDING_MM && found[1].0 < ROUNDING_MM);
        }
    }
}

#[test]
fn the_correction_goes_with_the_sheets_sides_however_the_pattern_lies() {
    let bars = PrintedBars {
        short_side: BarReading::of_100_mm(99.0),
        long_side: BarReading::TRUE,
    };
    for (width, height, across, down) in [
        (250.0, 60.0, 1.0, 100.0 / 99.0),
        (60.0, 250.0, 100.0 / 99.0, 1.0),
    ] {
        let options = SheetOptions {
            bars,
            ..SheetOptions::new(Paper::A4)
        };
        let tiling = Tiling::new(&scene(width, height), &options).unwrap();
        let map = tiling.page_from_scene(0, 0);
        assert!((map.xx - across).abs() < ROUNDING_MM && (map.yy - down).abs() < ROUNDING_MM);
        assert_eq!((map.xy, map.yx), (0.0, 0.0));
    }
}

#[test]
fn sheets_lie_as_needs_fewest() {
    let count = |width, height, paper| {
        let tiling = Tiling::new(&scene(width, height), &SheetOptions::new(paper)).unwrap();
        (tiling.columns(), tiling.rows(), tiling.orientation())
    };
    let (upright, lying) = (Orientation::Upright, Orientation::Lying);
    assert_eq!(count(120.0, 60.0, Paper::A4), (1, 1, lying));
    assert_eq!(count(60.0, 120.0, Paper::A4), (1, 1, upright));
    // Two windows of 271 mm less a strip of 10 mm hold 532 mm.
    assert_eq!(count(532.0, 90.0, Paper::A4), (2, 1, lying));
    assert_eq!(count(533.0, 90.0, Paper::A4), (3, 1, lying));
    assert_eq!(count(90.0, 480.0, Paper::A4), (1, 2, upright));
    // Wider than high, and yet one upright sheet holds it where a lying one would not.
    assert_eq!(count(184.0, 183.0, Paper::A4), (1, 1, upright));
}

#[test]
fn sheets_have_the_papers_size_and_say_what_they_are() {
    let pattern = scene(520.0, 90.0);
    let pages = tiles(&pattern, &SheetOptions::new(Paper::Letter)).unwrap();
    let title = "Heron, fret pattern, sheet 2 of 3 (row 1, column 2)";
    assert_eq!(pages.len(), 3);
    for page in &pages {
        assert_eq!(
            (page.width_mm, page.height_mm),
            Paper::Letter.sides_mm(Orientation::Lying)
        );
        assert_eq!(
            (page.scene.width_mm, page.scene.height_mm),
            (page.width_mm, page.height_mm)
        );
        assert_eq!(page.scene.count_undrawable(), 0);
    }
    assert_eq!(pages[1].scene.title, title);
    let words = texts(&pages[1].scene);
    for expected in [
        title,
        "100 mm along the long side of the sheet",
        "100 mm along the short side of the sheet",
        "cut along this line, lay over sheet 1",
        "the edge of sheet 3 lies on this line",
    ] {
        assert!(
            words.iter().any(|word| word == expected),
            "{expected}: {words:?}"
        );
    }
}

#[test]
fn a_pattern_on_one_sheet_is_not_cut() {
    let pages = tiles(&scene(120.0, 60.0), &SheetOptions::new(Paper::A4)).unwrap();
    assert_eq!(pages.len(), 1);
    assert!(layer(&pages[0].scene, "joins").items.is_empty());
    let words = texts(&pages[0].scene).join(" ");
    assert!(words.contains("Heron, fret pattern, sheet 1 of 1"));
    assert!(!words.contains("Cut along"));
}

#[test]
fn the_correction_is_said_on_the_sheet() {
    let options = SheetOptions {
        bars: ODD_BARS,
        ..SheetOptions::new(Paper::A4)
    };
    let pages = tiles(&scene(120.0, 60.0), &options).unwrap();
    let words = texts(&pages[0].scene).join(" ");
    assert!(
        words.contains("100 mm into 99.6 mm along the short side"),
        "{words}"
    );
    assert!(
        words.contains("100 mm into 101.3 mm along the long side"),
        "{words}"
    );
}

#[test]
fn groups_and_texts_that_reach_into_a_window_are_kept() {
    let mut pattern = scene(520.0, 90.0);
    let layer_of_groups = pattern.layer("groups");
    let at = |x: f64| Point::new(x, 40.0);
    // The text ends on the first sheet and begins on the second one, 40 mm to the right.
    let text = Item::text(
        at(290.0),
        "a text of about fifty millimetres",
        3.0,
        Ink::Text,
    );
    layer_of_groups.add(text.anchored(Anchor::End));
    let dots = vec![
        Item::filled(Path::circle(at(10.0), 1.0), Ink::Line).keyed("left"),
        Item::filled(Path::circle(at(510.0), 1.0), Ink::Line).keyed("right"),
    ];
    layer_of_groups.add(Item::group(dots));
    layer_of_groups.add(Item::filled(Path::circle(at(f64::NAN), 1.0), Ink::Line).keyed("none"));
    let pages = tiles(&pattern, &SheetOptions::new(Paper::A4)).unwrap();
    let keys = |page: &Page| {
        let items = layer(&page.scene, "groups").items;
        let found = all(&items);
        let keys: Vec<String> = found.iter().filter_map(|item| item.key.clone()).collect();
        keys
    };
    assert_eq!(keys(&pages[0]), ["left"]);
    assert_eq!(keys(&pages[1]), ["right"]);
    for page in &pages {
        assert!(
            texts(&page.scene)
                .iter()
                .any(|text| text.starts_with("a text of"))
        );
    }
}

#[test]
fn a_long_page_is_as_large_as_its_pattern_needs_with_bars_of_full_length() {
    for (width, height) in [(900.0, 90.0), (90.0, 900.0), (30.0, 20.0)] {
        let pattern = scene(width, height);
        let page = long_page(&pattern, 8.0, &ODD_BARS).unwrap();
        let lies = page.width_mm > page.height_mm;
        let (across, down) = if lies { (1.013, 0.996) } else { (0.996, 1.013) };
        assert!(page.width_mm * across < width.max(100.0) + 30.0);
        assert!(page.height_mm * down < height.max(100.0) + 60.0);
        let found = bars(&page);
        assert!((found[0].0 * across - 100.0).abs() < ROUNDING_MM);
        assert!((found[1].1 * down - 100.0).abs() < ROUNDING_MM);
        let first = found_place(&page, 0.0, 0.0);
        for (key, at) in places(width, height) {
            let on_page = self::found(&page, &key).unwrap();
            assert!(((on_page.x - first.x) * across - at.x).abs() < ROUNDING_MM);
            assert!(((on_page.y - first.y) * down - at.y).abs() < ROUNDING_MM);
        }
    }
}

fn found_place(page: &Page, x: f64, y: f64) -> Point {
    found(page, &format!("place-{x}-{y}")).unwrap()
}

#[test]
fn bars_too_far_off_are_refused_for_their_side() {
    let pattern = scene(120.0, 60.0);
    for measured_mm in [89.9, 110.1, 0.0, -100.0, f64::NAN, f64::INFINITY] {
        let mut options = SheetOptions::new(Paper::A4);
        options.bars.long_side = BarReading::of_100_mm(measured_mm);
        for error in [
            tiles(&pattern, &options).unwrap_err(),
            long_page(&pattern, 8.0, &options.bars).unwrap_err(),
        ] {
            let side = SheetSide::Long;
            assert!(matches!(error, DrawingError::BarReading { side: found, .. } if found == side));
        }
    }
    for measured_mm in [90.0, 110.0] {
        let mut options = SheetOptions::new(Paper::A4);
        options.bars.short_side = BarReading::of_100_mm(measured_mm);
        assert!(tiles(&pattern, &options).is_ok());
    }
    let mut options = SheetOptions::new(Paper::A4);
    options.bars.short_side = BarReading {
        stated_mm: 0.0,
        measured_mm: 0.0,
    };
    let error = tiles(&pattern, &options).unwrap_err();
    assert_eq!(
        error.to_string(),
        "bar along the short side of the sheet is stated as 0 mm and measured as 0 mm; between \
         90 % and 110 % can be made good, so print at 100 %, not fitted to the page, and measure \
         again"
    );
}

#[test]
fn margins_and_overlaps_out_of_range_are_refused() {
    let pattern = scene(120.0, 60.0);
    let refusal = |margin_mm, overlap_mm| {
        let options = SheetOptions {
            margin_mm,
            overlap_mm,
            ..SheetOptions::new(Paper::A4)
        };
        tiles(&pattern, &options).unwrap_err().to_string()
    };
    assert_eq!(
        refusal(-1.0, 10.0),
        "margin of -1 mm; give between 0 mm and 100 mm"
    );
    assert_eq!(
        refusal(8.0, 4.0),
        "overlap of 4 mm; give between 5 mm and 50 mm"
    );
    assert!(refusal(f64::NAN, 10.0).starts_with("margin of NaN mm"));
    assert!(refusal(8.0, f64::INFINITY).starts_with("overlap of inf mm"));
    let message = refusal(90.0, 50.0);
    let margin = message
        .strip_suffix(" mm")
        .and_then(|text| text.rsplit(' ').next());
    let margin: f64 = margin.unwrap().parse().unwrap();
    let with = |margin_mm| SheetOptions {
        margin_mm,
        overlap_mm: 50.0,
        ..SheetOptions::new(Paper::A4)
    };
    // The margin it names does, and a millimetre more does not.
    assert!(tiles(&pattern, &with(margin)).is_ok(), "{message}");
    assert!(tiles(&pattern, &with(margin + 1.0)).is_err(), "{message}");
}

#[test]
fn more_sheets_than_anyone_joins_are_refused_with_a_paper_that_would_do() {
    let refusal = |side: f64| {
        let pattern = Scene::new(side, side, "t", "d");
        let options = SheetOptions::new(Paper::A4);
        tiles(&pattern, &options).unwrap_err()
    };
    let error = refusal(3_500.0);
    let DrawingError::TooManySheets { sheets, enough, .. } = &error else {
        panic!("{error}");
    };
    assert!(*sheets > MOST_SHEETS);
    let enough = enough.unwrap();
    let pattern = Scene::new(3_500.0, 3_500.0, "t", "d");
    assert!(tiles(&pattern, &SheetOptions::new(enough)).is_ok());
    assert!(error.to_string().ends_with("Tabloid would do"), "{error}");
    assert!(refusal(900_000.0).to_string().contains("no named paper"));
}

#[test]
fn scenes_without_size_and_pages_too_long_are_refused() {
    for side in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e7] {
        let pattern = Scene::new(side, 60.0, "t", "d");
        let is_size = |error| matches!(error, DrawingError::SceneSize { .. });
        assert!(is_size(
            tiles(&pattern, &SheetOptions::new(Paper::A4)).unwrap_err()
        ));
        assert!(is_size(
            long_page(&pattern, 8.0, &PrintedBars::TRUE).unwrap_err()
        ));
    }
    let error = long_page(
        &Scene::new(5_000.0, 60.0, "t", "d"),
        8.0,
        &PrintedBars::TRUE,
    );
    let message = error.unwrap_err().to_string();
    assert!(
        message.starts_with("one page would be 5026.0 mm by"),
        "{message}"
    );
    assert!(
        message.ends_with("print on sheets to be joined"),
        "{message}"
    );
}

#[test]
fn a_line_is_read_back_from_the_printed_sheets_where_the_tiling_says() {
    let mut pattern = Scene::new(520.0, 90.0, "Heron, fret pattern", "d");
    // A fret in the strip that both sheets show.
    let (top, foot) = (Point::new(260.0, 20.0), Point::new(260.0, 80.0));
    let fret = Item::stroked(Path::line(top, foot), Ink::Fret, 0.2);
    pattern.layer("fret slots").add(fret);
    let options = SheetOptions {
        bars: ODD_BARS,
        ..SheetOptions::new(Paper::A4)
    };
    let (tiling, _) = laid(&pattern, &options);
    let pages = tiles(&pattern, &options).unwrap();
    let document = Document::load_mem(&write_pdf(&pages, &PdfOptions::default()).unwrap()).unwrap();
    let mut sheets = 0;
    for (column, page) in (0_u32..).zip(&pages) {
        let window = tiling.window(column as usize, 0);
        if !is_inside(top, window) {
            continue;
        }
        sheets += 1;
        let map = tiling.page_from_scene(column as usize, 0);
        let drawn = drawn_points_mm(&document, column + 1, page.height_mm);
        for place in [top, foot].map(|point| map.apply(point)) {
            let off = drawn.iter().map(|point| distance(*point, place));
            let off = off.fold(f64::INFINITY, f64::min);
            assert!(off < 0.001, "{off} mm from {place:?}");
        }
    }
    assert!(sheets > 0);
}

/// The points that a page's lines go through, in mm from its top left corner.
fn drawn_points_mm(document: &Document, number: u32, height_mm: f64) -> Vec<Point> {
    let id = document.get_pages()[&number];
    let content = document.get_and_decode_page_content(id).unwrap();
    let (mut map, mut saved, mut points) = (drawing::Transform::IDENTITY, Vec::new(), Vec::new());
    for operation in &content.operations {
        let number = |object: &lopdf::Object| f64::from(object.as_float().unwrap());
        match operation.operator.as_str() {
            "q" => saved.push(map),
            "Q" => map = saved.pop().unwrap(),
            "cm" => {
                let six: Vec<f64> = operation.operands.iter().map(number).collect();
                let inner = drawing::Transform {
                    xx: six[0],
                    yx: six[1],
                    xy: six[2],
                    yy: six[3],
                    dx: six[4],
                    dy: six[5],
                };
                map = inner.then(&map);
            }
            "m" | "l" => {
                let two: Vec<f64> = operation.operands.iter().map(number).collect();
                let at = map.apply(Point::new(two[0], two[1]));
                points.push(Point::new(
                    at.x * 25.4 / 72.0,
                    height_mm - at.y * 25.4 / 72.0,
                ));
            }
            _ => {}
        }
    }
    points
}

#[test]
fn the_same_scene_gives_the_same_sheets() {
    for (scene, options) in cases().into_iter().take(4) {
        assert_eq!(
            tiles(&scene, &options).unwrap(),
            tiles(&scene, &options).unwrap()
        );
    }
}
