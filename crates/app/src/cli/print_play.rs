//! How an instrument will play, for people at a terminal.

use std::fmt::Write as _;

use instrument::fret_name;
use play::Playing;
use play::bend::BendEnd;
use play::chances::Demand;
use play::tuning::{ACTION_OFF_MM, SLOT_OFF_MM};

use crate::play_words::{circle_words, levelling_words, shim_words, worth_words};
use crate::record::{PlayFigures, basis_name};
use crate::show::Units;

/// Everything, the deciding figures first.
pub fn play(figures: &PlayFigures<'_>) -> String {
    let mut text = String::new();
    let playing = figures.playing;
    let on = match figures.visit {
        Some(visit) => format!("the wood of visit {visit}"),
        None => match basis_name(playing.tops.basis) {
            "frets" => "the fret tops as read".into(),
            _ => "the planned surface".into(),
        },
    };
    line!(text, "{} · played on {on}", playing.instrument.title);
    line!(text);
    buzz(&mut text, playing);
    bends(&mut text, figures);
    lowest(&mut text, playing);
    tuning(&mut text, playing);
    fretwork(&mut text, figures);
    set_up(&mut text, playing);
    chances(&mut text, figures);
    line!(
        text,
        "Strings at pitch pull hard: eye protection when fitting them, and slacken before the neck is worked on."
    );
    text
}

fn buzz(text: &mut String, playing: &Playing<'_>) {
    let wish = &playing.instrument.wish;
    let asked = wish.margin_mm;
    line!(
        text,
        "Buzz at the asked set-up, in mm of air; {asked:.3} mm is asked. Plucked {:.0} mm from the saddle.",
        wish.pluck_from_saddle_mm
    );
    for (name, map) in [
        ("light", &playing.light),
        ("this player", &playing.buzz),
        ("hard", &playing.hard),
    ] {
        let Some((string, stop, least)) = map.worst() else {
            continue;
        };
        line!(
            text,
            "  {name:<12} {:.2} N: least {:+.3} mm, string {} at {}, over fret {}; {} stops have less than asked",
            map.pluck.force_n,
            least.margin_mm,
            string + 1,
            stop_name(stop),
            least.fret,
            map.count_below(asked)
        );
    }
    if playing.buzz.worst().is_none() {
        line!(text, "  no string's pull is known: give unit weights");
    }
    line!(text);
    line!(
        text,
        "  stop  {}",
        columns(playing, |string| format!("string {string}"))
    );
    for stop in 0..playing.instrument.last_fret() {
        let cells = (0..playing.lines.len()).map(|string| {
            let least = playing.buzz.least[string][stop];
            cell(least.map(|least| format!("{:+.3}", least.margin_mm)))
        });
        line!(
            text,
            "  {:>4}  {}",
            stop_word(stop),
            cells.collect::<Vec<_>>().join(" ")
        );
    }
    line!(text);
}

/// The nut or a fret, where a string is stopped.
fn stop_name(stop: usize) -> String {
    match stop {
        0 => "the nut".into(),
        stop => fret_name(stop),
    }
}

fn stop_word(stop: usize) -> String {
    match stop {
        0 => "open".into(),
        stop => stop.to_string(),
    }
}

fn cell(value: Option<String>) -> String {
    format!("{:>9}", value.unwrap_or_else(|| "-".into()))
}

fn columns(playing: &Playing<'_>, name: impl Fn(usize) -> String) -> String {
    let names = (1..=playing.lines.len()).map(|string| format!("{:>9}", name(string)));
    names.collect::<Vec<_>>().join(" ")
}

fn bends(text: &mut String, figures: &PlayFigures<'_>) {
    let playing = figures.playing;
    let wish = playing.instrument.wish.bend_cents;
    let Some((string, fret, end)) = playing.bends().least() else {
        line!(text, "Bends: no string's stretch is known.");
        line!(text);
        return;
    };
    let granted = match playing.bends().count_choked(wish) {
        0 => "everywhere the board has room for them".to_owned(),
        1 => "not everywhere: one chokes before".to_owned(),
        count => format!("not everywhere: {count} choke before"),
    };
    line!(
        text,
        "Bends of {wish:.0} cents are granted {granted}; the first to end is string {} at fret {fret}, {:.0} cents{}.",
        string + 1,
        end.cents(),
        match end {
            BendEnd::Chokes { on_fret, .. } => format!(" (it chokes on fret {on_fret})"),
            BendEnd::Free { .. } => " (it runs out of board)".into(),
        }
    );
    line!(
        text,
        "  fret  {}",
        columns(playing, |string| format!("string {string}"))
    );
    for fret in 1..=playing.instrument.last_fret() {
        let cells = playing.bends().ends.iter().map(|frets| {
            cell(frets[fret].map(|end| match end {
                BendEnd::Chokes { cents, .. } => format!("{cents:.0} c"),
                BendEnd::Free { cents } => format!(">{cents:.0} c"),
            }))
        });
        line!(text, "  {fret:>4}  {}", cells.collect::<Vec<_>>().join(" "));
    }
    let own = playing.instrument.camber.radius(0.0);
    let nearest = figures.frontier.iter().min_by(|a, b| {
        (a.nut_mm - own.mm())
            .abs()
            .total_cmp(&(b.nut_mm - own.mm()).abs())
    });
    if let Some((nearest, last)) = nearest.and_then(|n| Some((n, n.last_mm?))) {
        line!(
            text,
            "  From {:.0} mm at the nut the wish is granted down to {last:.0} mm at the last fret.",
            nearest.nut_mm
        );
    }
    line!(text);
}

fn lowest(text: &mut String, playing: &Playing<'_>) {
    let lowest = &playing.lowest;
    line!(
        text,
        "Lowest set-up free of buzz: relief {:.2} mm",
        lowest.relief_mm
    );
    line!(
        text,
        "  string  action     nut  saddle  held up by (heights in mm over the line of the fret tops)"
    );
    for (index, string) in lowest.strings.iter().enumerate() {
        let Some(string) = string else {
            line!(text, "  {:>6}  its pull is not known", index + 1);
            continue;
        };
        let mut held: Vec<String> = string
            .limiting
            .iter()
            .map(|(stop, fret)| format!("{} over fret {fret}", stop_word(*stop)))
            .collect();
        if string.nut_at_least {
            held.push("the nut at its least".into());
        }
        line!(
            text,
            "  {:>6}  {:>6.2}  {:>6.2}  {:>6.2}  {}",
            index + 1,
            string.action_mm,
            string.heights.nut_mm,
            string.heights.saddle_mm,
            held.join(", ")
        );
    }
    for words in worth_words(playing, Units::default()) {
        line!(text, "  {words}");
    }
    line!(text);
}

fn tuning(text: &mut String, playing: &Playing<'_>) {
    let tuning = &playing.tuning();
    line!(
        text,
        "In tune: set-backs in mm, farther from the neck's middle is positive"
    );
    line!(
        text,
        "  string  saddle     nut  saddle alone  straight  worst left  slot {SLOT_OFF_MM} mm  action {ACTION_OFF_MM} mm"
    );
    for (index, string) in tuning.strings.iter().enumerate() {
        let (Some(string), Some(own)) = (string, tuning.own.set_back[index]) else {
            line!(text, "  {:>6}  its stretch is not known", index + 1);
            continue;
        };
        let other =
            |way: &play::tuning::Way| way.set_back[index].map_or(f64::NAN, |back| back.saddle_mm);
        let worst = tuning.own.cents[index]
            .iter()
            .flatten()
            .fold(0.0f64, |worst, cents| {
                if cents.abs() > worst.abs() {
                    *cents
                } else {
                    worst
                }
            });
        line!(
            text,
            "  {:>6}  {:>6.2}  {:>6.2}  {:>12.2}  {:>8.2}  {:>8.2} c  {:>9.1} c  {:>11.1} c",
            index + 1,
            own.saddle_mm,
            own.nut_mm,
            other(&tuning.saddle_only),
            other(&tuning.straight),
            worst,
            string.by_slot_cents,
            string.by_action_cents
        );
    }
    for (name, way) in [
        ("saddle and nut, each string", &tuning.own),
        ("saddle alone, each string", &tuning.saddle_only),
        ("straight saddle", &tuning.straight),
        ("one set-back for all", &tuning.common),
        ("no set-back", &tuning.none),
    ] {
        line!(
            text,
            "  {name:<28} {:>6.2} cents root mean square",
            way.rms_cents()
        );
    }
    line!(text, "  Differences under about 5 cents are hardly heard.");
    line!(text);
}

fn fretwork(text: &mut String, figures: &PlayFigures<'_>) {
    line!(text, "Fretwork for the asked set-up");
    for words in levelling_words(figures.playing, figures.levelling, Units::default()) {
        line!(text, "  {words}");
    }
    line!(text);
}

fn set_up(text: &mut String, playing: &Playing<'_>) {
    let figures = &playing.set_up;
    line!(text, "To cut and set, relief {:.2} mm", figures.relief_mm.0);
    line!(
        text,
        "  string  slot floor over wood  saddle over plane  nut change  saddle change (mm)"
    );
    for (index, string) in figures.strings.iter().enumerate() {
        let change = |mm: Option<f64>| mm.map_or("-".into(), |mm| format!("{mm:+.2}"));
        line!(
            text,
            "  {:>6}  {:>20.2}  {:>17.2}  {:>10}  {:>13}",
            index + 1,
            string.slot_over_wood_mm,
            string.saddle_over_plane_mm,
            change(string.now.map(|now| now.nut_mm)),
            change(string.now.map(|now| now.saddle_mm))
        );
    }
    if let Some(circle) = &figures.saddle_circle {
        line!(
            text,
            "  circle through the saddle's tops: {}",
            circle_words(circle, Units::default())
        );
    }
    if let Some(neck) = figures.neck {
        line!(text, "  neck angle {:.2}°", neck.angle_deg + 0.0);
        if let Some(shim) = neck.shim_mm {
            line!(
                text,
                "  in place of the mean saddle change: {}",
                shim_words(shim, Units::default())
            );
        }
    }
    line!(text);
}

fn chances(text: &mut String, figures: &PlayFigures<'_>) {
    let account = figures.chances;
    let tally = &account.tally;
    let chance = tally.chance();
    line!(
        text,
        "Chance that the finished neck meets the wish: {:.1} % (± {:.1} %, {} necks drawn)",
        100.0 * chance,
        196.0 * tally.uncertainty(chance),
        tally.necks
    );
    for (index, demand) in Demand::ALL.iter().enumerate() {
        let chance = tally.chance_of(index);
        let chance = chance.map_or("not known".into(), |chance| {
            format!("{:>5.1} %", 100.0 * chance)
        });
        line!(text, "  {:<16} {chance}", demand.words());
    }
    let decisive = Demand::ALL
        .iter()
        .position(|d| *d == account.decisive)
        .unwrap_or(0);
    line!(
        text,
        "  What matters most for \"{}\":",
        account.decisive.words()
    );
    for share in account
        .shares
        .iter()
        .filter(|share| share.of[decisive] > 0.03)
    {
        line!(
            text,
            "    {:<42} {:>3.0} % of the spread; half as large: {:.1} %",
            share.source.words(),
            100.0 * share.of[decisive],
            100.0 * share.if_halved
        );
    }
    line!(text);
}
