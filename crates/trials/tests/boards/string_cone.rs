//! A string cone's rulings are the lanes: no hump under any string.

use crate::common::{no_files, read};
use instrument::read_commission;
use trials::{Chance, Commission, string_cone_board};

/// The hair by which inner lanes may miss the apex on a fan or with equal gaps, mm.
const HAIR_MM: f64 = 0.001;

fn humps(board: &Commission) -> Vec<f64> {
    play::sheet(&read(board), None).camber.lane_hump_mm
}

#[test]
fn a_square_board_with_equal_centres_has_no_hump() {
    for seed in 0..2000 {
        let mut board = string_cone_board(&mut Chance::new(seed));
        board.scale = board.scale.squared();
        board.spacing = "equal centres";
        for hump in humps(&board) {
            assert!(hump.abs() < 1e-9, "{hump} mm\n{}", board.to_toml());
        }
    }
}

#[test]
fn a_fan_or_equal_gaps_leave_less_than_a_hair() {
    let (mut worst, mut of) = (0.0, String::new());
    for seed in 0..4000 {
        let mut board = string_cone_board(&mut Chance::new(seed));
        if seed % 4 == 0 {
            board.spacing = "equal gaps";
        }
        for hump in humps(&board) {
            if hump.abs() > worst {
                (worst, of) = (hump.abs(), board.to_toml());
            }
        }
    }
    assert!(worst < HAIR_MM, "{worst} mm\n{of}");
    // On some boards it must be more than rounding, or nothing was looked at.
    assert!(worst > 1e-6, "{worst}");
}

#[test]
fn the_hump_of_a_cylinder_is_not_hidden() {
    // L = 648, spreads 35/52, 22 frets, outer lane, radius 254 mm all along: 0.0186 mm; cone 254
    // to 406.4: 0.0046 mm (30-digit arithmetic, apart from this project).
    let with = |camber: &str| {
        format!(
            "camberwright = 1\ntitle = \"t\"\n[scale]\nlength = 648\nfrets = 22\n[strings]\n\
             nut_spread = 35\nsaddle_spread = 52\nspacing = \"equal centres\"\n\
             set = [{{ note = \"E4\", gauge = 0.25 }}, {{ note = \"E2\", gauge = 1.1 }}]\n\
             [board]\nmargin = 3\ncrown_thickness = 7\n[camber]\n{camber}\n"
        )
    };
    for (camber, expected_mm) in [
        ("law = \"single\"\nradius = 254", 0.0186),
        ("law = \"cone\"\nnut = 254\nlast_fret = 406.4", 0.0046),
    ] {
        let instrument = read_commission(&with(camber), &no_files).expect("is whole");
        let humps = play::sheet(&instrument, None).camber.lane_hump_mm;
        // Half of the last printed digit.
        assert!(
            (humps[0].abs() - expected_mm).abs() <= 5e-5,
            "{camber}: {humps:?}"
        );
    }
}
