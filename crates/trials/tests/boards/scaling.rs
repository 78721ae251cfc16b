//! A board drawn larger is the same board: lengths grow with the scale, volumes with its cube,
//! angles stay. Grains do not grow, so that allowances and all that hangs on them are left out.

use crate::common::{plan, read, read_the_kit, same};
use crate::figures::sideless;
use trials::{Chance, flattening_board, ordinary_board, planted_kit};

/// No smaller: the thinnest string would be thinner than any that is read.
const SCALES: [f64; 3] = [0.8, 2.0, 1.37];
/// Rounding of a figure against itself worked out at another scale, relative to the figure;
/// figures that are small differences of large ones are given the large one's rounding.
const ROUNDING: f64 = 1e-11;
/// A fitted circle's radius is found to 1e-10 of itself.
const FIT_ROUNDING: f64 = 1e-9;

#[test]
fn every_figure_of_the_sheet_follows_its_dimension() {
    for seed in 0..200 {
        let board = ordinary_board(&mut Chance::new(seed));
        let figures = sideless(&play::sheet(&read(&board), None));
        for by in SCALES {
            let larger = sideless(&play::sheet(&read(&board.scaled(by)), None));
            assert_eq!(figures.len(), larger.len());
            for (figure, other) in figures.iter().zip(&larger) {
                let expected = figure.value * by.powi(figure.power);
                let rounding = match figure.power {
                    -1 => FIT_ROUNDING * expected.abs() + 1e-12,
                    // Lengths on a board are differences of lengths of some 1000 mm.
                    1 => ROUNDING * expected.abs().max(1000.0),
                    _ => ROUNDING * expected.abs(),
                };
                same(&figure.name, other.value, expected, rounding, &board);
            }
        }
    }
}

#[test]
fn humps_lanes_and_angles_follow() {
    for seed in 0..200 {
        let board = ordinary_board(&mut Chance::new(seed));
        let instrument = read(&board);
        let sheet = play::sheet(&instrument, None);
        for by in SCALES {
            let larger = read(&board.scaled(by));
            let other = play::sheet(&larger, None);
            for (a, b) in sheet
                .camber
                .lane_hump_mm
                .iter()
                .zip(&other.camber.lane_hump_mm)
            {
                same("hump", *b, a * by, 1e-11, &board);
            }
            for (a, b) in instrument.lanes.iter().zip(&larger.lanes) {
                same("lane", b.nut.1, a.nut.1 * by, 1e-11, &board);
                same("lane", b.saddle.0, a.saddle.0 * by, 1e-9, &board);
                same("lane's angle", b.rise(), a.rise(), 1e-13, &board);
            }
            for (a, b) in sheet.frets.iter().zip(&other.frets) {
                same("skew", b.skew_deg, a.skew_deg, 1e-10, &board);
            }
            if let Some((a, b)) = sheet.camber.apex_x_mm.zip(other.camber.apex_x_mm) {
                same("apex", b, a * by, 1e-9 * (a * by).abs(), &board);
            }
        }
    }
}

#[test]
fn zones_and_what_blocks_leave_follow() {
    for seed in 0..150 {
        let mut chance = Chance::new(seed);
        let board = flattening_board(&mut chance);
        let count = chance.whole(1, 4);
        let kit = planted_kit(&board, count, &mut chance);
        let here = plan(&read(&board), &read_the_kit(&kit));
        assert_eq!(here.zones.len(), count, "{}", board.to_toml());
        for by in SCALES {
            let there = plan(&read(&board.scaled(by)), &read_the_kit(&kit.scaled(by)));
            assert_eq!(there.zones.len(), count);
            for (a, b) in here.zones.iter().zip(&there.zones) {
                assert_eq!(a.spans.len(), b.spans.len());
                for (a, b) in a.spans.iter().zip(&b.spans) {
                    same("zone", b.from_mm, a.from_mm * by, 1e-9, &board);
                    same("zone", b.to_mm, a.to_mm * by, 1e-9, &board);
                }
            }
            let (a, b) = (&here.blocks_leave, &there.blocks_leave);
            same("most left", b.max_mm, a.max_mm * by, 1e-11, &board);
            let volume = a.volume_mm3 * by.powi(3);
            same("left", b.volume_mm3, volume, 1e-10 * volume, &board);
            let (a, b) = (&here.beam, &there.beam);
            same(
                "sweeps",
                b.far_to_near_sweep,
                a.far_to_near_sweep,
                1e-12,
                &board,
            );
            same("angle", b.edge_angle_deg, a.edge_angle_deg, 1e-10, &board);
            let (a_low, b_low) = (a.along_edges.low_at_edge_mm, b.along_edges.low_at_edge_mm);
            same("low", b_low, a_low * by, 1e-11, &board);
            // Blocks all stand at one crown height, so that no grain is in what they take off.
            for (a, b) in here.stages.iter().zip(&there.stages).take(count) {
                let volume = a.removed_mm3 * by.powi(3);
                same("removed", b.removed_mm3, volume, 1e-9 * volume, &board);
            }
        }
    }
}
