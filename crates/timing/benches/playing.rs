//! Playing: buzz, bends, tuning, lowest set-up, levelling, chooser and chances of a six-string
//! board of 24 frets; numpy's necks and scipy's linear programme beside them, in the same run.
//!
//! The median is what a maker waits for; the best is what the work itself takes when other work
//! shares the processor, and it is compared with the best of the yardsticks.

// A benchmark is run for the table that it prints.
#![allow(clippy::print_stdout)]

use std::time::Instant;

use camberwright::demo;
use instrument::Instrument;
use play::bend::bend_map;
use play::buzz::buzz_map;
use play::chances::{Chances, Demand, Tally};
use play::lowest::lowest;
use play::playing::lowest_wanted;
use play::set_up::set_up_figures;
use play::strings::string_figures;
use play::strung::string_lines;
use play::tuning::tuning;
use play::wished_bend_places;
use play::{On, Playing, playing};
use timing::figures::{amount, beside};
use timing::{Timings, line, yardstick};

/// Blocks of 16 necks in a trial.
const BLOCKS: u64 = 20_000;
/// Trials; the best is told.
const TRIALS: usize = 7;
const NECKS_A_BLOCK: u64 = 16;
/// Necks that numpy draws.
const NUMPY_NECKS: u64 = 60_000;

fn main() {
    let instrument = board();
    let strings = string_figures(&instrument);
    let whole = playing(&instrument, &strings, On::Planned);
    parts(&whole);
    let lowest_ms = the_lowest(&whole);
    highs(&whole, lowest_ms);
    let necks_a_second = chances(&whole);
    numpy(&instrument, necks_a_second);
}

/// The demo's six-string board with 24 frets.
fn board() -> Instrument {
    let text = demo::COMMISSIONS[0]
        .text
        .replacen("frets = 22", "frets = 24", 1);
    let no_files = |_: &str| Err("none".to_owned());
    let instrument = instrument::read_commission(&text, &no_files).expect("the demo is sound");
    assert_eq!((instrument.lanes.len(), instrument.last_fret()), (6, 24));
    instrument
}

fn show(name: &str, goal: &str, timings: &Timings) {
    let best = timings.percentile_ms(0.0);
    println!("{}   best {best:>8.3} ms", line(name, timings, goal));
}

/// Playing as a whole, and its parts.
fn parts(whole: &Playing<'_>) {
    let (instrument, wish) = (whole.instrument, &whole.instrument.wish);
    let strings = string_figures(instrument);
    let (tops, lines, set) = (&whole.tops, &whole.lines, &whole.wished);
    let time = |name: &str, goal: &str, run: &dyn Fn()| show(name, goal, &Timings::of(200, run));
    time("playing, whole", "page < 5 ms", &|| {
        kept(playing(instrument, &strings, On::Planned));
    });
    time("  strings over their frets", "-", &|| {
        kept(string_lines(tops, &strings));
    });
    time("  three buzz maps", "-", &|| {
        for pluck in [whole.buzz.pluck, whole.light.pluck, whole.hard.pluck] {
            kept(buzz_map(tops, lines, set, pluck));
        }
    });
    time("  bend map", "5 ms", &|| {
        kept(bend_map(tops, lines, set, &whole.bent, wish.margin_mm));
    });
    time("  lowest set-up", "20 ms", &|| {
        kept(lowest(lines, lowest_wanted(instrument)));
    });
    time("  tuning", "0.8 ms", &|| {
        kept(tuning(instrument, lines, set, &strings));
    });
    time("  figures to cut to", "-", &|| {
        kept(set_up_figures(instrument, lines, set));
    });
    time("levelling", "-", &|| kept(whole.levelling()));
    time("the chooser's frontier", "-", &|| {
        kept(wished_bend_places(instrument, &strings).whole_frontier());
    });
    time("chances: demands straightened", "-", &|| {
        kept(Chances::of(whole, 1));
    });
}

fn kept<T>(result: T) {
    std::hint::black_box(result);
}

/// The lowest set-up's best time, ms.
fn the_lowest(whole: &Playing<'_>) -> f64 {
    let wanted = lowest_wanted(whole.instrument);
    Timings::of(400, || lowest(&whole.lines, wanted)).percentile_ms(0.0)
}

/// Necks a second on one thread, and on two; the latter is returned.
fn chances(whole: &Playing<'_>) -> f64 {
    let chances = Chances::of(whole, 1);
    let tally = chances.tally(0, BLOCKS);
    let met: Vec<String> = Demand::ALL
        .into_iter()
        .zip(0..)
        .map(|(demand, index)| {
            format!(
                "{} {:.4}",
                demand.words(),
                tally.chance_of(index).unwrap_or(f64::NAN)
            )
        })
        .collect();
    let one = quickest(|| chances.tally(0, BLOCKS));
    let two = quickest(|| halves(&chances));
    println!(
        "chances on one thread: {one:>10.0} necks/s; on two: {two:.0} necks/s   goal 1,000,000 on two\n  \
         best of {TRIALS}; {}",
        met.join(", ")
    );
    amount("chances, necks on one thread", one, "necks/s", "");
    amount("chances, necks on two threads", two, "necks/s", "> 1000000");
    two
}

/// The same necks, one half to each of two threads.
fn halves(chances: &Chances) -> Tally {
    let half = BLOCKS / 2;
    std::thread::scope(|scope| {
        let other = scope.spawn(|| chances.tally(half, half));
        let own = chances.tally(0, half);
        own.and(other.join().expect("a tally cannot panic"))
    })
}

/// Necks a second, the best of several trials.
fn quickest(run: impl Fn() -> Tally) -> f64 {
    let best = (0..TRIALS)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(run());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min);
    (BLOCKS * NECKS_A_BLOCK) as f64 / best
}

/// The same linear programme by `scipy.optimize.linprog`.
fn highs(whole: &Playing<'_>, ours_ms: f64) {
    let wanted = lowest_wanted(whole.instrument);
    let (low, high) = wanted.relief_mm;
    let asked = format!(
        "\"margin_mm\": {:?}, \"least_nut_mm\": {:?}, \"relief_mm\": [{low:?}, {high:?}]",
        wanted.margin_mm, wanted.least_nut_mm
    );
    let Some(figures) = yardstick("lowest.py", &problem(whole, &asked)) else {
        return;
    };
    let [seconds, sum_mm, relief_mm] = figures[..] else {
        return;
    };
    let actions = whole.lowest.strings.iter().flatten();
    let ours_mm: f64 = actions.map(|string| string.action_mm).sum();
    println!(
        "  ours: sum of actions {ours_mm:.9} mm, {:.1e} mm off; relief {:.6} and {relief_mm:.6} mm; \
         in {ours_ms:.3} ms with the worth of each fret (one programme more for each)\n  \
         scipy's best is {:.1} times ours",
        ours_mm - sum_mm,
        whole.lowest.relief_mm,
        seconds * 1e3 / ours_ms
    );
    let name = "scipy's linprog (HiGHS), the best of its ways, without building the programme";
    beside("lowest set-up, best", name, seconds * 1e3 / ours_ms, "");
}

/// Necks by numpy. What it leaves out is left out of our side only where the answers are compared:
/// ours are timed with bends, tuning, actions and radius.
fn numpy(instrument: &Instrument, necks_a_second: f64) {
    let mut same = instrument.clone();
    same.errors.radius_share = 0.0;
    let strings = string_figures(&same);
    let whole = playing(&same, &strings, On::Planned);
    let errors = &same.errors;
    let more = format!(
        "\"necks\": {NUMPY_NECKS}, \"relief_mm\": {:?}, \"errors\": {{\"fret_tops_mm\": {:?}, \
         \"nut_slots_mm\": {:?}, \"saddle_mm\": {:?}, \"relief_mm\": {:?}, \"tension_share\": {:?}, \
         \"pluck_share\": {:?}}}",
        whole.wished.relief_mm,
        errors.fret_tops_mm,
        errors.nut_slots_mm,
        errors.saddle_mm,
        errors.relief_mm,
        errors.tension_share,
        errors.pluck_share
    );
    let Some(figures) = yardstick("chances.py", &problem(&whole, &more)) else {
        return;
    };
    let [by_margin_s, by_product_s, chance, mean_mm, spread_mm] = figures[..] else {
        return;
    };
    let tally = Chances::of(&whole, 1).tally(0, BLOCKS);
    let (our_mean_mm, our_spread_mm) = tally.room(0).unwrap_or_default();
    let times = |seconds: f64| necks_a_second * seconds / NUMPY_NECKS as f64;
    println!(
        "  the same necks, numpy and ours: no buzz {chance:.4} {:.4}; least air {mean_mm:.4} \
         {our_mean_mm:.4} mm, spread {spread_mm:.4} {our_spread_mm:.4} mm\n  \
         ours on two threads, with bends and tuning: {:.1} times numpy margin by margin   goal 20\n  \
         and {:.1} times numpy's products of matrices",
        tally.chance_of(0).unwrap_or(f64::NAN),
        times(by_margin_s),
        times(by_product_s)
    );
    let what = "chances on two threads, bends and tuning besides";
    beside(what, "numpy, margin by margin", times(by_margin_s), "20");
    beside(
        what,
        "numpy, one product of matrices a string",
        times(by_product_s),
        "",
    );
}

/// Strings over their frets and the pluck as JSON, with more members.
fn problem(whole: &Playing<'_>, more: &str) -> String {
    let strings: Vec<String> = whole
        .lines
        .iter()
        .zip(&whole.wished.strings)
        .filter_map(|(line, heights)| {
            let over = |fret| line.action(fret, *heights, whole.wished.relief_mm);
            Some(format!(
                "{{\"along_mm\": {:?}, \"top_mm\": {:?}, \"bow\": {:?}, \"length_mm\": {:?}, \
                 \"tension_n\": {:?}, \"actions_mm\": [{:?}, {:?}]}}",
                line.along_mm,
                line.top_mm,
                line.bow,
                line.length_mm,
                line.tension_n?,
                over(1),
                over(line.action_fret)
            ))
        })
        .collect();
    let pluck = whole.buzz.pluck;
    format!(
        "{{\"strings\": [{}], \"action_fret\": {}, \
         \"pluck\": {{\"force_n\": {:?}, \"from_saddle_mm\": {:?}}}, {more}}}",
        strings.join(", "),
        whole.instrument.action_fret(),
        pluck.force_n,
        pluck.from_saddle_mm
    )
}
