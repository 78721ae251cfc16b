//! Buzz, bends and the lowest set-up against figures that were worked out apart from this project,
//! with 30-digit arithmetic and a general solver of linear programmes.

use std::fmt::Write;

use instrument::{Instrument, read_commission};
use play::bend::{BendEnd, BentString, bend_map};
use play::buzz::{Pluck, margin_mm};
use play::lowest::{Wanted, lowest};
use play::strings::string_figures;
use play::strung::{Heights, Setting, StringLine, string_lines};
use play::tops::Tops;

/// A six-string board of one scale length, all strings alike.
fn board(camber: &str, strings: usize) -> Instrument {
    let mut set = String::new();
    for _ in 0..strings {
        let _cannot_fail = write!(set, "{{ note = \"E4\", gauge = \"0.254 mm\" }},");
    }
    let text = format!(
        "camberwright = 1\ntitle = \"check\"\n[scale]\nlength = 648\nfrets = 22\n\
         [strings]\nnut_spread = 35\nsaddle_spread = 52\nspacing = \"equal centres\"\nset = [{set}]\n\
         [board]\nnut_width = 42\nend_width = 56\ncrown_thickness = 6\n[camber]\n{camber}\n"
    );
    read_commission(&text, &|_| Err("no files".into())).expect("it reads")
}

/// The choke of the highest string at frets 7, 12 and 17, cents: string at the nut 0.45 mm over
/// the tops' plane there, 1.2 mm over fret 12's top, relief 0.15 mm as a parabola, no margin.
fn chokes(camber: &str) -> [f64; 3] {
    let instrument = board(camber, 6);
    let tops = Tops::planned(&instrument);
    let lines = string_lines(&tops, &string_figures(&instrument));
    let relief_mm = 0.15;
    let heights = |line: &StringLine| {
        let over_12 = line.top(12, relief_mm) + 1.2;
        Heights {
            nut_mm: 0.45,
            saddle_mm: 0.45 + (over_12 - 0.45) * line.length_mm / line.along_mm[12],
        }
    };
    let setting = Setting {
        relief_mm,
        strings: lines.iter().map(heights).collect(),
    };
    // Plain steel of 0.254 mm: E = 207 GPa, 7850 kg/m³, E4, 120 mm behind nut and saddle.
    let area_m2 = std::f64::consts::PI * 0.254e-3 * 0.254e-3 / 4.0;
    let wave = 2.0 * 0.648 * 440.0 * (-5.0f64 / 12.0).exp2();
    let string = BentString {
        tension_n: 7850.0 * area_m2 * wave * wave,
        stiffness_n: 207e9 * area_m2,
        length_mm: 648.0,
        behind_mm: 120.0,
    };
    let map = bend_map(&tops, &lines, &setting, &[Some(string); 6], 0.0);
    [7, 12, 17].map(|fret| match map.ends[0][fret] {
        Some(BendEnd::Chokes { cents, .. }) => cents,
        other => panic!("{camber}, fret {fret}: {other:?}"),
    })
}

#[test]
fn bends_choke_where_30_digit_arithmetic_says() {
    // Computed apart from this project; printed to two decimals.
    for (camber, printed) in [
        ("law = \"single\"\nradius = 184", [233.38, 206.12, 218.06]),
        ("law = \"single\"\nradius = 241", [307.38, 268.84, 280.46]),
        ("law = \"single\"\nradius = 305", [385.04, 335.04, 345.84]),
        (
            "law = \"cone\"\nnut = 241\nlast_fret = 356",
            [410.45, 376.99, 399.11],
        ),
    ] {
        let found = chokes(camber);
        for (found, printed) in found.iter().zip(printed) {
            assert!(
                (found - printed).abs() < 0.0051,
                "{camber}: {found} for {printed}"
            );
        }
    }
}

/// One string of 72 N over 22 level frets.
fn level_board() -> (Instrument, StringLine) {
    let instrument = board("law = \"single\"\nradius = \"flat\"", 1);
    let tops = Tops::planned(&instrument);
    let mut line = string_lines(&tops, &string_figures(&instrument)).remove(0);
    line.tension_n = Some(72.0);
    (instrument, line)
}

fn wanted() -> Wanted {
    Wanted {
        pluck: Pluck {
            force_n: 0.5,
            from_saddle_mm: 120.0,
        },
        margin_mm: 0.02,
        least_nut_mm: 0.0,
        relief_mm: (0.0, 2.0),
    }
}

#[test]
fn the_lowest_set_up_is_that_of_a_general_solver() {
    // The same programme, solved apart from this project by scipy's HiGHS.
    let (_, line) = level_board();
    let found = lowest(std::slice::from_ref(&line), wanted());
    let string = found.strings[0].as_ref().expect("its pull is known");
    for (found, solved) in [
        (found.relief_mm, 0.429_243_89),
        (string.action_mm, 1.422_249_268_000_856),
        (string.heights.saddle_mm, 2.116_638_48),
        (string.heights.nut_mm, 0.0),
    ] {
        assert!((found - solved).abs() < 1e-8, "{found} for {solved}");
    }
    assert!(
        string.nut_at_least && string.limiting.len() >= 2,
        "{string:?}"
    );
}

#[test]
fn no_margin_of_the_lowest_set_up_is_below_the_asked() {
    let (_, line) = level_board();
    let wanted = wanted();
    let found = lowest(std::slice::from_ref(&line), wanted);
    let string = found.strings[0].as_ref().expect("its pull is known");
    let mut least = f64::INFINITY;
    for stop in 0..22 {
        for fret in (stop + 1)..=22 {
            let sweep = wanted.pluck.sweep(72.0, line.sounding_mm(stop));
            let margin = margin_mm(&line, string.heights, found.relief_mm, sweep, (stop, fret));
            least = least.min(margin);
        }
    }
    assert!((least - wanted.margin_mm).abs() < 1e-9, "{least}");
}
