//! The screen writer, judged by a general XML reader.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use std::collections::BTreeSet;

use drawing::{
    Anchor, ColourMap, Dash, Ink, Item, Palette, Path, Point, Scene, Stroke, SvgOptions,
    SvgPalette, Weight, ink_style_sheet, write_svg,
};
use roxmltree::{Document, Node};

const SVG: &str = "http://www.w3.org/2000/svg";

fn fixed(palette: Palette) -> SvgOptions {
    SvgOptions {
        palette: SvgPalette::Fixed(palette),
        ..SvgOptions::default()
    }
}

fn square() -> Path {
    Path::rect(1.0, 2.0, 3.0, 4.0)
}

/// A scene with every kind of item.
fn sampler() -> Scene {
    let mut scene = Scene::new(120.0, 80.5, "Board", "A board from above.");
    let board = scene.layer("board");
    board.add(Item::path(
        square(),
        Some(Stroke::new(Ink::WoodEdge, 0.3)),
        Some(Ink::Wood),
    ));
    board.add(
        Item::stroked(square(), Ink::Fret, 0.5)
            .keyed("fret-3")
            .labelled("3rd fret"),
    );
    board.add(Item::filled(square(), Ink::Map(ColourMap::Cividis, 0.25)));
    board.add(Item::path(square(), None, None).keyed("lane-1"));
    board.add(Item::stroked(square(), Ink::Line, 0.2).dashed(Dash::Chain));
    let words = scene.layer("words");
    let words_at = Point::new(10.0, 12.5);
    let text = Item::text(words_at, "0.12 mm", 3.0, Ink::Text);
    words.add(
        text.anchored(Anchor::Middle)
            .weighted(Weight::Bold)
            .turned(-30.0),
    );
    for clip in 0..3 {
        let inner = Item::clipped(vec![Item::filled(square(), Ink::Accent)], square());
        let outer = Item::clipped(vec![inner.labelled("inner")], square());
        words.add(outer.keyed(format!("group-{clip}")));
    }
    scene
}

fn named<'a>(document: &'a Document<'a>, name: &str) -> Vec<Node<'a, 'a>> {
    document
        .descendants()
        .filter(|node| node.has_tag_name((SVG, name)))
        .collect()
}

fn ids(svg: &str) -> Vec<String> {
    let document = Document::parse(svg).unwrap();
    let ids = document
        .descendants()
        .filter_map(|node| node.attribute("id"));
    ids.map(str::to_owned).collect()
}

#[test]
fn a_picture_is_an_image_with_a_name_and_a_description() {
    for options in [SvgOptions::default(), fixed(Palette::Dark)] {
        let svg = write_svg(&sampler(), &options);
        let document = Document::parse(&svg).unwrap();
        let root = document.root_element();
        assert!(root.has_tag_name((SVG, "svg")));
        assert_eq!(root.attribute("role"), Some("img"));
        assert_eq!(root.attribute("viewBox"), Some("0 0 120 80.5"));
        let labels: Vec<&str> = root
            .attribute("aria-labelledby")
            .unwrap()
            .split(' ')
            .map(|id| {
                let found = document
                    .descendants()
                    .find(|node| node.attribute("id") == Some(id));
                found.and_then(|node| node.text()).unwrap()
            })
            .collect();
        assert_eq!(labels, ["Board", "A board from above."]);
    }
}

#[test]
fn the_same_scene_gives_the_same_bytes() {
    let options = SvgOptions::default();
    assert_eq!(
        write_svg(&sampler(), &options),
        write_svg(&sampler(), &options)
    );
}

#[test]
fn a_file_alone_has_its_true_size_and_a_page_decides_its_own() {
    let svg = write_svg(&sampler(), &fixed(Palette::Print));
    let document = Document::parse(&svg).unwrap();
    assert_eq!(document.root_element().attribute("width"), Some("120mm"));
    assert_eq!(document.root_element().attribute("height"), Some("80.5mm"));
    let svg = write_svg(&sampler(), &SvgOptions::default());
    let document = Document::parse(&svg).unwrap();
    assert_eq!(document.root_element().attribute("width"), None);
}

#[test]
fn ids_are_unique_on_a_page_with_two_pictures() {
    let with_prefix = |prefix: &str| SvgOptions {
        id_prefix: prefix.to_owned(),
        ..SvgOptions::default()
    };
    let mut all = ids(&write_svg(&sampler(), &with_prefix("plan-")));
    all.extend(ids(&write_svg(&sampler(), &with_prefix("side \"<-"))));
    assert_eq!(
        all.len(),
        2 * (2 + 6),
        "title, description and six clips in each"
    );
    assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len());
    assert!(
        all.iter().all(|id| !id.contains([' ', '"', '<'])),
        "{all:?}"
    );
}

#[test]
fn every_clip_that_is_used_is_there() {
    let svg = write_svg(&sampler(), &SvgOptions::default());
    let document = Document::parse(&svg).unwrap();
    let there: BTreeSet<String> = ids(&svg).into_iter().collect();
    let used: Vec<&str> = document
        .descendants()
        .filter_map(|node| node.attribute("clip-path"))
        .collect();
    assert_eq!(used.len(), 6);
    for reference in used {
        let id = reference
            .strip_prefix("url(#")
            .and_then(|rest| rest.strip_suffix(')'))
            .unwrap();
        assert!(there.contains(id), "{id}");
    }
}

#[test]
fn any_text_comes_back_as_it_was() {
    let text = "a <b> & \"c\" 'd' ]]> é µ ½″ 𝄞";
    let mut scene = Scene::new(10.0, 10.0, text, format!("{text}\u{0}\u{1F}\u{FFFF}"));
    let item = Item::text(Point::default(), text, 3.0, Ink::Text);
    scene.layer(text).add(item.keyed(text).labelled(text));
    let svg = write_svg(&scene, &SvgOptions::default());
    let document = Document::parse(&svg).unwrap();
    assert!(
        named(&document, "title")
            .iter()
            .all(|node| node.text() == Some(text))
    );
    assert_eq!(named(&document, "title").len(), 2);
    assert_eq!(named(&document, "desc")[0].text(), Some(text));
    assert_eq!(named(&document, "g")[0].attribute("data-layer"), Some(text));
    let element = named(&document, "text")[0];
    assert_eq!(element.attribute("data-key"), Some(text));
    assert_eq!(
        element.last_child().and_then(|node| node.text()),
        Some(text)
    );
}

#[test]
fn items_with_bad_numbers_are_left_out_and_counted() {
    let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300];
    let mut scene = Scene::new(f64::NAN, -5.0, "t", "d");
    let layer = scene.layer("bad");
    for value in bad {
        let point = Point::new(value, 0.0);
        layer.add(Item::stroked(
            Path::line(point, Point::default()),
            Ink::Line,
            0.2,
        ));
        layer.add(Item::stroked(square(), Ink::Line, value));
        layer.add(Item::text(point, "x", 3.0, Ink::Text));
        layer.add(Item::text(Point::default(), "x", value, Ink::Text));
        layer.add(Item::text(Point::default(), "x", 3.0, Ink::Text).turned(value));
        layer.add(Item::group(vec![Item::filled(
            Path::circle(point, 1.0),
            Ink::Wood,
        )]));
    }
    layer.add(Item::filled(
        square(),
        Ink::Map(ColourMap::Signed, f64::NAN),
    ));
    let nowhere = Ink::Map(ColourMap::Cividis, f64::INFINITY);
    layer.add(Item::stroked(square(), nowhere, 0.2));
    layer.add(Item::text(Point::default(), "x", 3.0, nowhere));
    layer.add(Item::stroked(square(), Ink::Line, 0.0));
    layer.add(Item::filled(Path::new(), Ink::Line));
    layer.add(Item::filled(
        Path::new().line_to(Point::default()),
        Ink::Line,
    ));
    assert_eq!(scene.count_undrawable(), 4 * 6 + 6);
    scene.layer("good").add(Item::filled(square(), Ink::Wood));
    assert_eq!(scene.count_undrawable(), 4 * 6 + 6);

    let svg = write_svg(&scene, &SvgOptions::default());
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    let document = Document::parse(&svg).unwrap();
    assert_eq!(
        document.root_element().attribute("viewBox"),
        Some("0 0 1 1")
    );
    assert_eq!(named(&document, "path").len(), 1);
    assert!(named(&document, "text").is_empty());
}

#[test]
fn coordinates_are_rounded_to_a_thousandth_and_short() {
    let check = |value: f64, expected: &str| {
        let mut scene = Scene::new(10.0, 10.0, "t", "d");
        scene
            .layer("l")
            .add(Item::text(Point::new(value, 0.0), "x", 3.0, Ink::Text));
        let svg = write_svg(&scene, &SvgOptions::default());
        let document = Document::parse(&svg).unwrap();
        assert_eq!(
            named(&document, "text")[0].attribute("x"),
            Some(expected),
            "{value}"
        );
    };
    check(0.0, "0");
    check(-0.0, "0");
    check(-0.000_4, "0");
    check(0.000_5, ".001");
    check(1.0 / 3.0, ".333");
    check(-1.0 / 3.0, "-.333");
    check(635.0, "635");
    check(406.4, "406.4");
    check(-12.050_4, "-12.05");
    check(999_999.999_4, "999999.999");
}

#[test]
fn lines_keep_their_width_and_the_thinnest_do_not_vanish() {
    for (width_mm, expected) in [(2.4, "2.4"), (0.05, ".05"), (1e-9, ".001")] {
        let mut scene = Scene::new(10.0, 10.0, "t", "d");
        scene
            .layer("l")
            .add(Item::stroked(square(), Ink::Fret, width_mm));
        let svg = write_svg(&scene, &SvgOptions::default());
        let document = Document::parse(&svg).unwrap();
        assert_eq!(
            named(&document, "path")[0].attribute("stroke-width"),
            Some(expected)
        );
    }
}

#[test]
fn outlines_are_written_as_path_commands() {
    let path = Path::new()
        .move_to(Point::new(1.0, 2.0))
        .line_to(Point::new(-3.5, 0.25))
        .cubic_to(
            Point::new(1.0, 1.0),
            Point::new(2.0, 2.0),
            Point::new(3.0, 3.0),
        )
        .close();
    let mut scene = Scene::new(10.0, 10.0, "t", "d");
    scene.layer("l").add(Item::filled(path, Ink::Wood));
    let svg = write_svg(&scene, &SvgOptions::default());
    let document = Document::parse(&svg).unwrap();
    let data = named(&document, "path")[0].attribute("d");
    assert_eq!(data, Some("M1 2L-3.5 .25C1 1 2 2 3 3Z"));
}

#[test]
fn every_class_has_a_rule_and_every_rule_a_colour_for_light_dark_and_paper() {
    let sheet = ink_style_sheet();
    let svg = write_svg(&sampler(), &SvgOptions::default());
    let document = Document::parse(&svg).unwrap();
    let classes: BTreeSet<&str> = document
        .descendants()
        .filter_map(|node| node.attribute("class"))
        .flat_map(str::split_whitespace)
        .collect();
    assert!(classes.contains("ink-wood-edge-stroke") && classes.contains("ink-text-fill"));
    for class in classes {
        assert!(
            sheet.contains(&format!(".{class}{{")),
            "{class} has no rule"
        );
    }
    for ink in Ink::ALL {
        let name = ink.name().unwrap();
        for palette in [Palette::Light, Palette::Dark, Palette::Print] {
            let property = format!("--ink-{name}:{};", palette.colour(ink).hex());
            assert!(sheet.contains(&property), "{property}");
        }
        assert!(sheet.contains(&format!("stroke:var(--ink-{name})")));
        assert!(sheet.contains(&format!("fill:var(--ink-{name})")));
    }
    let (open, close) = (sheet.matches('{').count(), sheet.matches('}').count());
    assert_eq!(open, close);
}

#[test]
fn colour_maps_are_written_out_even_where_the_page_decides() {
    let svg = write_svg(&sampler(), &SvgOptions::default());
    let expected = ColourMap::Cividis.colour(0.25).hex();
    let document = Document::parse(&svg).unwrap();
    let filled: Vec<&str> = named(&document, "path")
        .into_iter()
        .filter_map(|node| node.attribute("fill"))
        .filter(|fill| *fill != "none")
        .collect();
    assert_eq!(filled, [expected]);
}

#[test]
fn keys_labels_dashes_and_unseen_places_are_written() {
    let svg = write_svg(&sampler(), &fixed(Palette::Light));
    let document = Document::parse(&svg).unwrap();
    let by_key = |key: &str| {
        let found = document
            .descendants()
            .find(|node| node.attribute("data-key") == Some(key));
        found.unwrap()
    };
    let fret = by_key("fret-3");
    assert_eq!(
        fret.attribute("stroke"),
        Some(Palette::Light.colour(Ink::Fret).hex().as_str())
    );
    assert_eq!(fret.attribute("fill"), Some("none"));
    assert_eq!(fret.first_element_child().unwrap().text(), Some("3rd fret"));
    let lane = by_key("lane-1");
    assert_eq!(lane.attribute("pointer-events"), Some("all"));
    assert_eq!(lane.attribute("stroke"), None);
    assert_eq!(by_key("group-2").tag_name().name(), "g");
    assert!(svg.contains("stroke-dasharray=\"4.8 .6 .2 .6\""), "{svg}");
    assert!(svg.contains("transform=\"rotate(-30 10 12.5)\""), "{svg}");
}

#[test]
fn further_attributes_stand_in_for_the_writers_own() {
    let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    let options = SvgOptions {
        extra_attributes: vec![
            pair("role", "group"),
            pair("class", "board \"<&"),
            pair("class", "again"),
            pair("viewBox", "0 0 1 1"),
            pair("on click", "x"),
            pair("x:y", "x"),
            pair("", "x"),
        ],
        ..fixed(Palette::Light)
    };
    let svg = write_svg(&sampler(), &options);
    let document = Document::parse(&svg).unwrap();
    let root = document.root_element();
    assert_eq!(root.attribute("role"), Some("group"));
    assert_eq!(root.attribute("class"), Some("board \"<&"));
    assert_eq!(root.attribute("viewBox"), Some("0 0 120 80.5"));
    assert!(!svg.contains("click") && !svg.contains("x:y"));
}

#[test]
fn a_veil_is_written_with_its_opacity() {
    let mut scene = Scene::new(10.0, 10.0, "t", "d");
    let layer = scene.layer("veil");
    layer.add(Item::filled(square(), Ink::Veil(0.25)));
    layer.add(Item::stroked(square(), Ink::Veil(0.5), 1.0));
    layer.add(Item::filled(square(), Ink::Unknown));
    for options in [SvgOptions::default(), fixed(Palette::Dark)] {
        let svg = write_svg(&scene, &options);
        let document = Document::parse(&svg).unwrap();
        let paths = named(&document, "path");
        let found = |name: &str| -> Vec<Option<f64>> {
            let number = |text: &str| text.parse::<f64>().unwrap();
            let attributes = paths.iter().map(|path| path.attribute(name));
            attributes.map(|text| text.map(number)).collect()
        };
        assert_eq!(found("fill-opacity"), [Some(0.25), None, None]);
        assert_eq!(found("stroke-opacity"), [None, Some(0.5), None]);
    }
    let svg = write_svg(&scene, &SvgOptions::default());
    assert_eq!(svg.matches("ink-unknown-fill").count(), 2);
    assert!(svg.contains("ink-unknown-stroke"));
}
