//! Maps of measured wood and the next step on the board: placed by closed forms, and whole on
//! any figures.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{all, boards, check, check_frame, heron, layer, paths, texts};
use drawing::pictures::{
    BeamSweep, LimitingSpot, Look, MapKind, MapMark, MarkKind, MeasuredMap, Pointed, StepLook,
    departure_map, step_on_board,
};
use drawing::{Ink, Item, Path, Scene, Shape};
use instrument::Instrument;
use quantity::LengthUnit;

const COLUMNS: usize = 41;
const ROWS: usize = 13;
const KNOWN_MM: f64 = 0.02;
const KINDS: [MarkKind; 5] = [
    MarkKind::Reading,
    MarkKind::Doubted,
    MarkKind::SetAside,
    MarkKind::Limiting,
    MarkKind::Next,
];

/// A map from figures and uncertainties at shares of the length and the width.
fn map(
    kind: MapKind,
    value: impl Fn(f64, f64) -> f64,
    sigma: impl Fn(f64, f64) -> f64,
) -> MeasuredMap {
    let place = |index: usize| {
        let along = (index / ROWS) as f64 / (COLUMNS - 1) as f64;
        (along, (index % ROWS) as f64 / (ROWS - 1) as f64)
    };
    let list = |figure: &dyn Fn(f64, f64) -> f64| {
        let figure = |index| figure(place(index).0, place(index).1);
        (0..COLUMNS * ROWS).map(figure).collect()
    };
    MeasuredMap {
        title: "Second visit".to_owned(),
        columns: COLUMNS,
        rows: ROWS,
        value_mm: list(&value),
        sigma_mm: list(&sigma),
        known_mm: KNOWN_MM,
        kind,
        marks: Vec::new(),
    }
}

fn hilly(kind: MapKind) -> MeasuredMap {
    let value = |along: f64, across: f64| 0.3 * (5.0 * along).sin() * (across - 0.3);
    map(kind, value, |along, _| 0.1 * along)
}

fn mark(instrument: &Instrument, along: f64, across: f64, kind: MarkKind) -> MapMark {
    let (x_mm, y_mm) = instrument.outline.place(along, across);
    MapMark {
        x_mm,
        y_mm,
        kind,
        label: "low by 0.05 mm".to_owned(),
    }
}

/// Marks of every kind at the corners, in the middle and on one another.
fn marks(instrument: &Instrument) -> Vec<MapMark> {
    let places = [
        (0.0, 0.0),
        (0.0, 1.0),
        (1.0, 0.0),
        (1.0, 1.0),
        (0.5, 0.5),
        (0.51, 0.5),
    ];
    let at = |kind| places.map(|(along, across)| mark(instrument, along, across, kind));
    KINDS.into_iter().flat_map(at).collect()
}

fn step() -> StepLook {
    let spot = |x_mm: f64, y_mm: f64| {
        LimitingSpot {
        x_mm,
        y_mm,
        words: "low by 0.05 mm at the 9th fret, under the third string; measure again after ten strokes, with the dial across the board".to_owned(),
    }
    };
    StepLook {
        tool: "Beam 460 mm, P120".to_owned(),
        spans_mm: vec![(0.0, 200.0), (190.0, 400.0)],
        sweep: Some(BeamSweep {
            near_x_mm: 2.0,
            near_y_mm: 18.0,
            far_x_mm: 400.0,
            far_y_mm: 24.0,
        }),
        limiting: vec![spot(250.0, 3.0), spot(1.0, -18.0)],
    }
}

fn looks() -> [Look; 3] {
    let pointed = |fret, lane| Some(Pointed { fret, lane });
    [
        Look::default(),
        Look {
            pointed: pointed(0, 0),
            unit: LengthUnit::DecimalInch,
        },
        Look {
            pointed: pointed(12, 4),
            unit: LengthUnit::FractionInch,
        },
    ]
}

#[test]
fn maps_of_every_board_can_be_drawn_whole() {
    for instrument in boards() {
        for (look, kind) in looks()
            .into_iter()
            .flat_map(|look| [MapKind::Departure, MapKind::TakeOff].map(|kind| (look, kind)))
        {
            let mut map = hilly(kind);
            check(&departure_map(&instrument, &map, look));
            check(&step_on_board(&instrument, &map, &step(), look));
            check(&step_on_board(
                &instrument,
                &map,
                &StepLook::default(),
                look,
            ));
            map.marks = marks(&instrument);
            check(&departure_map(&instrument, &map, look));
        }
    }
}

#[test]
fn the_line_of_zero_lies_where_the_figures_pass_zero() {
    // On a board with square ends a figure that rises evenly from nut to end passes zero on a
    // line across; the picture keeps 3 mm free at both sides of its 240 mm.
    for zero in [0.25, 0.5, 0.7] {
        let map = map(MapKind::Departure, |along, _| along - zero, |_, _| 0.001);
        let scene = departure_map(&heron(), &map, Look::default());
        let lines = paths(&layer(&scene, "contour").items);
        assert_eq!(lines.len(), 2, "a line and its rim");
        for point in lines.iter().flat_map(Path::points) {
            let expected = 3.0 + zero * (240.0 - 6.0);
            assert!((point.x - expected).abs() < 1e-9, "{zero}: {point:?}");
        }
    }
}

#[test]
fn what_is_not_known_has_no_line_of_zero_and_a_hatch() {
    let even = |along: f64, _: f64| along - 0.5;
    let unknown = map(MapKind::Departure, even, |_, _| 3.5 * KNOWN_MM);
    let scene = departure_map(&heron(), &unknown, Look::default());
    assert!(layer(&scene, "contour").items.is_empty());
    assert!(!layer(&scene, "unknown").items.is_empty());
    assert!(
        texts(&scene)
            .iter()
            .any(|text| text.contains("nothing is known"))
    );
    let known = map(MapKind::Departure, even, |_, _| 0.9 * KNOWN_MM);
    let scene = departure_map(&heron(), &known, Look::default());
    assert!(layer(&scene, "veil").items.is_empty() && layer(&scene, "unknown").items.is_empty());
}

/// The places along the sheet from which each sheet of the veil lies, with its opacity.
fn veils(scene: &Scene) -> Vec<(f64, f64)> {
    let veil = |item: &Item| match &item.shape {
        Shape::Path {
            path,
            fill: Some(Ink::Veil(opacity)),
            ..
        } => Some((path.bounds()?.0.x, *opacity)),
        _ => None,
    };
    let veil_layer = layer(scene, "veil");
    all(&veil_layer.items)
        .into_iter()
        .filter_map(veil)
        .collect()
}

#[test]
fn the_veil_thickens_evenly_from_known_to_unknown() {
    // The uncertainty grows evenly from 1 to 3 times the known one, so that what covers after
    // k of n sheets is k / n (light let through multiplies), and sheet k begins at (k + 0.5) / n.
    let doubt = |along: f64, _: f64| KNOWN_MM * (1.0 + 2.0 * along);
    let map = map(MapKind::Departure, |_, _| 0.1, doubt);
    let veils = veils(&departure_map(&heron(), &map, Look::default()));
    assert!(veils.len() >= 4, "{veils:?}");
    let mut clear = 1.0;
    for (sheet, (from, opacity)) in veils.iter().enumerate() {
        clear *= 1.0 - opacity;
        let share = (sheet + 1) as f64 / veils.len() as f64;
        assert!((1.0 - clear - share).abs() < 1e-12, "{sheet}: {clear}");
        let expected = 3.0 + (share - 0.5 / veils.len() as f64) * 234.0;
        assert!((from - expected).abs() < 1e-6, "{sheet}: {from}");
    }
}

#[test]
fn a_figure_that_is_no_number_costs_its_place_only() {
    let whole = map(MapKind::Departure, |along, _| along - 0.3, |_, _| 0.001);
    for spoil in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let place = 20 * ROWS + 6;
        let mut by_value = whole.clone();
        by_value.value_mm[place] = spoil;
        let mut by_sigma = whole.clone();
        by_sigma.sigma_mm[place] = spoil.abs();
        for spoiled in [by_value, by_sigma] {
            let scene = departure_map(&heron(), &spoiled, Look::default());
            check(&scene);
            // The hole is one cell of the grid to each side at most: the hatch tells where.
            let hatch = paths(&layer(&scene, "unknown").items)[0].bounds().unwrap();
            let cell = 234.0 / (COLUMNS - 1) as f64;
            assert!((hatch.0.x..=hatch.1.x).contains(&120.0), "{hatch:?}");
            assert!(hatch.1.x - hatch.0.x <= 2.0 * cell, "{hatch:?}");
            let untouched = departure_map(&heron(), &whole, Look::default());
            assert_eq!(layer(&scene, "contour"), layer(&untouched, "contour"));
            assert_eq!(layer(&scene, "bar"), layer(&untouched, "bar"));
        }
    }
}

#[test]
fn a_mark_off_every_number_costs_itself() {
    let instrument = heron();
    let mut map = hilly(MapKind::Departure);
    map.marks = marks(&instrument);
    let before = layer(&departure_map(&instrument, &map, Look::default()), "marks");
    map.marks[3].x_mm = f64::NAN;
    let scene = departure_map(&instrument, &map, Look::default());
    check_frame(&scene);
    let after = layer(&scene, "marks");
    assert!(scene.count_undrawable() > 0);
    for (index, (one, other)) in before.items.iter().zip(&after.items).enumerate() {
        assert_eq!(one == other, index != 3, "mark {index}");
    }
}

#[test]
fn marks_differ_by_shape_and_the_key_names_those_that_stand() {
    let instrument = heron();
    let shape = |kind: MarkKind| {
        let mut map = hilly(MapKind::Departure);
        map.marks = vec![mark(&instrument, 0.5, 0.5, kind)];
        let scene = departure_map(&instrument, &map, Look::default());
        assert_eq!(layer(&scene, "key").items.len(), 2, "{kind:?}");
        let is_lettered = matches!(kind, MarkKind::Limiting | MarkKind::Next);
        assert!(scene.description.contains("”: 1"), "{}", scene.description);
        assert_eq!(scene.description.contains("low by 0.05 mm"), is_lettered);
        paths(&layer(&scene, "marks").items)[0].clone()
    };
    let shapes = KINDS.map(shape);
    for (index, one) in shapes.iter().enumerate() {
        assert!(shapes[..index].iter().all(|other| other != one), "{index}");
    }
}

#[test]
fn the_bar_is_lettered_in_the_chosen_unit() {
    let map = map(MapKind::Departure, |along, _| 0.2 * along, |_, _| 0.001);
    let lettered = |unit| {
        let look = Look {
            unit,
            ..Look::default()
        };
        texts(&departure_map(&heron(), &map, look)).join("|")
    };
    let metric = lettered(LengthUnit::Millimetre);
    assert!(
        metric.contains("0.200 mm too high") && metric.contains("|0|"),
        "{metric}"
    );
    // 0.2 mm is 0.00787 in by the inch's definition; the next round figure is 0.008 in.
    let inches = lettered(LengthUnit::DecimalInch);
    assert!(
        inches.contains("0.008") && !inches.contains(" mm"),
        "{inches}"
    );
}

#[test]
fn odd_grids_say_what_is_wrong() {
    let instrument = heron();
    let sized = |columns: usize, rows: usize, figures: usize| MeasuredMap {
        columns,
        rows,
        value_mm: vec![0.0; figures],
        sigma_mm: vec![0.0; figures],
        ..hilly(MapKind::Departure)
    };
    let odd = [
        (1, 1, 1),
        (0, 0, 0),
        (1, 9, 9),
        (9, 1, 9),
        (4, 4, 15),
        (usize::MAX, 2, 4),
    ];
    for (columns, rows, figures) in odd {
        let map = sized(columns, rows, figures);
        for scene in [
            departure_map(&instrument, &map, Look::default()),
            step_on_board(&instrument, &map, &step(), Look::default()),
        ] {
            check(&scene);
            assert!(texts(&scene).iter().any(|text| text.starts_with("no map")));
        }
    }
}

#[test]
fn zero_and_huge_figures_can_be_drawn() {
    let instrument = heron();
    for figure in [0.0, -0.0, 1e-300, 1e5, -1e5] {
        for kind in [MapKind::Departure, MapKind::TakeOff] {
            let map = map(kind, |_, _| figure, |_, _| 0.0);
            check(&departure_map(&instrument, &map, Look::default()));
            check(&step_on_board(&instrument, &map, &step(), Look::default()));
        }
    }
    for odd in [f64::MAX, f64::MIN] {
        let map = map(MapKind::Departure, |_, _| odd, |_, _| 0.0);
        let _ = departure_map(&instrument, &map, Look::default());
    }
    for known_mm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let map = MeasuredMap {
            known_mm,
            ..hilly(MapKind::Departure)
        };
        check(&departure_map(&instrument, &map, Look::default()));
    }
}

#[test]
fn a_step_rings_each_limiting_place_and_draws_the_movement() {
    let instrument = heron();
    let map = hilly(MapKind::TakeOff);
    let scene = step_on_board(&instrument, &map, &step(), Look::default());
    assert_eq!(layer(&scene, "limiting").items.len(), 2);
    let words = texts(&scene).join(" ");
    assert!(scene.description.contains("limited at 2 places: low by"));
    assert!(
        words.contains("1: low by") && words.contains("2: low by"),
        "{words}"
    );
    assert!(words.contains("0.0 mm to 200.0 mm from the nut"), "{words}");
    let straight = StepLook {
        sweep: None,
        ..step()
    };
    let other = step_on_board(&instrument, &map, &straight, Look::default());
    assert_ne!(layer(&scene, "movement"), layer(&other, "movement"));
    assert!(!layer(&other, "movement").items.is_empty());
}

#[test]
fn a_step_with_figures_that_are_no_numbers_keeps_the_rest() {
    let instrument = heron();
    let map = hilly(MapKind::TakeOff);
    let mut odd = step();
    odd.spans_mm.push((f64::NAN, 300.0));
    odd.limiting[1].x_mm = f64::NAN;
    let scene = step_on_board(&instrument, &map, &odd, Look::default());
    check_frame(&scene);
    let sound = step_on_board(&instrument, &map, &step(), Look::default());
    assert_eq!(layer(&scene, "bands"), layer(&sound, "bands"));
    assert_eq!(
        layer(&scene, "limiting").items[0],
        layer(&sound, "limiting").items[0]
    );
    // Reversed and empty stretches are drawn as they stand.
    odd.spans_mm = vec![(300.0, 100.0), (50.0, 50.0)];
    odd.limiting.clear();
    check(&step_on_board(&instrument, &map, &odd, Look::default()));
}
