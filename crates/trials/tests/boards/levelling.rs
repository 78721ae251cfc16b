//! Levelling of random boards: never metal added, never more off than the crown allows, and no
//! margin short once the actions are set anew.

use crate::played::{least_margin, pluck_of, read_played, rough_tops};
use play::levelling::{Level, levelling, proud};
use play::strung::{string_lines, wished};
use trials::{Chance, played_board};

/// The solver of linear programmes keeps its limits to this, mm.
const SOLVED_MM: f64 = 2e-8;

#[test]
fn what_is_filed_frees_every_string_within_the_crown_and_no_top_is_filed_for_nothing() {
    let (mut filed, mut cannot) = (0, 0);
    for seed in 0..150 {
        let mut chance = Chance::new(9000 + seed);
        let (instrument, strings) = read_played(&played_board(&mut chance));
        let tops = rough_tops(&instrument, &mut chance, 0.04);
        let lines = string_lines(&tops, &strings);
        let setting = wished(&instrument, &lines);
        let level = Level {
            pluck: pluck_of(&instrument, chance.between(0.2, 0.9)),
            margin_mm: instrument.wish.margin_mm,
            most_off_mm: chance.between(0.1, 0.5),
        };
        let seat_first = proud(&tops, &lines, 0.12);
        let done = levelling(&lines, &setting, seat_first.clone(), level);
        assert_eq!(done.seat_first, seat_first);
        let mut seated = lines.clone();
        for proud in &seat_first {
            seated[proud.lane].top_mm[proud.fret] -= proud.over_mm;
        }
        for (lane, off) in done.off_mm.iter().enumerate() {
            assert_eq!(off.is_none(), done.cannot.contains(&lane), "{seed} {lane}");
            let Some(off) = off else {
                cannot += 1;
                continue;
            };
            assert_eq!(off.len(), lines[lane].along_mm.len());
            assert_eq!(off[0], 0.0);
            for mm in off {
                assert!(
                    *mm >= -SOLVED_MM && *mm <= level.most_off_mm + SOLVED_MM,
                    "{seed}: {mm}"
                );
            }
            // The asked actions over fret 1 and the action fret are set over the filed tops.
            let least = |off: &[f64]| {
                let mut line = seated[lane].clone();
                for (top, mm) in line.top_mm.iter_mut().zip(off) {
                    *top -= mm;
                }
                let action =
                    |fret| lines[lane].action(fret, setting.strings[lane], setting.relief_mm);
                let heights =
                    line.heights_for(action(1), action(line.action_fret), setting.relief_mm);
                least_margin(&line, heights, setting.relief_mm, level.pluck)
            };
            assert!(
                least(off) >= level.margin_mm - SOLVED_MM,
                "{seed} {lane}: {}",
                least(off)
            );
            for fret in 1..off.len() {
                if off[fret] < 1e-5 {
                    continue;
                }
                filed += 1;
                let mut less = off.clone();
                less[fret] -= 1e-6_f64.max(0.5e-5);
                assert!(
                    least(&less) < level.margin_mm,
                    "{seed} {lane}: fret {fret} is filed by {} for nothing",
                    off[fret]
                );
            }
        }
    }
    assert!(filed > 300 && cannot > 0, "{filed} {cannot}");
}

#[test]
fn a_board_without_buzz_is_left_alone() {
    for seed in 0..100 {
        let mut chance = Chance::new(9500 + seed);
        let (instrument, strings) = read_played(&played_board(&mut chance));
        let tops = rough_tops(&instrument, &mut chance, 0.01);
        let lines = string_lines(&tops, &strings);
        let setting = wished(&instrument, &lines);
        let pluck = pluck_of(&instrument, 0.5);
        let least = lines
            .iter()
            .zip(&setting.strings)
            .map(|(line, heights)| least_margin(line, *heights, setting.relief_mm, pluck))
            .fold(f64::INFINITY, f64::min);
        let level = |margin_mm| Level {
            pluck,
            margin_mm,
            most_off_mm: 0.5,
        };
        let done = levelling(&lines, &setting, Vec::new(), level(least));
        assert!(
            done.off_mm.iter().flatten().flatten().all(|mm| *mm == 0.0),
            "{seed}"
        );
        assert_eq!(done.most(), None);
        // A hundredth more is asked: something must come off, or nothing can be done.
        let more = levelling(&lines, &setting, Vec::new(), level(least + 0.01));
        assert!(more.most().is_some() || !more.cannot.is_empty(), "{seed}");
    }
}
