//! A flat board is where ever larger radii lead to, without a jump.

use crate::common::{plan, read, read_the_kit};
use crate::figures::{Figure, sideless};
use trials::{Camber, Chance, Commission, KitText, ordinary_board};

const RADII_MM: [f64; 5] = [1e2, 1e3, 1e4, 1e5, 1e6];
/// What ten times the radius leaves of a difference that shrinks as 1/R, with a little for the
/// terms of higher order at a radius of 100 mm.
const A_TENTH: f64 = 0.11;

/// A board with room for the drop at a radius of 100 mm. No fall-away: a skewed fret across its
/// kink has an arc besides the camber's.
fn board(seed: u64, radius: Option<f64>) -> Commission {
    let mut board = ordinary_board(&mut Chance::new(seed));
    board.blank.crown = 12.0;
    board.blank.thickness = None;
    board.camber = Camber::Single(radius);
    board.fall_away = None;
    board
}

fn kit() -> KitText {
    KitText {
        blocks: vec![],
        beams: vec![500.0],
        gauges: vec![300.0],
        abrasives: vec!["P80", "P120", "P320"],
    }
}

fn figures_of(board: &Commission) -> Vec<Figure> {
    let instrument = read(board);
    let kit = read_the_kit(&kit());
    let sheet = play::sheet(&instrument, Some(&kit));
    let text = format!("{sheet:?} {:?}", plan(&instrument, &kit));
    assert!(
        !text.contains("NaN"),
        "not a number in\n{}",
        board.to_toml()
    );
    let mut figures = sideless(&sheet);
    for (lane, hump) in sheet.camber.lane_hump_mm.iter().enumerate() {
        figures.push(Figure {
            name: format!("hump {lane}"),
            value: *hump,
            power: 1,
        });
    }
    figures
}

/// Checks the figures whose names are `wanted`, and tells the worst of those that do not tend to
/// the flat one.
fn tends_to_flat(wanted: impl Fn(&str) -> bool) {
    let mut worst: Option<(f64, String)> = None;
    let mut faults = 0;
    for seed in 0..200 {
        let flat = figures_of(&board(seed, None));
        let mut before: Option<Vec<f64>> = None;
        for radius in RADII_MM {
            let curved = figures_of(&board(seed, Some(radius)));
            assert_eq!(flat.len(), curved.len());
            let gaps: Vec<f64> = flat
                .iter()
                .zip(&curved)
                .map(|(a, b)| (a.value - b.value).abs())
                .collect();
            for (index, figure) in flat.iter().enumerate().filter(|(_, f)| wanted(&f.name)) {
                let Some(before) = before.as_ref().map(|before| before[index]) else {
                    continue;
                };
                let over = gaps[index] - A_TENTH * before - rounding(figure.power);
                if over <= 0.0 {
                    continue;
                }
                faults += 1;
                if worst.as_ref().is_none_or(|(most, _)| over > *most) {
                    let (name, gap, text) =
                        (&figure.name, gaps[index], board(seed, None).to_toml());
                    let what = format!(
                        "{name}: {gap} from flat at {radius} mm, {before} at a tenth of it\n{text}"
                    );
                    worst = Some((over, what));
                }
            }
            before = Some(gaps);
        }
    }
    if let Some((_, what)) = worst {
        panic!("{faults} figures jump, the worst: {what}");
    }
}

/// Rounding of lengths of up to 1000 mm, of volumes of 10,000 mm³ and more, and of curvatures
/// of circles that are fitted to heights good to 1e-13 mm over chords of 40 mm and more.
fn rounding(power: i32) -> f64 {
    match power {
        3 => 1e-7,
        -1 => 1e-13,
        _ => 1e-10,
    }
}

#[test]
fn every_figure_of_the_sheet_tends_to_the_flat_one_as_the_curvature() {
    tends_to_flat(|name| !name.contains("arc curvature") && !name.contains("bend curvature"));
}

#[test]
fn radii_of_fret_arcs_tend_to_flat() {
    tends_to_flat(|name| name.contains("arc curvature") || name.contains("bend curvature"));
}

#[test]
fn a_flat_board_has_no_arch() {
    let instrument = read(&board(3, None));
    let sheet = play::sheet(&instrument, None);
    for fret in &sheet.frets {
        assert_eq!(fret.edge_drop_mm, 0.0);
        assert!((fret.arc.length_mm - fret.arc.chord_mm).abs() < 1e-9);
    }
    assert_eq!(sheet.camber.removed_mm3, sheet.camber.fall_away_mm3);
}
