//! The figures of square boards, worked out once more from the numbers in the text.

use crate::common::{LENGTH_ROUNDING_MM, drop_mm, read, same};
use trials::{Camber, Chance, Commission, Outline, Scale, ordinary_board};

/// A square board with straight edges and two plain strings' worth of geometry to check.
fn square_board(seed: u64) -> (Commission, f64) {
    let mut chance = Chance::new(seed);
    let mut board = ordinary_board(&mut chance);
    board.scale = board.scale.squared();
    if let Outline::Margin(margin) = board.outline {
        let nut = board.nut_spread + 2.0 * margin;
        board.outline = Outline::Widths(nut, nut + board.saddle_spread - board.nut_spread);
    }
    let Scale::Single(length) = board.scale else {
        unreachable!("it was squared")
    };
    (board, length)
}

/// A stop that raises the pitch by 100 k cents lies at `L (1 - 2^(-k/12))`.
fn fret_mm(length: f64, fret: usize) -> f64 {
    length * (1.0 - (-(fret as f64) / 12.0).exp2())
}

/// Straight from one figure to another between two places, and on past them.
fn straight(from: (f64, f64), to: (f64, f64), x: f64) -> f64 {
    from.1 + (to.1 - from.1) * (x - from.0) / (to.0 - from.0)
}

fn radius_mm(board: &Commission, length: f64, x: f64) -> f64 {
    let last = fret_mm(length, board.frets);
    match &board.camber {
        Camber::Single(radius) => radius.unwrap_or(f64::INFINITY),
        Camber::Cone(nut, far) => straight((0.0, *nut), (last, *far), x),
        // The radii at nut and saddle stand as the spreads do.
        Camber::StringCone(nut) => straight(
            (0.0, *nut),
            (length, nut * board.saddle_spread / board.nut_spread),
            x,
        ),
        Camber::Stations(at) => {
            let place = |index: usize| (fret_mm(length, at[index].0), at[index].1);
            let piece = (1..at.len() - 1)
                .find(|index| x < place(*index).0)
                .unwrap_or(at.len() - 1);
            straight(place(piece - 1), place(piece), x)
        }
    }
}

#[test]
fn frets_widths_radii_and_drops_are_those_of_the_text() {
    for seed in 0..500 {
        let (board, length) = square_board(seed);
        let Outline::Widths(nut, end) = board.outline else {
            unreachable!("edges are straight")
        };
        let end_x = fret_mm(length, board.frets) + board.overhang;
        let sheet = play::sheet(&read(&board), None);
        for fret in &sheet.frets {
            let x = fret_mm(length, fret.fret);
            let width = straight((0.0, nut), (end_x, end), x);
            let radius = radius_mm(&board, length, x);
            let drop = drop_mm(radius, 0.5 * width);
            let spread = straight((0.0, board.nut_spread), (length, board.saddle_spread), x);
            let fall = board.fall_away.map_or(0.0, |(from, depth)| {
                let start = fret_mm(length, from);
                (depth * (x - start) / (end_x - start)).max(0.0)
            });
            let ledge = board.blank.binding.map_or(0.0, |binding| binding.1);
            let near = LENGTH_ROUNDING_MM;
            same("x", fret.x_mm, x, near, &board);
            same("width", fret.width_mm, width, near, &board);
            same(
                "curvature",
                1.0 / fret.radius.mm(),
                1.0 / radius,
                1e-14,
                &board,
            );
            same("drop", fret.edge_drop_mm, drop, near, &board);
            let edge = board.blank.crown - drop - fall - ledge;
            same("edge", fret.edge_thickness_mm, edge, near, &board);
            same(
                "margin",
                fret.margin_mm(),
                0.5 * (width - spread),
                near,
                &board,
            );
            let arc = if radius.is_finite() {
                2.0 * radius * (0.5 * width / radius).asin()
            } else {
                width
            };
            same("arc", fret.arc.length_mm, arc, near, &board);
            for (lane_x, lane_y) in fret.lanes_x_mm.iter().zip(&fret.lanes_y_mm) {
                same("lane x", *lane_x, x, near, &board);
                assert!(lane_y.abs() <= 0.5 * spread + near);
            }
            same("outer lane", fret.lanes_y_mm[0], 0.5 * spread, near, &board);
        }
    }
}

#[test]
fn slots_are_as_deep_as_tang_clearance_and_floor_ask() {
    for seed in 0..300 {
        let (board, length) = square_board(seed);
        let sheet = play::sheet(&read(&board), None);
        let size = |key: &str| {
            board
                .wire
                .iter()
                .find(|(name, _)| *name == key)
                .map_or(0.0, |(_, size)| *size)
        };
        for fret in &sheet.frets {
            let binding = board.blank.binding.map_or(0.0, |binding| binding.0);
            let reach = 0.5 * fret.width_mm - binding;
            let drop = drop_mm(radius_mm(&board, length, fret.x_mm), reach);
            let tang = size("tang_depth") + size("clearance");
            let depth = if board.floor_follows {
                tang
            } else {
                tang + drop
            };
            same(
                "slot",
                fret.slot_depth_mm,
                depth,
                LENGTH_ROUNDING_MM,
                &board,
            );
            let wire = fret.arc.length_mm + 2.0 * size("wire_overhang");
            same("wire", fret.wire_mm, wire, LENGTH_ROUNDING_MM, &board);
        }
    }
}

#[test]
fn laws_that_reach_the_last_fret_run_on_to_the_boards_end() {
    for seed in 0..300 {
        let (board, length) = square_board(seed);
        let instrument = read(&board);
        for share in [0.0, 0.3, 0.7, 1.0] {
            let last = fret_mm(length, board.frets);
            let x = last + share * board.overhang;
            let here = 1.0 / instrument.camber.radius(x).mm();
            same(
                "curvature",
                here,
                1.0 / radius_mm(&board, length, x),
                1e-14,
                &board,
            );
        }
    }
}
