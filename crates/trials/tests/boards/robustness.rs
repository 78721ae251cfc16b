//! Spoiled texts: either they are read, or every fault is told. Never a panic.

use std::panic::catch_unwind;

use crate::common::{no_files, plan};
use bench::read_kit;
use instrument::{Faults, read_commission};
use trials::{Chance, Mutation, kit_for, mutate, ordinary_board, wild_board};

const WAYS: [Mutation; 5] = [
    Mutation::Bytes,
    Mutation::Numbers,
    Mutation::Keys,
    Mutation::Lines,
    Mutation::Nesting,
];
const EACH: u64 = 1500;

/// A text in the maker's own words, to be spoiled besides the drawn ones.
const SPOKEN: &str = r#"camberwright = 1
title = "Heron"
[scale]
length = "25 in"
frets = 9
tuning = [100.0, 200.0, 1200.0]
[strings]
nut_spread = "35.5 mm"
saddle_spread = "2 1/16 in"
set = [
  { note = "E4", gauge = "0.010 in", make = "plain steel" },
  { note = "B3", gauge = "13 thou", unit_weight = "0.7 g/m" },
]
[board]
nut_width = "42,5 mm"
end_width = "56.5 mm"
overhang = "8 mm"
crown_thickness = "6 mm"
wood = "East Indian rosewood"
binding = "1.5 mm"
[camber]
law = "stations"
at = [{ fret = 0, radius = "9 1/2 in" }, { fret = 9, radius = "16 in" }]
fall_away = { from_fret = 5, depth = "0.3 mm" }
[wish]
action_at_12 = { treble = "1.5 mm", bass = "1.9 mm" }
pluck_force = "0.7 N"
[climate]
temperature = "20 °C"
shop_humidity = "45 %"
"#;

const SPOKEN_KIT: &str = r#"camberwright_kit = 1
title = "North bench"
blocks = [
  { radius = "16 in", length = "200 mm", width = "70 mm" },
  { radius = "flat" },
]
beams = [ { length = "460 mm", width = "60 mm" } ]
gauges = [ "10 in", "flat" ]
abrasives = [ "P80", "120", "P320" ]
smallest_light = "0.02 mm"
hand = { force = "30 N", speed = 0.5 }
"#;

#[track_caller]
fn told(faults: &Faults, text: &str) {
    assert!(!faults.0.is_empty(), "refused without a fault:\n{text}");
    let empty = faults
        .0
        .iter()
        .find(|fault| fault.message.trim().is_empty());
    assert!(empty.is_none(), "a fault says nothing: {empty:?}\n{text}");
}

#[track_caller]
fn unharmed(text: &str, work: impl Fn() + std::panic::UnwindSafe + std::panic::RefUnwindSafe) {
    assert!(catch_unwind(&work).is_ok(), "failed on:\n{text}");
}

#[test]
fn spoiled_commissions_are_read_or_refused_with_a_reason() {
    let kit = read_kit(SPOKEN_KIT).expect("is whole");
    let (mut read, mut refused) = (0, 0);
    for seed in 0..EACH {
        let mut chance = Chance::new(seed);
        let text = match seed % 3 {
            0 => SPOKEN.to_owned(),
            1 => ordinary_board(&mut chance).to_toml(),
            _ => wild_board(&mut chance).to_toml(),
        };
        let text = mutate(&text, WAYS[(seed % 5) as usize], &mut chance);
        match catch_unwind(|| read_commission(&text, &no_files)) {
            Err(_) => panic!("failed on:\n{text}"),
            Ok(Err(faults)) => {
                told(&faults, &text);
                refused += 1;
            }
            Ok(Ok(instrument)) => {
                unharmed(&text, || {
                    let sheet = play::sheet(&instrument, Some(&kit));
                    let said = format!("{sheet:?} {:?}", plan(&instrument, &kit));
                    assert!(!said.contains("NaN"), "a figure is not a number");
                });
                read += 1;
            }
        }
    }
    assert!(
        read > 50 && refused > 300,
        "{read} were read, {refused} refused"
    );
}

#[test]
fn spoiled_kits_are_read_or_refused_with_a_reason() {
    let instrument = read_commission(SPOKEN, &no_files).expect("is whole");
    let (mut read, mut refused) = (0, 0);
    for seed in 0..EACH {
        let mut chance = Chance::new(seed);
        let text = match seed % 2 {
            0 => SPOKEN_KIT.to_owned(),
            _ => kit_for(&ordinary_board(&mut chance), &mut chance).to_toml(),
        };
        let text = mutate(&text, WAYS[(seed % 5) as usize], &mut chance);
        match catch_unwind(|| read_kit(&text)) {
            Err(_) => panic!("failed on:\n{text}"),
            Ok(Err(faults)) => {
                told(&faults, &text);
                refused += 1;
            }
            Ok(Ok(kit)) => {
                unharmed(&text, || {
                    let said = format!("{:?}", plan(&instrument, &kit));
                    assert!(!said.contains("NaN"), "a figure is not a number");
                });
                read += 1;
            }
        }
    }
    assert!(
        read > 50 && refused > 300,
        "{read} were read, {refused} refused"
    );
}

#[test]
fn words_from_nowhere_are_refused() {
    for text in [
        "",
        "\u{0}",
        "[[[[",
        "camberwright = 2",
        "camberwright = 1\ntitle = \"\"",
        "\u{feff}",
    ] {
        told(
            &read_commission(text, &no_files).expect_err("is not whole"),
            text,
        );
        told(&read_kit(text).expect_err("is not whole"), text);
    }
}
