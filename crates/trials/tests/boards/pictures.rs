//! The pictures on random boards: everything in them can be drawn, and lies where it should.

use crate::common::{plan, read_the_kit, try_read};
use bench::touch::MOMENTS;
use drawing::pictures::{
    Look, Pointed, beam_sweep, board_plan, chalk_map, edge_chart, lane_profile, left_map,
    radius_chart, saw_tooth, section, touch_strip,
};
use drawing::{Item, Scene, Shape};
use trials::drawn;

/// A point may lie outside its sheet by no more than a line's width and a label's descent, mm.
const BESIDE_SHEET_MM: f64 = 3.0;

fn paths(items: &[Item], seen: &mut dyn FnMut(&drawing::Path)) {
    for item in items {
        match &item.shape {
            Shape::Path { path, .. } => seen(path),
            Shape::Group { items, .. } => paths(items, seen),
            Shape::Text { .. } => {}
        }
    }
}

/// Everything is drawable, and no line leaves the sheet to the left, right or top.
fn check(scene: &Scene, seed: u64) {
    assert_eq!(scene.count_undrawable(), 0, "seed {seed}: {}", scene.title);
    for layer in &scene.layers {
        paths(&layer.items, &mut |path| {
            for point in path.points() {
                let inside = (-BESIDE_SHEET_MM..=scene.width_mm + BESIDE_SHEET_MM)
                    .contains(&point.x)
                    && (-BESIDE_SHEET_MM..=scene.height_mm + BESIDE_SHEET_MM).contains(&point.y);
                assert!(
                    inside,
                    "seed {seed}: {}, {}: {point:?}",
                    scene.title, layer.name
                );
            }
        });
    }
}

#[test]
fn every_picture_of_every_board_can_be_drawn() {
    let mut boards = 0;
    for seed in 0..250 {
        let (board, kit) = drawn(seed);
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        boards += 1;
        let kit = read_the_kit(&kit);
        let plan = plan(&instrument, &kit);
        let sheet = play::sheet(&instrument, Some(&kit));
        let fret = seed as usize % (instrument.last_fret() + 1);
        let lane = seed as usize % instrument.lanes.len();
        let unit = if seed % 2 == 0 {
            Default::default()
        } else {
            quantity::LengthUnit::FractionInch
        };
        let look = Look {
            pointed: Some(Pointed { fret, lane }),
            unit,
        };
        let station = sheet.frets[fret].gauge;
        for scene in [
            board_plan(&instrument, look),
            section(&instrument, look, &kit.gauges, station),
            lane_profile(&instrument, look),
            radius_chart(&instrument, look, Some(&plan)),
            radius_chart(&instrument, Look::default(), None),
            saw_tooth(&instrument, &plan, look),
            left_map(&instrument, &plan, look),
            edge_chart(&instrument, &sheet, look),
        ] {
            check(&scene, seed);
        }
        // The beam's sweep may leave the sheet on a steep cone; it must be drawable all the same.
        assert_eq!(beam_sweep(&instrument, &plan, look).count_undrawable(), 0);
        for stage in plan.stages.iter().take(4) {
            check(&touch_strip(&instrument, stage, look), seed);
            for moment in 0..MOMENTS.len() {
                check(&chalk_map(&instrument, stage, moment), seed);
            }
        }
    }
    assert!(boards > 200, "{boards} boards were read");
}

#[test]
fn frets_of_the_plan_lie_to_scale() {
    for seed in 0..60 {
        let (board, _) = drawn(seed);
        let Some(instrument) = try_read(&board) else {
            continue;
        };
        let scene = board_plan(&instrument, Look::default());
        let frets = scene
            .layers
            .iter()
            .find(|layer| layer.name == "frets")
            .expect("there are frets");
        let middles: Vec<f64> = frets
            .items
            .iter()
            .filter_map(|item| match &item.shape {
                Shape::Path { path, .. } => {
                    let ends: Vec<_> = path.points().collect();
                    Some(0.5 * (ends.first()?.x + ends.last()?.x))
                }
                _ => None,
            })
            .collect();
        assert_eq!(middles.len(), instrument.frets.len(), "seed {seed}");
        let [first, last] = [0, instrument.last_fret()];
        let middle = |fret: usize| {
            let [treble, bass] = instrument.outline.edges_of(instrument.frets[fret]);
            0.5 * (treble.0 + bass.0)
        };
        let scale = (middles[last] - middles[first]) / (middle(last) - middle(first));
        for fret in 0..=last {
            let expected = middles[first] + scale * (middle(fret) - middle(first));
            assert!(
                (middles[fret] - expected).abs() < 1e-6,
                "seed {seed}, fret {fret}"
            );
        }
    }
}
