//! A board for the other hand is the same board seen in a mirror.

use crate::common;
use crate::common::{LENGTH_ROUNDING_MM, plan, read_the_kit, same, try_read};
use crate::figures::sideless;
use trials::{Chance, Commission, drawn, kit_for};

/// Rounding of volumes of some 10,000 mm³ worked out in two orders, relative.
const VOLUME_ROUNDING: f64 = 1e-12;
/// A circle fitted by steps stops when its radius changes by less than 1e-10 of itself, so that
/// its curvature (under 0.1 a mm) is good to this, in 1/mm.
const CURVATURE_ROUNDING_PER_MM: f64 = 1e-10;

fn boards(count: u64) -> Vec<Commission> {
    let boards = (0..count).map(|seed| drawn(seed).0);
    boards.filter(|board| try_read(board).is_some()).collect()
}

#[test]
fn lanes_and_frets_change_sides() {
    let boards = boards(600);
    assert!(boards.len() > 400, "{} were read", boards.len());
    for board in boards {
        let (here, there) = (common::read(&board), common::read(&board.mirrored()));
        for (lane, other) in here.lanes.iter().zip(there.lanes.iter().rev()) {
            for (a, b) in [(lane.nut, other.nut), (lane.saddle, other.saddle)] {
                same("lane x", a.0, b.0, LENGTH_ROUNDING_MM, &board);
                same("lane y", a.1, -b.1, LENGTH_ROUNDING_MM, &board);
            }
        }
        for (fret, other) in here.frets.iter().zip(&there.frets) {
            same("fret x", fret.x_mm, other.x_mm, LENGTH_ROUNDING_MM, &board);
            same("fret skew", fret.slope, -other.slope, 1e-12, &board);
        }
    }
}

#[test]
fn figures_without_a_side_stay_and_the_others_change_sides() {
    for board in boards(600) {
        let (here, there) = (common::read(&board), common::read(&board.mirrored()));
        let (here, there) = (play::sheet(&here, None), play::sheet(&there, None));
        for (a, b) in sideless(&here).iter().zip(&sideless(&there)) {
            let rounding = match a.power {
                3 => VOLUME_ROUNDING * a.value.abs().max(1.0),
                -1 => CURVATURE_ROUNDING_PER_MM,
                _ => LENGTH_ROUNDING_MM * (a.value.abs() / 1000.0).max(1.0),
            };
            same(&a.name, a.value, b.value, rounding, &board);
        }
        for (a, b) in here.frets.iter().zip(&there.frets) {
            same(
                "margin",
                a.margin_treble_mm,
                b.margin_bass_mm,
                LENGTH_ROUNDING_MM,
                &board,
            );
            same(
                "margin",
                a.margin_bass_mm,
                b.margin_treble_mm,
                LENGTH_ROUNDING_MM,
                &board,
            );
            same("skew", a.skew_deg, -b.skew_deg, 1e-10, &board);
        }
        let humps = here
            .camber
            .lane_hump_mm
            .iter()
            .zip(there.camber.lane_hump_mm.iter().rev());
        for (a, b) in humps {
            same("hump", *a, *b, LENGTH_ROUNDING_MM, &board);
        }
    }
}

#[test]
fn the_plan_is_the_same_for_both_hands() {
    for (seed, board) in boards(400).into_iter().enumerate() {
        let kit = read_the_kit(&kit_for(&board, &mut Chance::new(seed as u64)));
        let (here, there) = (common::read(&board), common::read(&board.mirrored()));
        let (a, b) = (plan(&here, &kit), plan(&there, &kit));
        let volume = |v: f64| VOLUME_ROUNDING * v.abs().max(1000.0);
        same("start", a.start_mm, b.start_mm, 0.0, &board);
        assert_eq!(a.reaches_finish, b.reaches_finish);
        let keys = |plan: &bench::BenchPlan| -> Vec<String> {
            plan.stages.iter().map(|stage| stage.key.clone()).collect()
        };
        assert_eq!(keys(&a), keys(&b), "{}", board.to_toml());
        let (left, other) = (&a.blocks_leave, &b.blocks_leave);
        same(
            "left",
            left.max_mm,
            other.max_mm,
            LENGTH_ROUNDING_MM,
            &board,
        );
        same(
            "left",
            left.volume_mm3,
            other.volume_mm3,
            volume(left.volume_mm3),
            &board,
        );
        for (stage, other) in a.stages.iter().zip(&b.stages) {
            let (most, volume) = (stage.left_max_mm, volume(stage.before.volume_mm3(&here)));
            same(
                "removed",
                stage.removed_mm3,
                other.removed_mm3,
                volume,
                &board,
            );
            same("left", stage.left_mm3, other.left_mm3, volume, &board);
            same(
                "most left",
                most,
                other.left_max_mm,
                LENGTH_ROUNDING_MM,
                &board,
            );
            same(
                "edge",
                stage.edge_after_mm.0,
                other.edge_after_mm.0,
                LENGTH_ROUNDING_MM,
                &board,
            );
            same(
                "from",
                stage.from_x_mm(),
                other.from_x_mm(),
                LENGTH_ROUNDING_MM,
                &board,
            );
            same(
                "to",
                stage.to_x_mm(),
                other.to_x_mm(),
                LENGTH_ROUNDING_MM,
                &board,
            );
        }
        // The beam is described from the treble edge; on a board of two unlike edges its angle
        // to that edge is another, its sweeps are not.
        same(
            "sweep",
            a.beam.far_to_near_sweep,
            b.beam.far_to_near_sweep,
            1e-12,
            &board,
        );
    }
}

#[test]
fn the_beam_goes_the_same_way_for_both_hands() {
    for board in boards(600) {
        let kit = read_the_kit(&kit_for(&board, &mut Chance::new(1)));
        let (here, there) = (common::read(&board), common::read(&board.mirrored()));
        let (a, b) = (plan(&here, &kit).beam, plan(&there, &kit).beam);
        assert_eq!(
            a.spans.len(),
            b.spans.len(),
            "{:?}\n{:?}\n{}",
            a.spans,
            b.spans,
            board.to_toml()
        );
        for (span, other) in a.spans.iter().zip(&b.spans) {
            same(
                "from",
                span.from_mm,
                other.from_mm,
                LENGTH_ROUNDING_MM,
                &board,
            );
            same("to", span.to_mm, other.to_mm, LENGTH_ROUNDING_MM, &board);
            same(
                "near sweep",
                span.near_sweep_mm,
                other.near_sweep_mm,
                LENGTH_ROUNDING_MM,
                &board,
            );
            // A sweep on a wild board is many times its width.
            let rounding = LENGTH_ROUNDING_MM * (span.far_sweep_mm.abs() / 100.0).max(1.0);
            same(
                "far sweep",
                span.far_sweep_mm,
                other.far_sweep_mm,
                rounding,
                &board,
            );
        }
    }
}
