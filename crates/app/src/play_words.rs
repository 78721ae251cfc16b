//! What playing figures mean, in a maker's words: pages, terminal and paper say them alike.

use instrument::fret_name;
use play::Playing;
use play::levelling::Levelling;
use play::lowest::HUNDREDTH_MM;
use play::set_up::FittedCircle;

use crate::show::Units;

/// What one more hundredth of relief or of levelling would buy on the lowest set-up.
pub fn worth_words(playing: &Playing<'_>, units: Units) -> Vec<String> {
    let lowest = &playing.lowest;
    let hundredth = units.length(HUNDREDTH_MM, 3);
    let mut words = Vec::new();
    let (lower, higher): (Vec<_>, Vec<_>) = lowest
        .strings
        .iter()
        .enumerate()
        .filter_map(|(index, string)| Some((index + 1, string.as_ref()?.by_relief_mm)))
        .filter(|(_, by)| by.abs() >= TOLD_MM)
        .partition(|(_, by)| *by < 0.0);
    let each = |strings: &[(usize, f64)]| {
        // Strings that share a figure are said together.
        let same = strings
            .iter()
            .all(|(_, by)| (by - strings[0].1).abs() < TOLD_MM);
        if same && strings.len() > 1 {
            let by = units.length(strings[0].1.abs(), 4);
            let numbers: Vec<String> = strings
                .iter()
                .map(|(string, _)| string.to_string())
                .collect();
            return format!("strings {} by {by} each", listed(&numbers));
        }
        let named = strings
            .iter()
            .map(|(string, by)| format!("string {string} by {}", units.length(by.abs(), 4)));
        listed(&named.collect::<Vec<_>>())
    };
    match (lower.is_empty(), higher.is_empty()) {
        (true, true) => {}
        (false, true) => words.push(format!(
            "{hundredth} more relief would lower {}.",
            each(&lower)
        )),
        (true, false) => words.push(format!(
            "{hundredth} more relief would raise {}.",
            each(&higher)
        )),
        (false, false) => words.push(format!(
            "{hundredth} more relief would lower {}, but raise {}.",
            each(&lower),
            each(&higher)
        )),
    }
    let strings = lowest.strings.iter().flatten().count().max(1) as f64;
    let mut frets: Vec<(usize, f64)> = playing
        .levelling_worth_mm()
        .iter()
        .copied()
        .enumerate()
        .collect();
    frets.sort_by(|a, b| a.1.total_cmp(&b.1));
    for (fret, by) in frets
        .into_iter()
        .take(MOST_FRETS_TOLD)
        .filter(|(_, by)| -by / strings >= TOLD_MM)
    {
        words.push(format!(
            "{hundredth} filed off {} in all lanes would lower the action by {} on the average.",
            fret_name(fret),
            units.length(-by / strings, 4)
        ));
    }
    words
}

/// Gains smaller than this are not told, mm.
const TOLD_MM: f64 = 0.0001;
/// Frets whose filing is told.
const MOST_FRETS_TOLD: usize = 3;

/// What seating and levelling come to.
pub fn levelling_words(playing: &Playing<'_>, levelling: &Levelling, units: Units) -> Vec<String> {
    let mut words = Vec::new();
    let mut frets: Vec<usize> = Vec::new();
    for proud in &levelling.seat_first {
        if !frets.contains(&proud.fret) {
            frets.push(proud.fret);
        }
    }
    for fret in frets.iter().take(MOST_PROUD_TOLD) {
        let here = || {
            levelling
                .seat_first
                .iter()
                .filter(|proud| proud.fret == *fret)
        };
        let mut lanes: Vec<usize> = here().map(|proud| proud.lane + 1).collect();
        lanes.sort_unstable();
        let most = here().map(|proud| proud.over_mm).fold(0.0, f64::max);
        words.push(format!(
            "Seat {} first: in {} it stands up to {} over its neighbours. What comes off is counted with it seated.",
            fret_name(*fret),
            lanes_words(&lanes, playing.lines.len()),
            units.length(most, 3)
        ));
    }
    if frets.len() > MOST_PROUD_TOLD {
        words.push(format!(
            "{} more frets stand proud.",
            frets.len() - MOST_PROUD_TOLD
        ));
    }
    match levelling.most() {
        Some((lane, fret, off)) => {
            let tops = levelling.off_mm.iter().flatten().flatten();
            let count = tops.filter(|off| **off >= 0.0005).count();
            words.push(format!(
                "Levelling: {count} {}, at most {} off {} in lane {}.",
                if count == 1 { "place" } else { "places" },
                units.length(off, 3),
                fret_name(fret),
                lane + 1
            ));
        }
        None if levelling.cannot.is_empty() => {
            words.push("Levelling: nothing is to come off for the asked set-up.".into());
        }
        None => {}
    }
    if !levelling.cannot.is_empty() {
        let lanes: Vec<usize> = levelling.cannot.iter().map(|lane| lane + 1).collect();
        let spec = &playing.instrument.fret_spec;
        words.push(format!(
            "By filing within the crown ({} to {}) {} cannot be freed: ask for a higher action, more relief or a lighter hand.",
            units.length(spec.crown_height_mm, 2),
            units.length(playing.instrument.fretwork.least_crown_mm, 2),
            lanes_words(&lanes, playing.lines.len())
        ));
    }
    words
}

/// Lanes in words: `all lanes`, `lane 2`, `lanes 2 and 5`.
fn lanes_words(lanes: &[usize], all: usize) -> String {
    match lanes {
        [lane] => format!("lane {lane}"),
        lanes if lanes.len() == all => "all lanes".into(),
        lanes => {
            let names: Vec<String> = lanes.iter().map(ToString::to_string).collect();
            format!("lanes {}", listed(&names))
        }
    }
}

/// Frets that are named one by one.
const MOST_PROUD_TOLD: usize = 6;

/// A shim under the neck's seat.
pub fn shim_words(shim_mm: f64, units: Units) -> String {
    let end = if shim_mm >= 0.0 { "body's" } else { "head's" };
    format!(
        "a shim of {} at the {end} end of the neck's seat",
        units.length(shim_mm.abs(), 2)
    )
}

/// A circle through strings' heights, and how far the worst lies off it.
pub fn circle_words(circle: &FittedCircle, units: Units) -> String {
    let worst = circle
        .over_mm
        .iter()
        .fold(0.0f64, |worst, over| worst.max(over.abs()));
    if worst < 0.0005 && circle.radius_mm.is_finite() {
        return format!(
            "radius {}, every string on it",
            units.length(circle.radius_mm, 1)
        );
    }
    if circle.radius_mm.is_finite() {
        format!(
            "radius {}, no string more than {} off it",
            units.length(circle.radius_mm, 1),
            units.length(worst, 3)
        )
    } else {
        format!(
            "a straight line, no string more than {} off it",
            units.length(worst, 3)
        )
    }
}

/// Where a string is stopped: `open`, or `stopped at fret 3`.
pub fn stopped(stop: usize) -> String {
    match stop {
        0 => "open".into(),
        stop => format!("stopped at {}", fret_name(stop)),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
