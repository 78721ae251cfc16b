//! The pictures of playing: what they show, and what they make of figures that are none.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{UNITS, all, boards, check, check_frame, heron, layer, texts};
use drawing::pictures::{
    CentsChart, CentsLine, ChooserChart, Look, Pointed, SaddlePicture, ShareBars, ShareRow, Side,
    StringMap, StringSide, camber_chooser, cents_chart, saddle_picture, share_bars, string_map,
    string_side,
};
use drawing::{Item, Scene, Shape};
use quantity::LengthUnit;

const ODD: [f64; 5] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::MAX,
    -f64::MAX,
];

fn looks() -> Vec<Look> {
    let pointed = |fret, lane| Some(Pointed { fret, lane });
    let places = [None, pointed(0, 0), pointed(9, 3), pointed(999, 999)];
    let look = |unit| places.map(|pointed| Look { pointed, unit });
    UNITS.into_iter().flat_map(look).collect()
}

fn keyed<'a>(scene: &'a Scene, start: &str) -> Vec<&'a Item> {
    let items = scene.layers.iter().flat_map(|layer| all(&layer.items));
    let has_key = |item: &&Item| item.key.as_ref().is_some_and(|key| key.starts_with(start));
    items.filter(has_key).collect()
}

fn labels(scene: &Scene, name: &str) -> Vec<String> {
    let layer = layer(scene, name);
    let items = all(&layer.items).into_iter();
    items.filter_map(|item| item.label.clone()).collect()
}

fn map(lanes: usize, frets: usize) -> StringMap {
    let value = |lane: usize, fret: usize| Some(0.05 + 0.01 * fret as f64 + 0.001 * lane as f64);
    StringMap {
        title: "Least gap".to_owned(),
        description: "The least gap of every string at every fret.".to_owned(),
        unit: "mm".to_owned(),
        values: (0..lanes)
            .map(|lane| (0..frets).map(|fret| value(lane, fret)).collect())
            .collect(),
        decimals: 2,
        limit: Some(0.1),
        wrong_side: Side::Below,
        key: "least gap".to_owned(),
    }
}

#[test]
fn a_map_shows_every_string_at_every_fret_on_every_board() {
    for instrument in boards() {
        let (lanes, frets) = (instrument.lanes.len(), instrument.frets.len());
        for look in looks() {
            let scene = string_map(&instrument, &map(lanes, frets), look);
            check(&scene);
            assert_eq!(keyed(&scene, "fret-").len(), frets);
            assert_eq!(keyed(&scene, "lane-").len(), lanes);
            assert_eq!(labels(&scene, "cells").len(), lanes * frets);
            assert!(texts(&scene).contains(&"least gap, mm".to_owned()));
        }
    }
}

#[test]
fn cells_beyond_the_limit_are_told_by_words_and_shape() {
    let instrument = heron();
    let (lanes, frets) = (instrument.lanes.len(), instrument.frets.len());
    let given = map(lanes, frets);
    let beyond = |limit: fn(f64) -> bool| {
        let values = given.values.iter().flatten().flatten();
        values.filter(|value| limit(**value)).count()
    };
    let said = |given: &StringMap, words: &str| {
        let scene = string_map(&instrument, given, Look::default());
        let labels = labels(&scene, "cells");
        let said = labels.iter().filter(|label| label.contains(words)).count();
        // A cell beyond the limit holds a group more than the others: its frame.
        let cells = layer(&scene, "cells");
        let framed = all(&cells.items)
            .into_iter()
            .filter(|item| item.label.is_some())
            .filter(|item| match &item.shape {
                Shape::Group { items, .. } => items
                    .iter()
                    .any(|item| matches!(item.shape, Shape::Group { .. })),
                _ => false,
            })
            .count();
        assert_eq!(said, framed);
        said
    };
    assert_eq!(
        said(&given, "less than 0.10 mm"),
        beyond(|value| value < 0.1)
    );
    let above = StringMap {
        wrong_side: Side::Above,
        ..given.clone()
    };
    assert_eq!(
        said(&above, "more than 0.10 mm"),
        beyond(|value| value > 0.1)
    );
}

#[test]
fn crowded_boards_drop_the_figures_and_keep_the_colours() {
    let text = include_str!("../../../../demo/heron.toml");
    assert!(text.contains("frets = 22"));
    let many = text.replace("frets = 22", "frets = 120\ntuning = \"53 equal\"");
    let many = instrument::read_commission(&many, &|_| Err("no files here".to_owned()));
    let many = many.unwrap();
    let (lanes, frets) = (many.lanes.len(), many.frets.len());
    assert_eq!(frets, 121);
    let scene = string_map(&many, &map(lanes, frets), Look::default());
    check(&scene);
    let cells = layer(&scene, "cells");
    let is_text = |item: &&Item| matches!(item.shape, Shape::Text { .. });
    assert_eq!(all(&cells.items).into_iter().filter(is_text).count(), 0);
    assert_eq!(labels(&scene, "cells").len(), lanes * frets);
    // On the demo's own board every figure is written.
    let instrument = heron();
    let frets = instrument.frets.len();
    let scene = string_map(&instrument, &map(6, frets), Look::default());
    let cells = layer(&scene, "cells");
    assert_eq!(
        all(&cells.items).into_iter().filter(is_text).count(),
        6 * frets
    );
}

#[test]
fn a_map_takes_any_figures() {
    let instrument = heron();
    let frets = instrument.frets.len();
    for odd in ODD {
        let mut given = map(6, frets);
        given.values[2][7] = Some(odd);
        given.values[3] = vec![None; 2];
        given.values.pop();
        given.limit = Some(odd);
        given.decimals = usize::MAX;
        let scene = string_map(&instrument, &given, Look::default());
        check(&scene);
        let unknown = labels(&scene, "cells");
        let unknown = unknown.iter().filter(|label| label.ends_with("not known"));
        assert_eq!(unknown.count(), 1 + frets + frets);
    }
    let long = "a key far longer than the sheet is wide ".repeat(30);
    let none = StringMap {
        values: Vec::new(),
        key: long.clone(),
        title: long.clone(),
        unit: long,
        ..map(0, 0)
    };
    let scene = string_map(&instrument, &none, Look::default());
    check(&scene);
    assert!(scene.description.contains("No figure is known"));
    for same in [0.0, -3.0, 1e6] {
        let flat = StringMap {
            values: vec![vec![Some(same); frets]; 6],
            ..map(0, 0)
        };
        check(&string_map(&instrument, &flat, Look::default()));
    }
}

/// A flat board of 22 frets in twelve equal steps, the string rising straight.
fn side(stopped_at: usize) -> StringSide {
    let x = |fret: i32| 635.0 * (1.0 - 2.0_f64.powf(-f64::from(fret) / 12.0));
    let tops: Vec<(f64, f64)> = (0..=22).map(|fret| (x(fret), 0.0)).collect();
    let from = tops[stopped_at];
    StringSide {
        title: "From the side".to_owned(),
        description: "One string from the side.".to_owned(),
        tops,
        stopped_at,
        from,
        saddle: (635.0, 3.0),
        swept: (0..=20)
            .map(|step| {
                let share = f64::from(step) / 20.0;
                (from.0 + share * (635.0 - from.0), share * (1.0 - share))
            })
            .collect(),
        least: Some((12, 0.21)),
        uncertainty_mm: vec![0.03; 23],
    }
}

#[test]
fn a_string_is_drawn_from_every_stop() {
    for stop in 0..=22 {
        for look in looks() {
            let scene = string_side(&side(stop), look);
            check(&scene);
            assert_eq!(keyed(&scene, "fret-").len(), 23);
        }
    }
    let scene = string_side(&side(5), Look::default());
    let words = texts(&scene).join("|");
    assert!(words.contains("least room at fret 12: 0.21 mm"), "{words}");
    assert!(words.contains("heights × "), "{words}");
    let touching = StringSide {
        least: Some((12, -0.05)),
        ..side(5)
    };
    let words = texts(&string_side(&touching, Look::default())).join("|");
    assert!(words.contains("touches fret 12: 0.05 mm"), "{words}");
}

#[test]
fn a_side_view_takes_any_figures() {
    for odd in ODD {
        let mut given = side(3);
        given.tops[7] = (odd, 0.0);
        given.tops[8].1 = odd;
        given.swept[4].1 = odd;
        given.swept[5].0 = odd;
        given.least = Some((9, odd));
        given.uncertainty_mm[2] = odd;
        let scene = string_side(&given, Look::default());
        check(&scene);
        assert_eq!(keyed(&scene, "fret-").len(), 21);
        for given in [
            StringSide {
                from: (odd, 0.0),
                ..side(3)
            },
            StringSide {
                saddle: (635.0, odd),
                ..side(3)
            },
            StringSide {
                least: Some((usize::MAX, odd)),
                stopped_at: usize::MAX,
                ..side(3)
            },
        ] {
            check_frame(&string_side(&given, Look::default()));
        }
    }
    check(&string_side(&StringSide::default(), Look::default()));
    let backward = StringSide {
        saddle: (-5.0, 3.0),
        ..side(3)
    };
    check(&string_side(&backward, Look::default()));
    let huge = StringSide {
        saddle: (635.0, 9e5),
        ..side(3)
    };
    check_frame(&string_side(&huge, Look::default()));
}

fn cents(strings: usize, frets: usize) -> CentsChart {
    let line = |string: usize| CentsLine {
        name: format!("string {}", string + 1),
        cents: (0..=frets)
            .map(|fret| 0.4 * fret as f64 - string as f64)
            .collect(),
    };
    CentsChart {
        title: "Cents left".to_owned(),
        description: "Cents left at every fret.".to_owned(),
        frets,
        strings: (0..strings).map(line).collect(),
        band_cents: 5.0,
    }
}

#[test]
fn every_string_has_a_line_with_marks_of_its_own() {
    for look in looks() {
        let scene = cents_chart(&cents(6, 22), look);
        check(&scene);
        assert_eq!(keyed(&scene, "lane-").len(), 6);
        assert_eq!(keyed(&scene, "fret-").len(), 23);
        assert_eq!(labels(&scene, "lines").len(), 6 * 23);
        assert!(texts(&scene).contains(&"within ±5 cents".to_owned()));
    }
    // Twelve strings' marks in the key, moved to one place, all differ in outline or filling.
    let scene = cents_chart(&cents(12, 3), Look::default());
    let key = layer(&scene, "key");
    let shape = |item: &Item| match &item.shape {
        Shape::Path {
            path,
            fill: Some(fill),
            ..
        } => {
            let (low, _) = path.bounds()?;
            let points: Vec<String> = path
                .points()
                .map(|point| format!("{:.3} {:.3}", point.x - low.x, point.y - low.y))
                .collect();
            Some(format!("{points:?} {}", *fill == drawing::Ink::Paper))
        }
        _ => None,
    };
    let mut shapes: Vec<String> = all(&key.items).into_iter().filter_map(shape).collect();
    shapes.sort();
    shapes.dedup();
    assert_eq!(shapes.len(), 12, "{shapes:#?}");
}

#[test]
fn a_chart_of_cents_takes_any_figures() {
    for odd in ODD {
        let mut given = cents(6, 22);
        given.strings[1].cents[4] = odd;
        given.strings[2].cents = Vec::new();
        given.band_cents = odd;
        let scene = cents_chart(&given, Look::default());
        check(&scene);
        assert_eq!(labels(&scene, "lines").len(), 5 * 23 - 1);
    }
    check(&cents_chart(&CentsChart::default(), Look::default()));
    check(&cents_chart(&cents(30, 120), Look::default()));
    let lying = CentsChart {
        frets: usize::MAX,
        ..cents(2, 3)
    };
    check(&cents_chart(&lying, Look::default()));
    let mut far = cents(2, 3);
    far.strings[0].cents[1] = 1e4;
    far.strings[1].cents[1] = -1e4;
    far.strings[0].name = "a long name ".repeat(60);
    check(&cents_chart(&far, Look::default()));
}

fn chooser() -> ChooserChart {
    ChooserChart {
        title: "Choice".to_owned(),
        description: "Cambers.".to_owned(),
        frontier: vec![(180.0, f64::INFINITY), (250.0, 380.0), (500.0, 320.0)],
        this: (240.0, 400.0),
        string_cone_ratio: Some(1.34),
        owned_mm: vec![254.0, 304.8, 406.4],
        nut_drop: vec![(150.0, 1.52), (300.0, 0.75), (600.0, 0.38)],
        last_drop: vec![(200.0, 1.97), (400.0, 0.98), (600.0, 0.65)],
        reach: ((150.0, 600.0), (200.0, 600.0)),
    }
}

#[test]
fn a_choice_says_which_cambers_grant_the_wish() {
    for look in looks() {
        let scene = camber_chooser(&chooser(), look);
        check(&scene);
        assert_eq!(keyed(&scene, "frontier-").len(), 3);
        assert_eq!(keyed(&scene, "block-").len(), 3);
        assert_eq!(keyed(&scene, "this").len(), 1);
        let words = texts(&scene).join("|");
        for part in [
            "grants the wish",
            "chokes",
            "string cone",
            "this commission",
        ] {
            assert!(words.contains(part), "{part}: {words}");
        }
        let unit = match look.unit {
            LengthUnit::Millimetre => ", mm",
            _ => ", in",
        };
        assert!(words.contains(&format!("edge under the crown at the nut{unit}")));
    }
    let flat = ChooserChart {
        this: (f64::INFINITY, f64::INFINITY),
        ..chooser()
    };
    let words = texts(&camber_chooser(&flat, Look::default())).join("|");
    assert!(words.contains("this commission: flat"), "{words}");
    let beyond = ChooserChart {
        this: (2000.0, 10.0),
        ..chooser()
    };
    let scene = camber_chooser(&beyond, Look::default());
    check(&scene);
    assert!(texts(&scene).join("|").contains("beyond the chart"));
}

#[test]
fn a_choice_takes_any_figures() {
    check(&camber_chooser(&ChooserChart::default(), Look::default()));
    for odd in ODD {
        let given = ChooserChart {
            frontier: vec![(odd, 300.0), (250.0, odd), (300.0, 320.0)],
            this: (odd, 300.0),
            string_cone_ratio: Some(odd),
            owned_mm: vec![odd, 300.0],
            nut_drop: vec![(odd, 1.0), (200.0, odd), (300.0, 0.7), (300.0, 0.7)],
            last_drop: vec![(300.0, 1.0)],
            reach: ((odd, 600.0), (200.0, odd)),
            ..chooser()
        };
        check_frame(&camber_chooser(&given, Look::default()));
        let reach = ChooserChart {
            reach: ((odd, odd), (600.0, 200.0)),
            ..chooser()
        };
        check(&camber_chooser(&reach, Look::default()));
    }
}

#[test]
fn shares_are_ranked() {
    let row = |name: &str, share: f64| ShareRow {
        name: name.to_owned(),
        share,
        words: "words about it".to_owned(),
    };
    let mut bars = ShareBars {
        title: "Shares".to_owned(),
        description: "Shares of errors.".to_owned(),
        unit: "%".to_owned(),
        rows: vec![row("small", 0.004), row("great", 0.7), row("middle", 0.296)],
    };
    let scene = share_bars(&bars, Look::default());
    check(&scene);
    let keys: Vec<String> = keyed(&scene, "share-")
        .iter()
        .map(|item| item.key.clone().unwrap())
        .collect();
    assert_eq!(keys, ["share-1", "share-2", "share-0"]);
    let words = texts(&scene);
    for figure in ["70 %", "30 %", "0.4 %"] {
        assert!(words.contains(&figure.to_owned()), "{figure}: {words:?}");
    }
    bars.rows
        .extend(ODD.map(|odd| row(&"long name ".repeat(40), odd)));
    bars.rows[0].words = "many words ".repeat(80);
    let scene = share_bars(&bars, Look::default());
    check(&scene);
    let unknown = texts(&scene).into_iter().filter(|text| text == "not known");
    assert_eq!(unknown.count(), ODD.len());
    check(&share_bars(&ShareBars::default(), Look::default()));
}

/// Strings planted on a circle, tilted and off the centreline, by the circle's own equation.
fn saddle(radius_mm: f64) -> SaddlePicture {
    let string = |index: i32| {
        let y = 26.0 - 10.4 * f64::from(index);
        let (middle, centre) = (3.0, 12.0 - radius_mm);
        (
            y,
            centre + (radius_mm.powi(2) - (y - middle).powi(2)).sqrt(),
            0.3,
        )
    };
    SaddlePicture {
        title: "Saddle".to_owned(),
        description: "The saddle from its end.".to_owned(),
        strings: (0..6).map(string).collect(),
        circle_mm: Some(radius_mm),
        base_words: "heights over the bridge".to_owned(),
    }
}

#[test]
fn departures_are_from_the_best_circle() {
    for radius in [60.0, 254.0, 400.0, 5000.0] {
        let scene = saddle_picture(&saddle(radius), Look::default());
        check(&scene);
        let labels = labels(&scene, "strings");
        assert_eq!(labels.len(), 6);
        let on = labels
            .iter()
            .filter(|label| label.contains("on the circle"));
        assert_eq!(on.count(), 6, "{labels:?}");
    }
    // Raised by 0.30 mm, one string of six stands over the circle through all by five sixths of
    // it less what the tilt takes; the others lie under it.
    let mut raised = saddle(400.0);
    raised.strings[2].1 += 0.3;
    let scene = saddle_picture(&raised, Look::default());
    check(&scene);
    let labels = labels(&scene, "strings");
    assert!(labels[2].ends_with("above"), "{labels:?}");
    let under = labels.iter().filter(|label| label.ends_with("below"));
    assert_eq!(under.count(), 5, "{labels:?}");
}

#[test]
fn a_saddle_takes_any_figures() {
    check(&saddle_picture(&SaddlePicture::default(), Look::default()));
    for look in looks() {
        check(&saddle_picture(&saddle(305.0), look));
    }
    for odd in ODD {
        let mut given = saddle(305.0);
        given.strings[1].0 = odd;
        given.strings[2].1 = odd;
        given.strings[3].2 = odd;
        given.circle_mm = Some(odd);
        let scene = saddle_picture(&given, Look::default());
        check(&scene);
        assert_eq!(keyed(&scene, "lane-").len(), 4);
    }
    for radius in [1.0, 26.1, 1e6, 0.0, -3.0] {
        let given = SaddlePicture {
            circle_mm: Some(radius),
            ..saddle(305.0)
        };
        check(&saddle_picture(&given, Look::default()));
    }
    let mut one = saddle(305.0);
    one.strings.truncate(1);
    check(&saddle_picture(&one, Look::default()));
    let mut many = saddle(305.0);
    many.strings = (0..60)
        .map(|index| (f64::from(index), 1e5 * f64::from(index % 2), 900.0))
        .collect();
    check(&saddle_picture(&many, Look::default()));
}
