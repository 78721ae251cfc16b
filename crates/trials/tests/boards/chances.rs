//! Chances against necks worked out one by one with the exact figures, against closed forms where
//! one error or straight errors alone are drawn, and against themselves.

use crate::played::{least_margin, pairs, read_played};
use instrument::Instrument;
use instrument::camber::Knot;
use instrument::set_up::Errors;
use play::bend::BentString;
use play::buzz::{Pluck, margin_mm};
use play::chances::{Chances, Source, Tally};
use play::intonation::Tuned;
use play::strings::StringFigures;
use play::strung::{Heights, string_lines};
use play::tops::Tops;
use play::wished_bends::wished_bends;
use play::{On, Playing, playing};
use readings::bell::share_below;
use trials::{Chance, played_board};

const NO_ERRORS: Errors = Errors {
    fret_tops_mm: 0.0,
    nut_slots_mm: 0.0,
    saddle_mm: 0.0,
    relief_mm: 0.0,
    radius_share: 0.0,
    slots_mm: 0.0,
    set_back_mm: 0.0,
    tension_share: 0.0,
    stretch_share: 0.0,
    pluck_share: 0.0,
};

/// What one neck's maker missed.
#[derive(Clone, Default)]
struct Missed {
    tops: Vec<Vec<f64>>,
    /// One saw cuts a slot through all lanes.
    slots: Vec<f64>,
    nut: Vec<f64>,
    saddle: Vec<f64>,
    set_back: Vec<f64>,
    tension: Vec<f64>,
    stretch: Vec<f64>,
    relief: f64,
    radius: [f64; 2],
    pluck: f64,
}

fn nothing_missed(playing: &Playing<'_>) -> Missed {
    let (lanes, stops) = (playing.lines.len(), playing.instrument.frets.len());
    let list = vec![0.0; lanes];
    Missed {
        tops: vec![vec![0.0; stops]; lanes],
        slots: vec![0.0; stops],
        nut: list.clone(),
        saddle: list.clone(),
        set_back: list.clone(),
        tension: list.clone(),
        stretch: list,
        ..Missed::default()
    }
}

fn drawn(playing: &Playing<'_>, chance: &mut Chance) -> Missed {
    let errors = playing.instrument.errors;
    let mut missed = nothing_missed(playing);
    let mut fill = |list: &mut [f64], sigma: f64| {
        for value in list {
            *value = sigma * chance.bell();
        }
    };
    for lane in 0..missed.tops.len() {
        fill(&mut missed.tops[lane][1..], errors.fret_tops_mm);
    }
    fill(&mut missed.slots[1..], errors.slots_mm);
    fill(&mut missed.nut, errors.nut_slots_mm);
    fill(&mut missed.saddle, errors.saddle_mm);
    fill(&mut missed.set_back, errors.set_back_mm);
    fill(&mut missed.tension, errors.tension_share);
    fill(&mut missed.stretch, errors.stretch_share);
    fill(&mut missed.radius, errors.radius_share);
    fill(std::slice::from_mut(&mut missed.relief), errors.relief_mm);
    fill(std::slice::from_mut(&mut missed.pluck), errors.pluck_share);
    missed
}

/// The four rooms of one neck, worked out anew: buzz, bends, tuning, action.
///
/// As the program says of its errors: actions are set over the tops as they come out, then nut and
/// saddle miss; tuning depends on slots, saddle, nut, set-back and stretch; bends are pushed as far
/// as the likeliest string must be.
fn rooms(playing: &Playing<'_>, strings: &[StringFigures], missed: &Missed) -> [f64; 4] {
    let mut instrument = playing.instrument.clone();
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let knots = instrument.camber.knots().iter().map(|knot| {
        let share = (knot.x_mm / last_x).clamp(0.0, 1.0);
        let longer = 1.0 + (1.0 - share) * missed.radius[0] + share * missed.radius[1];
        Knot {
            radius: instrument::Radius::from_mm(knot.radius.mm() * longer),
            ..*knot
        }
    });
    let knots = knots.collect();
    instrument.camber.set_knots(knots);
    let mut tops = Tops::planned(&instrument);
    tops.basis = play::tops::Basis::Frets;
    tops.departure_mm = missed.tops.clone();
    let lines = string_lines(&tops, strings);
    let relief = playing.wished.relief_mm + missed.relief;
    let wish = &instrument.wish;
    let mut rooms = [f64::INFINITY; 4];
    let mut saddles = Vec::new();
    for (lane, line) in lines.iter().enumerate() {
        let planned = &playing.lines[lane];
        let asked =
            |fret| planned.action(fret, playing.wished.strings[lane], playing.wished.relief_mm);
        let far = line.action_fret;
        let set = line.heights_for(asked(1), asked(far), relief);
        let heights = Heights {
            nut_mm: set.nut_mm + missed.nut[lane],
            saddle_mm: set.saddle_mm + missed.saddle[lane],
        };
        let tension_n = line.tension_n.expect("its pull is known") * (1.0 + missed.tension[lane]);
        let pluck = Pluck {
            force_n: wish.pluck_force_n * (1.0 + missed.pluck),
            from_saddle_mm: wish.pluck_from_saddle_mm,
        };
        for pair in pairs(line) {
            let sweep = pluck.sweep(tension_n, line.sounding_mm(pair.0));
            rooms[0] = rooms[0].min(margin_mm(line, heights, relief, sweep, pair));
        }
        rooms[2] = rooms[2].min(wish.in_tune_cents - farthest_off(playing, missed, lane));
        let off = line.action(far, heights, relief) - asked(far);
        rooms[3] = rooms[3].min(wish.action_within_mm - off.abs());
        saddles.push(line.datum.0 + line.datum.1 * line.length_mm + heights.saddle_mm);
    }
    for bend in wished_bends(
        playing.instrument,
        &playing.lines,
        &playing.bent,
        wish.bend_cents,
    ) {
        let bow = &lines[bend.string].bow;
        let height = |fret: usize, y_mm: f64| tops.height(fret, y_mm) - relief * bow[fret];
        let rest = height(bend.stop.fret, bend.stop.y_mm);
        for (at, way) in &bend.ahead {
            let over = rest + way * (saddles[bend.string] - rest);
            rooms[1] = rooms[1].min(over - height(at.fret, at.y_mm));
        }
    }
    rooms
}

fn farthest_off(playing: &Playing<'_>, missed: &Missed, lane: usize) -> f64 {
    let string = playing.tuning().strings[lane]
        .as_ref()
        .expect("its stretch is known");
    let mut back = playing.tuning().own.set_back[lane].expect("its stretch is known");
    back.saddle_mm += missed.set_back[lane];
    let mut model: Tuned = string.model.clone();
    model.kappa *= 1.0 + missed.stretch[lane];
    // The stiffness against bending goes with the root of that against stretch (A & B, eq. 39).
    model.stiffness *= (1.0 + missed.stretch[lane]).max(0.0).sqrt();
    model.heights.nut_mm += missed.nut[lane];
    model.heights.saddle_mm += missed.saddle[lane];
    for (fret, off) in model.frets.iter_mut().zip(&missed.slots[1..]) {
        fret.along_mm += off;
    }
    let cents = model.all_cents(back);
    // The string is tuned true at its fret as that comes out.
    let truth = cents[playing.instrument.strings[lane].tuned_at];
    cents
        .iter()
        .map(|at| (at - truth).abs())
        .fold(0.0, f64::max)
}

/// Mean, deviation and share above nothing.
fn moments(values: &[f64]) -> (f64, f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let variance = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / count;
    let met = values.iter().filter(|v| **v >= 0.0).count() as f64 / count;
    (mean, variance.sqrt(), met)
}

const DEMANDS: [&str; 4] = ["buzz", "bends", "tune", "action"];
/// Rooms are carried in single precision, mm and cents.
const SINGLE: f64 = 1e-5;
/// Standard errors within which two draws of the same thing lie.
const APART: f64 = 5.0;

/// The program's tally against exact necks drawn apart, with what straightening may leave, as a
/// share of the deviation.
fn holds(seed: u64, instrument: &Instrument, strings: &[StringFigures], straightened: f64) {
    const EXACT: usize = 400;
    const BLOCKS: u64 = 300;
    let playing = playing(instrument, strings, On::Planned);
    let tally = Chances::of(&playing, seed).tally(0, BLOCKS);
    let mut chance = Chance::new(seed);
    let necks: Vec<[f64; 4]> = (0..EXACT)
        .map(|_| rooms(&playing, strings, &drawn(&playing, &mut chance)))
        .collect();
    for (demand, name) in DEMANDS.into_iter().enumerate() {
        let exact: Vec<f64> = necks.iter().map(|rooms| rooms[demand]).collect();
        let (mean, deviation, met) = moments(&exact);
        let (found_mean, found_deviation) = tally.room(demand).expect("it is told");
        let error = deviation * (1.0 / EXACT as f64 + 1.0 / tally.necks as f64).sqrt();
        assert!(
            (found_mean - mean).abs() < APART * error + straightened * deviation + SINGLE,
            "{seed} {name}: {found_mean} for {mean} ± {error}, deviation {deviation}"
        );
        assert!(
            (found_deviation - deviation).abs() < APART * error + straightened * deviation + SINGLE,
            "{seed} {name}: deviation {found_deviation} for {deviation}"
        );
        let share_error = (0.25 / EXACT as f64).sqrt();
        assert!(
            (tally.chance_of(demand).expect("it is told") - met).abs() < APART * share_error,
            "{seed} {name}: chance {} for {met}",
            tally.chance_of(demand).expect("it is told")
        );
    }
}

fn ordinary(seed: u64, change: impl FnOnce(&mut Instrument)) -> (Instrument, Vec<StringFigures>) {
    let mut chance = Chance::new(seed);
    let mut played = played_board(&mut chance);
    played.player.forces[0] *= 0.5;
    let (mut instrument, strings) = read_played(&played);
    change(&mut instrument);
    (instrument, strings)
}

#[test]
fn usual_errors_carry_through_as_in_exact_necks() {
    for seed in 50_000..50_004 {
        let (instrument, strings) = ordinary(seed, |_| {});
        // Usual errors bend the demands a little: radii by 2 %, pulls by 3 %, force by 20 %.
        holds(seed, &instrument, &strings, 0.05);
    }
}

#[test]
fn small_errors_carry_through_as_in_exact_necks_whichever_of_them_errs() {
    let some = Errors::default();
    let each: [(&str, Errors); 10] = [
        (
            "tops",
            Errors {
                fret_tops_mm: some.fret_tops_mm,
                ..NO_ERRORS
            },
        ),
        (
            "nut",
            Errors {
                nut_slots_mm: some.nut_slots_mm,
                ..NO_ERRORS
            },
        ),
        (
            "saddle",
            Errors {
                saddle_mm: some.saddle_mm,
                ..NO_ERRORS
            },
        ),
        (
            "relief",
            Errors {
                relief_mm: some.relief_mm,
                ..NO_ERRORS
            },
        ),
        (
            "radius",
            Errors {
                radius_share: 0.1 * some.radius_share,
                ..NO_ERRORS
            },
        ),
        (
            "slots",
            Errors {
                slots_mm: some.slots_mm,
                ..NO_ERRORS
            },
        ),
        (
            "set-back",
            Errors {
                set_back_mm: some.set_back_mm,
                ..NO_ERRORS
            },
        ),
        (
            "tension",
            Errors {
                tension_share: 0.1 * some.tension_share,
                ..NO_ERRORS
            },
        ),
        (
            "stretch",
            Errors {
                stretch_share: 0.1 * some.stretch_share,
                ..NO_ERRORS
            },
        ),
        (
            "pluck",
            Errors {
                pluck_share: some.pluck_share,
                ..NO_ERRORS
            },
        ),
    ];
    for (index, (_, errors)) in each.into_iter().enumerate() {
        let seed = 51_000 + index as u64;
        let (instrument, strings) = ordinary(seed, |instrument| instrument.errors = errors);
        holds(seed, &instrument, &strings, 0.03);
    }
}

#[test]
fn strings_tuned_true_at_a_fret_are_carried_through_as_in_exact_necks() {
    for seed in 52_000..52_003 {
        let (instrument, strings) = ordinary(seed, |instrument| {
            for (index, string) in instrument.strings.iter_mut().enumerate() {
                string.tuned_at = 5 * (index % 3);
            }
        });
        holds(seed, &instrument, &strings, 0.05);
    }
}

/// A single string over one fret: its margin is straight in every error but the pull's.
fn one_fret(errors: Errors, force_n: f64) -> (Instrument, Vec<StringFigures>) {
    let mut chance = Chance::new(1);
    let mut played = played_board(&mut chance);
    played.board.scale = trials::Scale::Single(650.0);
    played.board.frets = 1;
    played.board.strings.truncate(1);
    played.board.fall_away = None;
    played.board.camber = trials::Camber::Single(Some(300.0));
    played.sounding.truncate(1);
    (played.depths, played.joint) = (None, None);
    played.player.pluck_from_saddle = 150.0;
    played.player.forces[0] = force_n;
    let (mut instrument, strings) = read_played(&played);
    instrument.errors = errors;
    (instrument, strings)
}

#[test]
fn one_fret_s_margin_has_the_mean_deviation_chance_and_shares_of_a_hand_calculation() {
    let errors = Errors {
        nut_slots_mm: 0.02,
        saddle_mm: 0.3,
        pluck_share: 0.15,
        tension_share: 0.02,
        relief_mm: 0.03,
        fret_tops_mm: 0.015,
        ..NO_ERRORS
    };
    let (instrument, strings) = one_fret(errors, 0.6);
    let playing = playing(&instrument, &strings, On::Planned);
    let line = &playing.lines[0];
    // w of the way to the saddle; the sweep there F (l - w l)/l · p/T beyond the pluck's mirror.
    let way = 1.0 - (-1.0_f64 / 12.0).exp2();
    let tension_n = line.tension_n.expect("its pull is known");
    let (l, p, s) = (650.0, 150.0, 650.0 * way);
    let sweep =
        0.6 * p * (l - p) / (tension_n * l) * if s <= p { s / p } else { (l - s) / (l - p) };
    let heights = playing.wished.strings[0];
    let mean = heights.nut_mm + way * (heights.saddle_mm - heights.nut_mm) - sweep;
    // The only fret's top carries the action, so that its own error does nothing to the margin.
    let parts = [
        (Source::NutSlots, (1.0 - way) * errors.nut_slots_mm),
        (Source::Saddle, way * errors.saddle_mm),
        (Source::Pluck, sweep * errors.pluck_share),
        (Source::Tension, sweep * errors.tension_share),
        (Source::FretTops, 0.0),
        (Source::Relief, 0.0),
    ];
    let deviation = parts.iter().map(|part| part.1 * part.1).sum::<f64>().sqrt();
    let chances = Chances::of(&playing, 7);
    const BLOCKS: u64 = 4000;
    let tally = chances.tally(0, BLOCKS);
    let error = deviation / (tally.necks as f64).sqrt();
    let (found_mean, found_deviation) = tally.room(0).expect("it is told");
    assert!(
        (found_mean - mean).abs() < APART * error + 1e-4 * sweep,
        "{found_mean} for {mean}"
    );
    assert!((found_deviation - deviation).abs() < APART * error + 0.002 * deviation);
    let chance = share_below(mean / deviation);
    let found = tally.chance_of(0).expect("it is told");
    assert!(
        (found - chance).abs() < APART * 0.5 / (tally.necks as f64).sqrt(),
        "{found}"
    );
    let (_, effects) = chances.effects(0, BLOCKS);
    let account = Chances::account(tally, &effects);
    assert_eq!(account.shares.len(), parts.len());
    for (source, part) in parts {
        let share = account.shares.iter().find(|share| share.source == source);
        let share = share.expect("it can err").of[0];
        let wanted = part * part / (deviation * deviation);
        // Jansen's estimate scatters by about 1/sqrt(n) of the whole.
        assert!(
            (share - wanted).abs() < 0.02,
            "{source:?}: {share} for {wanted}"
        );
    }
}

#[test]
fn an_action_that_misses_by_a_bell_passes_as_often_as_the_bell_says() {
    // Within one, two and half a standard deviation: 68.27, 95.45 and 38.29 % of a bell.
    for (within, share) in [(1.0, 0.682_689), (2.0, 0.954_500), (0.5, 0.382_925)] {
        let sigma = 0.06;
        let errors = Errors {
            saddle_mm: sigma,
            ..NO_ERRORS
        };
        let (mut instrument, strings) = one_fret(errors, 0.3);
        let way = 1.0 - (-1.0_f64 / 12.0).exp2();
        instrument.wish.action_within_mm = within * way * sigma;
        let playing = playing(&instrument, &strings, On::Planned);
        let tally = Chances::of(&playing, 3).tally(0, 4000);
        let found = tally.chance_of(3).expect("it is told");
        assert!(
            (found - share).abs() < APART * tally.uncertainty(share),
            "{found} for {share}"
        );
        // The size of a bell has the mean sqrt(2/π) and the variance 1 - 2/π.
        let (mean, deviation) = tally.room(3).expect("it is told");
        let size = (2.0 / std::f64::consts::PI).sqrt();
        let spread = (1.0 - 2.0 / std::f64::consts::PI).sqrt() * way * sigma;
        let error = APART * spread / (tally.necks as f64).sqrt();
        assert!(
            (mean - way * sigma * (within - size)).abs() < error,
            "{mean}"
        );
        assert!(
            (deviation - spread).abs() < error,
            "{deviation} for {spread}"
        );
    }
}

#[test]
fn without_errors_all_necks_are_the_likeliest() {
    for seed in 53_000..53_030 {
        let (instrument, strings) = ordinary(seed, |instrument| instrument.errors = NO_ERRORS);
        let playing = playing(&instrument, &strings, On::Planned);
        let chances = Chances::of(&playing, seed);
        assert!(chances.sources().is_empty());
        let tally = chances.tally(0, 1);
        let exact = rooms(&playing, &strings, &nothing_missed(&playing));
        let lowest = (0..playing.lines.len())
            .map(|lane| {
                let heights = playing.wished.strings[lane];
                least_margin(
                    &playing.lines[lane],
                    heights,
                    playing.wished.relief_mm,
                    playing.buzz.pluck,
                )
            })
            .fold(f64::INFINITY, f64::min);
        assert!((exact[0] - lowest).abs() < 1e-9);
        for (demand, name) in DEMANDS.into_iter().enumerate() {
            let (mean, deviation) = tally.room(demand).expect("it is told");
            // Single precision of heights of some millimetres, and of squares of cents.
            assert!(
                (mean - exact[demand]).abs() < 1e-5,
                "{seed} {name}: {mean} {exact:?}"
            );
            assert!(deviation < 1e-3, "{seed} {name}: {deviation}");
        }
        assert_eq!(
            tally.met_all,
            if exact.iter().all(|room| *room >= 0.0) {
                16
            } else {
                0
            }
        );
    }
}

fn close(a: &Tally, b: &Tally) {
    assert_eq!((a.necks, a.met_all, a.met), (b.necks, b.met_all, b.met));
    for demand in 0..4 {
        // Sums differ by the order of adding alone.
        assert!((a.sum[demand] - b.sum[demand]).abs() <= 1e-9 * (1.0 + a.squares[demand]));
        assert!((a.squares[demand] - b.squares[demand]).abs() <= 1e-9 * (1.0 + a.squares[demand]));
    }
}

#[test]
fn equal_seeds_give_equal_necks_and_parts_add_up_in_any_order() {
    let (instrument, strings) = ordinary(54_000, |_| {});
    let playing = playing(&instrument, &strings, On::Planned);
    let (one, same, other) = (
        Chances::of(&playing, 1),
        Chances::of(&playing, 1),
        Chances::of(&playing, 2),
    );
    let whole = one.tally(0, 40);
    assert_eq!(whole, same.tally(0, 40));
    assert_ne!(whole, other.tally(0, 40));
    let parts = |order: &[(u64, u64)]| {
        let tallies = order
            .iter()
            .map(|(first, blocks)| same.tally(*first, *blocks));
        tallies.fold(Tally::default(), Tally::and)
    };
    close(&whole, &parts(&[(0, 7), (7, 30), (37, 3)]));
    close(&whole, &parts(&[(37, 3), (0, 7), (7, 30)]));
    let (ten, effects) = one.effects(0, 10);
    close(&ten, &one.tally(0, 10));
    assert_eq!(effects.len(), one.sources().len());
    let later = one.effects(6, 4).1.into_iter().zip(one.effects(0, 6).1);
    for (whole, (four, six)) in effects.into_iter().zip(later) {
        let parts = four.and(six);
        assert_eq!(whole.source, parts.source);
        close(&whole.halved, &parts.halved);
        assert_eq!(whole.necks, parts.necks);
        for (a, b) in whole.differences.iter().zip(parts.differences) {
            assert!((a - b).abs() <= 1e-9 * (1.0 + a));
        }
    }
}

#[test]
fn strings_of_unknown_stretch_are_drawn_without_bends_and_cents() {
    let (mut instrument, _) = ordinary(55_000, |_| {});
    for string in &mut instrument.strings {
        string.make = quantity::Make::Other;
    }
    let strings = play::strings::string_figures(&instrument);
    let playing = playing(&instrument, &strings, On::Planned);
    assert!(playing.bent.iter().all(Option::<BentString>::is_none));
    let tally = Chances::of(&playing, 1).tally(0, 10);
    assert_eq!((tally.met[1], tally.met[2]), (tally.necks, tally.necks));
    assert_eq!((tally.sum[1], tally.sum[2]), (0.0, 0.0));
}
