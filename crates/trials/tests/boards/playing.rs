//! Properties of playing that every instrument must have: buzz against the stepped string, what
//! force, relief, camber, mirror and scale do to margins, bends and tuning.

use crate::played::{least_margin, margin, pairs, pluck_of, read_played, rough_tops};
use instrument::Instrument;
use play::bend::{BendEnd, BentString, Push, bend_map};
use play::buzz::{Pluck, buzz_map};
use play::lowest::{Wanted, lowest};
use play::strung::{string_lines, wished};
use play::tops::Tops;
use play::{On, Playing, playing};
use trials::vibrating_string::{Obstacle, first_touch, nearest_grid, plucked};
use trials::{Camber, Chance, Outline, Played, Scale, played_board};

/// Margins nearer to nothing than this are contact to one way of reckoning and none to another, mm.
const HAIR_MM: f64 = 1e-9;

#[test]
fn a_string_strikes_when_its_margin_says_so() {
    let (mut struck, mut free) = (0, 0);
    for seed in 0..120 {
        let mut chance = Chance::new(seed);
        let (instrument, strings) = read_played(&played_board(&mut chance));
        let tops = rough_tops(&instrument, &mut chance, 0.03);
        let lines = string_lines(&tops, &strings);
        let setting = wished(&instrument, &lines);
        for (string, line) in lines.iter().enumerate() {
            let stop = chance.whole(0, line.last_fret() - 1);
            let sounding = line.sounding_mm(stop);
            // The pluck lies on a point of the grid, at most at the middle of what sounds.
            let share = 1.0 - chance.between(0.02, 0.5);
            let (cells, point) = nearest_grid(share, 60);
            let pluck = Pluck {
                force_n: chance.between(0.0, 3.0),
                from_saddle_mm: sounding * (cells - point) as f64 / cells as f64,
            };
            if 2 * (cells - point) > cells {
                continue;
            }
            let map = buzz_map(&tops, &lines, &setting, pluck);
            let least = map.least[string][stop]
                .expect("its pull is known")
                .margin_mm;
            let tension_n = line.tension_n.expect("its pull is known");
            // A force F pulls the string up by F p (l - p)/(T l).
            let p = pluck.from_saddle_mm;
            let height = pluck.force_n * p * (sounding - p) / (tension_n * sounding);
            let frets: Vec<Obstacle> = ((stop + 1)..=line.last_fret())
                .map(|fret| {
                    let share = (line.along_mm[fret] - line.along_mm[stop]) / sounding;
                    let heights = setting.strings[string];
                    let rest = line.rest(stop, heights, setting.relief_mm);
                    let over = rest + share * (heights.saddle_mm - rest);
                    Obstacle {
                        share,
                        height: line.top(fret, setting.relief_mm) - over,
                    }
                })
                .collect();
            let touched = first_touch(&plucked(cells, point, height), &frets).is_some();
            if least > HAIR_MM {
                assert!(!touched, "{seed} {string} {stop}: {least}");
                free += 1;
            }
            if least < -HAIR_MM {
                assert!(touched, "{seed} {string} {stop}: {least}");
                struck += 1;
            }
        }
    }
    assert!(struck > 100 && free > 100, "{struck} {free}");
}

fn wanted(instrument: &Instrument, force_n: f64) -> Wanted {
    Wanted {
        pluck: pluck_of(instrument, force_n),
        margin_mm: instrument.wish.margin_mm,
        least_nut_mm: 0.0,
        relief_mm: (0.0, 1.0),
    }
}

#[test]
fn a_stronger_pluck_leaves_no_margin_greater_and_no_action_lower() {
    for seed in 0..200 {
        let mut chance = Chance::new(1000 + seed);
        let (instrument, strings) = read_played(&played_board(&mut chance));
        let tops = rough_tops(&instrument, &mut chance, 0.02);
        let lines = string_lines(&tops, &strings);
        let setting = wished(&instrument, &lines);
        let (soft, hard) = {
            let force = chance.between(0.0, 1.0);
            (force, force + chance.between(0.01, 1.0))
        };
        for (line, heights) in lines.iter().zip(&setting.strings) {
            for pair in pairs(line) {
                let of = |force| {
                    margin(
                        line,
                        *heights,
                        setting.relief_mm,
                        pluck_of(&instrument, force),
                        pair,
                    )
                };
                // Strictly less over every fret: the string sweeps everywhere but at its ends.
                assert!(of(hard) < of(soft), "{seed} {pair:?}");
            }
        }
        let sum = |force: f64| -> f64 {
            let low = lowest(&lines, wanted(&instrument, force));
            low.strings.iter().flatten().map(|low| low.action_mm).sum()
        };
        assert!(
            sum(hard) >= sum(soft) - 1e-9,
            "{seed}: {} {}",
            sum(hard),
            sum(soft)
        );
    }
}

#[test]
fn relief_moves_every_margin_by_its_hand_calculation() {
    // With nut and saddle fixed over the line of the tops, an even neck's tops at u = x/x_last come
    // down by r 4u(1-u). The fret ahead gives its own fall; the string falls with the fret that
    // stops it, by what is left of that a share w of the way to the saddle.
    for seed in 0..200 {
        let mut chance = Chance::new(2000 + seed);
        let mut played = played_board(&mut chance);
        (played.depths, played.joint) = (None, None);
        played.board.scale = played.board.scale.squared();
        let (instrument, strings) = read_played(&played);
        let tops = rough_tops(&instrument, &mut chance, 0.02);
        let lines = string_lines(&tops, &strings);
        let setting = wished(&instrument, &lines);
        let pluck = pluck_of(&instrument, 0.7);
        let (before, after) = (chance.between(0.0, 0.5), chance.between(0.0, 1.0));
        for (line, heights) in lines.iter().zip(&setting.strings) {
            let last = line.along_mm[line.last_fret()];
            let fall = |fret: usize| {
                let u = line.along_mm[fret] / last;
                4.0 * u * (1.0 - u)
            };
            for (stop, fret) in pairs(line) {
                let way = (line.along_mm[fret] - line.along_mm[stop]) / line.sounding_mm(stop);
                let stops = if stop == 0 { 0.0 } else { fall(stop) };
                let by_hand = (after - before) * (fall(fret) - (1.0 - way) * stops);
                let of = |relief| margin(line, *heights, relief, pluck, (stop, fret));
                let moved = of(after) - of(before);
                assert!(
                    (moved - by_hand).abs() < 1e-10,
                    "{seed} {stop} {fret}: {moved} {by_hand}"
                );
            }
        }
    }
}

/// A whole playing of the planned board, looked at.
fn with_playing<T>(played: &Played, look: impl FnOnce(&Playing<'_>) -> T) -> T {
    let (instrument, strings) = read_played(played);
    look(&playing(&instrument, &strings, On::Planned))
}

/// Cents at which every bend ends, `[string][fret]`.
fn chokes(played: &Played) -> Vec<Vec<Option<f64>>> {
    with_playing(played, |playing| {
        let cents = |end: &Option<BendEnd>| end.map(BendEnd::cents);
        let string = |ends: &Vec<Option<BendEnd>>| ends.iter().map(cents).collect();
        playing.bends().ends.iter().map(string).collect()
    })
}

/// Bends are told to this, cents: where the string lies almost along a fret's rise, a rounding of
/// heights is a millionth of a cent.
const BEND_CENTS: f64 = 1e-5;

#[test]
fn a_flatter_board_never_chokes_sooner_when_its_arch_runs_along_the_strings() {
    // Let D be how far the arch lies under its crown. Its change with the curvature is convex along
    // every straight line of a cylinder or a cone, and straight along its rulings. When every
    // string runs along a ruling, the saddle moves with the string's own tops, so that what a bent
    // string loses to curvature over a fret ahead is a chord over a convex curve: never negative.
    // Under other arches it is not so: a string that spreads over a cylinder gains by curvature
    // where it is not bent, a few hundredths of a millimetre, and may choke sooner when flatter.
    for seed in 0..100 {
        let mut chance = Chance::new(3000 + seed);
        let mut played = played_board(&mut chance);
        let board = &mut played.board;
        board.scale = board.scale.squared();
        board.spacing = "equal centres";
        board.outline = Outline::Margin(5.0);
        let nut = chance.between(150.0, 350.0);
        if seed % 2 == 0 {
            board.saddle_spread = board.nut_spread;
            board.camber = Camber::Single(Some(nut));
        } else {
            board.camber = Camber::StringCone(nut);
        }
        let flatter = chokes(&played.flatter(chance.between(1.01, 2.0)));
        for (string, (before, after)) in chokes(&played).iter().zip(&flatter).enumerate() {
            for (fret, (before, after)) in before.iter().zip(after).enumerate() {
                let Some((before, after)) = before.zip(*after) else {
                    continue;
                };
                assert!(
                    after >= before - BEND_CENTS,
                    "{seed} {string} {fret}: {after} < {before}"
                );
            }
        }
    }
}

#[test]
fn a_bend_not_begun_has_the_air_of_the_string_at_rest() {
    let (mut choked, mut free) = (0, 0);
    for seed in 0..200 {
        let mut chance = Chance::new(4000 + seed);
        let mut played = played_board(&mut chance);
        played.player.relief = chance.between(0.2, 1.0);
        let (instrument, strings) = read_played(&played);
        let tops = rough_tops(&instrument, &mut chance, 0.01);
        let lines = string_lines(&tops, &strings);
        let setting = wished(&instrument, &lines);
        let bent = play::playing::bent_strings(&instrument, &strings);
        let still = buzz_map(&tops, &lines, &setting, pluck_of(&instrument, 0.0));
        // Asked for as much air as some stop has, so that both answers occur.
        let asked = still.least[0][1 + seed as usize % (instrument.last_fret() - 1)]
            .expect("its pull is known")
            .margin_mm;
        let map = bend_map(&tops, &lines, &setting, &bent, asked);
        for (string, ends) in map.ends.iter().enumerate() {
            for (stop, end) in ends.iter().enumerate().skip(1) {
                let Some(least) = still.least[string][stop] else {
                    continue;
                };
                let is_choked = matches!(end, Some(BendEnd::Chokes { cents, .. }) if *cents == 0.0);
                if least.margin_mm > asked + HAIR_MM {
                    assert!(!is_choked, "{seed} {string} {stop}: {least:?} {asked}");
                    free += 1;
                }
                if least.margin_mm < asked - HAIR_MM {
                    assert!(
                        is_choked,
                        "{seed} {string} {stop}: {least:?} {asked} {end:?}"
                    );
                    choked += 1;
                }
            }
        }
    }
    assert!(choked > 1000 && free > 1000, "{choked} {free}");
}

fn same_cents(seed: u64, what: &str, a: &[Option<f64>], b: &[Option<f64>], within: f64) {
    assert_eq!(a.len(), b.len());
    for (fret, (a, b)) in a.iter().zip(b).enumerate() {
        let close = match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= within,
            (a, b) => a == b,
        };
        assert!(close, "{seed} {what} fret {fret}: {a:?} and {b:?}");
    }
}

/// Least margins of a playing, `[string][stop]`.
fn margins(playing: &Playing<'_>) -> Vec<Vec<Option<f64>>> {
    let least = |least: &Option<play::buzz::Least>| least.map(|least| least.margin_mm);
    let string = |stops: &Vec<_>| stops.iter().map(least).collect();
    playing.buzz.least.iter().map(string).collect()
}

#[test]
fn the_other_hand_s_instrument_plays_alike() {
    for seed in 0..60 {
        let mut chance = Chance::new(5000 + seed);
        let played = played_board(&mut chance).alike();
        let mirror = played.mirrored();
        let (here, there) = (
            with_playing(&played, margins),
            with_playing(&mirror, margins),
        );
        let (bends, others) = (chokes(&played), chokes(&mirror));
        let count = here.len();
        let fanned = matches!(played.board.scale, Scale::Fan { .. });
        for string in 0..count {
            let other = count - 1 - string;
            same_cents(seed, "margin", &here[string], &there[other], 1e-9);
            // A string on the centreline of a fan is pushed toward the bass side by either hand.
            if !(fanned && string == other) {
                same_cents(seed, "bend", &bends[string], &others[other], BEND_CENTS);
            }
        }
        let (low, lower) = (
            with_playing(&played, |playing| playing.lowest.clone()),
            with_playing(&mirror, |playing| playing.lowest.clone()),
        );
        let sum = |low: &play::lowest::Lowest| -> f64 {
            low.strings.iter().flatten().map(|low| low.action_mm).sum()
        };
        assert!((sum(&low) - sum(&lower)).abs() < 1e-8, "{seed}");
        let cents =
            |played: &Played| with_playing(played, |playing| playing.tuning().own.cents.clone());
        let (here, there) = (cents(&played), cents(&mirror));
        for (a, b) in here.iter().zip(there.iter().rev()) {
            for (a, b) in a.iter().flatten().zip(b.iter().flatten()) {
                assert!((a - b).abs() < 1e-7, "{seed}: {a} {b}");
            }
        }
    }
}

#[test]
fn a_larger_instrument_plays_as_the_smaller_one_in_proportion() {
    for seed in 0..60 {
        let mut chance = Chance::new(6000 + seed);
        let played = played_board(&mut chance);
        let by = chance.between(0.8, 1.25);
        let large = played.scaled(by);
        let (here, there) = (
            with_playing(&played, margins),
            with_playing(&large, margins),
        );
        for (a, b) in here.iter().zip(&there) {
            let grown: Vec<Option<f64>> = a.iter().map(|a| a.map(|a| a * by)).collect();
            same_cents(seed, "margin", &grown, b, 1e-9);
        }
        let look = |played: &Played| {
            with_playing(played, |playing| {
                (
                    playing.tuning().own.clone(),
                    playing.tuning().none.cents.clone(),
                )
            })
        };
        let ((own, none), (own_large, none_large)) = (look(&played), look(&large));
        for (a, b) in none
            .iter()
            .flatten()
            .flatten()
            .zip(none_large.iter().flatten().flatten())
        {
            assert!((a - b).abs() < 1e-9, "{seed}: {a} {b}");
        }
        for (a, b) in own
            .set_back
            .iter()
            .flatten()
            .zip(own_large.set_back.iter().flatten())
        {
            assert!(
                (a.saddle_mm * by - b.saddle_mm).abs() < 1e-6,
                "{seed}: {a:?} {b:?}"
            );
            assert!(
                (a.nut_mm * by - b.nut_mm).abs() < 1e-6,
                "{seed}: {a:?} {b:?}"
            );
        }
        let (instrument, strings) = read_played(&played);
        let (grown, heavier) = read_played(&large);
        let (tops, tops_large) = (Tops::planned(&instrument), Tops::planned(&grown));
        let force = instrument.wish.pluck_force_n;
        let small = lowest(&string_lines(&tops, &strings), wanted(&instrument, force));
        let wide = Wanted {
            relief_mm: (0.0, by),
            ..wanted(&grown, force * by * by)
        };
        let large = lowest(&string_lines(&tops_large, &heavier), wide);
        let sum = |low: &play::lowest::Lowest| -> f64 {
            low.strings.iter().flatten().map(|low| low.action_mm).sum()
        };
        assert!((sum(&small) * by - sum(&large)).abs() < 1e-8, "{seed}");
    }
}

fn random_string(chance: &mut Chance) -> BentString {
    let tension_n = chance.between(30.0, 150.0);
    BentString {
        tension_n,
        stiffness_n: tension_n * chance.between(40.0, 400.0),
        length_mm: chance.between(500.0, 900.0),
        behind_mm: chance.between(0.0, 200.0),
    }
}

#[test]
fn cents_follow_the_closed_form_and_pushes_give_them_back() {
    for seed in 0..500 {
        let mut chance = Chance::new(7000 + seed);
        let string = random_string(&mut chance);
        let length = string.length_mm;
        let along = chance.between(0.05, 0.8) * length;
        let run = length - along;
        let at = |aside_mm: f64| {
            string.cents(
                along,
                Push {
                    aside_mm,
                    skew: 0.0,
                },
            )
        };
        let kappa = string.stiffness_n / string.tension_n;
        let mut before = 0.0;
        for step in 0..=60 {
            let b = 0.5 * f64::from(step);
            // f = sqrt(T'/μ)/(2 l'), with T' = T + E A ΔL/L_0, both sides longer by Pythagoras.
            let (near, far) = ((along * along + b * b).sqrt(), (run * run + b * b).sqrt());
            let pull = 1.0 + kappa * (near + far - length) / (length + string.behind_mm);
            let wanted = 1200.0 / 2.0_f64.ln() * ((run / far).ln() + 0.5 * pull.ln());
            let found = at(b);
            assert!(
                (found - wanted).abs() < 1e-9,
                "{seed} {b}: {found} {wanted}"
            );
            // More push is more pitch while the pull grows faster than the length: by the first
            // terms in b, κ/(L_0) (1/a + 1/l) > 2/l², and while κ ΔL/L_0 stays small beside 1.
            let stretched = kappa / (length + string.behind_mm) * (1.0 / along + 1.0 / run);
            if stretched * run * run > 4.0 * pull && step > 0 {
                assert!(found > before, "{seed} {b}: {found} after {before}");
            }
            before = found;
            if found > 1e-6 {
                let back = string.push_for(along, found, 0.0, b + 1.0);
                let back = back.expect("a push within reach gives it");
                assert!((at(back) - found).abs() < 1e-6, "{seed} {b}: {back}");
            }
        }
        assert_eq!(
            string.push_for(along, at(20.0) + 1.0, 0.0, 20.0),
            None,
            "{seed}"
        );
    }
}

#[test]
fn bends_at_the_midpoint_are_those_of_grimes_less_what_thinning_brings() {
    // D. R. Grimes, PLoS ONE 9(7), e102088 (2014), doi 10.1371/journal.pone.0102088: a string
    // pulled aside at its middle to the angle θ sounds at (1/2L) sqrt((EA + cos θ (T - EA))/μ_0).
    // He counts that the stretched string is lighter for its length, which the program leaves out:
    // by that its bends are lower by exactly -600 log2 cos θ, 2.6 cents at a bend of 300.
    let area_m2 = 0.25 * std::f64::consts::PI * 0.254e-3 * 0.254e-3;
    let speed = 2.0 * 0.648 * 440.0 * (-5.0_f64 / 12.0).exp2();
    let (tension_n, stiffness_n) = (7850.0 * area_m2 * speed * speed, 200e9 * area_m2);
    let string = BentString {
        tension_n,
        stiffness_n,
        length_mm: 648.0,
        behind_mm: 0.0,
    };
    for (cents, printed_mm) in [(100.0, 13.63), (200.0, 19.87), (300.0, 25.11)] {
        let turn = |b: f64| (b / 324.0_f64).atan().cos();
        let grimes = |b: f64| {
            let whole = stiffness_n + turn(b) * (tension_n - stiffness_n);
            600.0 * (whole / tension_n).log2()
        };
        // The displacements are printed to 0.01 mm: half of that, at 25 cents a millimetre.
        assert!(
            (grimes(printed_mm) - cents).abs() < 0.13,
            "{}",
            grimes(printed_mm)
        );
        let found = string.cents(
            324.0,
            Push {
                aside_mm: printed_mm,
                skew: 0.0,
            },
        );
        let thinning = 600.0 * turn(printed_mm).log2();
        assert!(
            (found - grimes(printed_mm) - thinning).abs() < 1e-9,
            "{found}"
        );
        assert!((-2.7..-0.7).contains(&thinning), "{thinning}");
    }
}

#[test]
fn the_lowest_set_up_keeps_every_margin_and_no_neighbour_is_lower() {
    for seed in 0..10 {
        let mut chance = Chance::new(8000 + seed);
        let (instrument, strings) = read_played(&played_board(&mut chance));
        let tops = rough_tops(&instrument, &mut chance, 0.02);
        let lines = string_lines(&tops, &strings);
        let wanted = wanted(&instrument, chance.between(0.1, 1.5));
        let found = lowest(&lines, wanted);
        let keeps = |line: &play::strung::StringLine, heights: play::strung::Heights, relief| {
            heights.nut_mm >= wanted.least_nut_mm - HAIR_MM
                && heights.saddle_mm >= wanted.least_nut_mm - HAIR_MM
                && least_margin(line, heights, relief, wanted.pluck) >= wanted.margin_mm - HAIR_MM
        };
        let mut total = 0.0;
        for (line, low) in lines.iter().zip(&found.strings) {
            let low = low.as_ref().expect("its pull is known");
            assert!(keeps(line, low.heights, found.relief_mm), "{seed}: {low:?}");
            total += low.action_mm;
        }
        for by in [0.001, 0.02, 0.2] {
            for relief in [-by, 0.0, by].map(|more| found.relief_mm + more) {
                if !(wanted.relief_mm.0..=wanted.relief_mm.1).contains(&relief) {
                    continue;
                }
                // Strings know nothing of one another under one relief.
                let least: f64 = lines
                    .iter()
                    .zip(&found.strings)
                    .map(|(line, low)| {
                        let low = low.as_ref().expect("known").heights;
                        let mut best = f64::INFINITY;
                        for i in -4..=4 {
                            for j in -4..=4 {
                                let near = play::strung::Heights {
                                    nut_mm: low.nut_mm + by * f64::from(i),
                                    saddle_mm: low.saddle_mm + by * f64::from(j),
                                };
                                if keeps(line, near, relief) {
                                    best = best.min(line.action(line.action_fret, near, relief));
                                }
                            }
                        }
                        best
                    })
                    .sum();
                assert!(
                    least >= total - 1e-6,
                    "{seed} {by} {relief}: {least} < {total}"
                );
            }
        }
    }
}
